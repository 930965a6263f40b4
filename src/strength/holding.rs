//! Whether a round tube or bar holds what it carries: along it, across it and in torsion, all at once.
//!
//! The factor is how many times the whole load reaches yield in the outermost fibre, or buckles the member, whichever is
//! less. A push makes bending worse: what is bent by M or bowed by `a` has (M + P a) / (1 - P/Pe) in mid-span (Timoshenko
//! & Gere, Theory of Elastic Stability, art. 1.11, from memory), so stress grows faster than load and the factor is solved
//! for. A pull straightens it, which is not counted. Bending and torsion together by distortion energy. N, mm, MPa.

use super::buckling::Strut;
use super::section::{Section, SectionError};

/// A round tube or bar between two joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Outside diameter, mm.
    pub diameter: f64,
    /// Wall, mm; half the diameter for a bar.
    pub wall: f64,
    /// Between its joints, mm.
    pub length: f64,
    /// Out of straight in mid-span, mm.
    pub bow: f64,
    /// Modulus of elasticity, MPa.
    pub modulus: f64,
    /// Yield strength, MPa.
    pub yield_strength: f64,
}

/// What it carries.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Carried {
    /// Along it, tension positive, N.
    pub axial: f64,
    /// Bending moment where it is most, N mm.
    pub moment: f64,
    /// Torque, N mm.
    pub twist: f64,
}

/// Which way it fails first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fails {
    /// Pulled or pushed past yield.
    Yields,
    /// Bent, or bent and twisted, past yield.
    Bends,
    /// Bows out suddenly: slender, as Euler says.
    BucklesSlender,
    /// Bows out as it yields: stocky, as Johnson says.
    BucklesStocky,
    /// Bows further out of its bend until it yields.
    BowsFurther,
}

impl Fails {
    /// As it is printed.
    pub fn word(self) -> &'static str {
        match self {
            Self::Yields => "yields",
            Self::Bends => "bends",
            Self::BucklesSlender => "buckles, slender (Euler)",
            Self::BucklesStocky => "buckles, stocky (Johnson)",
            Self::BowsFurther => "bows further out of its bend",
        }
    }

    /// What its factor is on.
    pub fn on(self) -> &'static str {
        match self {
            Self::Yields | Self::Bends => "on yield",
            _ => "on buckling",
        }
    }
}

/// How it holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// Force over area, MPa.
    pub direct: f64,
    /// Of bending, that of its bow and what a push adds included, MPa.
    pub bending: f64,
    /// Of torsion, MPa.
    pub shear: f64,
    /// All together, MPa; infinite at Euler's load and beyond.
    pub stress: f64,
    /// The push at which it buckles, N; none of what is not pushed.
    pub buckles_at: Option<f64>,
    /// How many times the load it holds.
    pub factor: f64,
    /// Which way it fails first.
    pub fails: Fails,
}

impl Round {
    /// How it holds what it carries, its ends free to turn (K = 1).
    ///
    /// # Errors
    /// Where the section cannot be.
    pub fn holds(&self, carried: Carried) -> Result<Held, SectionError> {
        let section = Section::Tube { diameter: self.diameter, wall: self.wall }.properties()?;
        let (load, fibre) = (carried.axial.abs(), self.diameter / 2.0);
        let strut = Strut {
            area: section.area,
            gyration: section.least_gyration(),
            length: self.length,
            fixity: 1.0,
            modulus: self.modulus,
            yield_strength: self.yield_strength,
        };
        let pushed = carried.axial < 0.0;
        let direct = load / section.area;
        let first = (carried.moment.abs() + load * self.bow) * fibre / section.iy;
        // Loads to Euler's, as times of this one; its inverse, so that a pull has none.
        let to_euler = if pushed { load / strut.euler() } else { 0.0 };
        let bending = if to_euler < 1.0 { first / (1.0 - to_euler) } else { f64::INFINITY };
        let shear = carried.twist.abs() / section.torsion_modulus;
        let stress = (direct + bending).hypot(3f64.sqrt() * shear);
        let on_yield = self.times_to_yield([direct, first, shear], to_euler);
        let buckles_at = pushed.then(|| strut.bowed(self.bow, fibre));
        let on_buckling = buckles_at.map_or(f64::INFINITY, |n| n / load);
        let fails = if on_buckling <= on_yield * (1.0 + 1e-9) {
            match (
                self.bow > 0.0 && strut.bowed(self.bow, fibre) < strut.straight(),
                strut.slenderness() < strut.transition(),
            ) {
                (true, _) => Fails::BowsFurther,
                (_, true) => Fails::BucklesStocky,
                _ => Fails::BucklesSlender,
            }
        } else if bending > 0.05 * direct || shear > 0.0 {
            Fails::Bends
        } else {
            Fails::Yields
        };
        Ok(Held { direct, bending, shear, stress, buckles_at, factor: on_yield.min(on_buckling), fails })
    }
    /// How many times direct, bending and shear stress, MPa, reach yield, where one time the push is this part of Euler's
    /// load. Halved between nothing and what it were if the push did not add to the bending.
    fn times_to_yield(&self, [direct, bending, shear]: [f64; 3], to_euler: f64) -> f64 {
        let (across, torn) = (direct + bending, 3f64.sqrt() * shear);
        let plain = self.yield_strength / across.hypot(torn);
        if to_euler == 0.0 || bending == 0.0 || !plain.is_finite() {
            return plain;
        }
        let stress = |n: f64| (n * direct + n * bending / (1.0 - n * to_euler)).hypot(n * torn);
        let (mut low, mut high) = (0.0, plain.min(1.0 / to_euler));
        for _ in 0..80 {
            let middle = (low + high) / 2.0;
            if stress(middle) < self.yield_strength { low = middle } else { high = middle }
        }
        low
    }
}
