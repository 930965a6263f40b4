//! How much a member takes along its axis before it bows out.
//!
//! A slender straight strut fails as Euler says, a stocky one yields, and Johnson's parabola joins the two. A bent tube
//! bows from the first newton: the fibre inside the bend carries the load and its offset too, and yields early (Perry).
//! All are about the whole member; a wall so thin that it wrinkles on its own, thinner than about a fiftieth of a round
//! tube's diameter, is not looked at. Newtons, millimetres, MPa; compression is positive here.

use std::f64::consts::PI;

use super::material::Material;
use super::section::Properties;

/// A strut, as far as buckling is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strut {
    /// Area, mm².
    pub area: f64,
    /// Radius of gyration about the axis that it bows about, mm: for a straight strut the smallest.
    pub gyration: f64,
    /// Length between its ends, mm.
    pub length: f64,
    /// End fixity K, bare number: effective length over length. 1 between rod ends; what is welded in at both ends lies
    /// between 1/2 and 1, free to sway above 1, and 1 is the usual cautious choice (common practice).
    pub fixity: f64,
    /// Modulus of elasticity, MPa.
    pub modulus: f64,
    /// Yield strength, MPa.
    pub yield_strength: f64,
}

impl Strut {
    /// Of a section and a metal, a length, mm, and an end fixity.
    pub fn of(section: &Properties, material: &Material, length: f64, fixity: f64) -> Self {
        Self {
            area: section.area,
            gyration: section.least_gyration(),
            length,
            fixity,
            modulus: material.modulus,
            yield_strength: material.yield_strength,
        }
    }

    /// Slenderness KL/r, bare number.
    pub fn slenderness(&self) -> f64 {
        self.fixity * self.length / self.gyration
    }

    /// The slenderness at which Johnson's parabola touches Euler's curve, at half the yield strength: sqrt(2 pi² E / Sy)
    /// (Shigley, Mechanical Engineering Design, eq. 4-45, from memory; mechanixcalc.com's guide has the same).
    pub fn transition(&self) -> f64 {
        PI * (2.0 * self.modulus / self.yield_strength).sqrt()
    }

    /// Euler's load pi² E A / (KL/r)², N (Gere & Goodno, Mechanics of Materials, ch. 11).
    pub fn euler(&self) -> f64 {
        PI * PI * self.modulus * self.area / self.slenderness().powi(2)
    }

    /// Johnson's load A Sy (1 - Sy (KL/r)² / 4 pi² E), N, which holds up to the transition (J. B. Johnson 1893; Shigley,
    /// eq. 4-46, from memory).
    pub fn johnson(&self) -> f64 {
        let share = (self.slenderness() / self.transition()).powi(2) / 2.0;
        self.area * self.yield_strength * (1.0 - share)
    }

    /// The load that a straight strut takes, N: Johnson's below the transition, Euler's above.
    pub fn straight(&self) -> f64 {
        if self.slenderness() < self.transition() { self.johnson() } else { self.euler() }
    }

    /// Greatest compression in a bowed strut, MPa: P/A (1 + a c/r² / (1 - P/Pe)), with the bow `a` in mid-span and the fibre
    /// inside the bend `c` from the axis, both mm (Perry, for a half sine wave: Case, Chilver & Ross, Strength of Materials
    /// and Structures, eq. 18.33 to 18.36). Infinite from Euler's load on.
    pub fn bowed_stress(&self, load: f64, bow: f64, fibre: f64) -> f64 {
        let left = 1.0 - load / self.euler();
        if left <= 0.0 {
            return f64::INFINITY;
        }
        load / self.area * (1.0 + bow * fibre / self.gyration.powi(2) / left)
    }

    /// The load at which a bowed strut begins to yield, N: Perry's formula solved for it, a quadratic; never more than
    /// [`Strut::straight`], for a bow of nought leaves nothing of Johnson's penalty.
    pub fn bowed(&self, bow: f64, fibre: f64) -> f64 {
        // s² - s (Sy + (1 + h) e) + Sy e = 0, its smaller root, written so that nothing cancels.
        let (e, h) = (self.euler() / self.area, bow.abs() * fibre / self.gyration.powi(2));
        let half = (self.yield_strength + (1.0 + h) * e) / 2.0;
        let root = (half * half - self.yield_strength * e).max(0.0).sqrt();
        f64::min(self.area * self.yield_strength * e / (half + root), self.straight())
    }

    /// Greatest compression in a straight strut that is loaded off its axis by `eccentricity` at both ends, MPa: the secant
    /// formula P/A (1 + e c/r² sec(KL/2r sqrt(P/EA))) (Gere & Goodno, eq. 11-59). Infinite from Euler's load on.
    pub fn secant_stress(&self, load: f64, eccentricity: f64, fibre: f64) -> f64 {
        let angle = self.slenderness() / 2.0 * (load / (self.modulus * self.area)).sqrt();
        if angle >= PI / 2.0 {
            return f64::INFINITY;
        }
        load / self.area * (1.0 + eccentricity * fibre / self.gyration.powi(2) / angle.cos())
    }
}
