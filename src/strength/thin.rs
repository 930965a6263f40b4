//! Thin walls as a run of straight strips: what their shear flow says of a section.
//!
//! A transverse force makes a shear flow that gathers along the wall; its energy gives the shear area, its moment the
//! shear centre. A closed wall carries a flow around it as well, which is how a tube resists torsion (Bredt); an open one
//! resists as so many flat strips, which is next to nothing. (Megson, Aircraft Structures for Engineering Students,
//! ch. 17 and 18; Timoshenko, Strength of Materials II, ch. 7 and 8; all from memory.) Millimetres.

use nalgebra::{Matrix2, Vector2};

/// A straight piece of wall along its middle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Strip {
    /// Ends of its middle line, (y, z), mm.
    pub from: Vector2<f64>,
    /// The other end.
    pub to: Vector2<f64>,
    /// Thickness, mm.
    pub wall: f64,
}

/// What the walls say of a section.
#[derive(Debug, Clone, Copy)]
pub(super) struct Flow {
    /// Torsion constant J, mm⁴.
    pub torsion: f64,
    /// Torque over the greatest shear stress that it makes, mm³.
    pub torsion_modulus: f64,
    /// Shear areas for forces along y and z, mm².
    pub shear_area: [f64; 2],
    /// Where a transverse force does not twist the member, (y, z), mm.
    pub shear_centre: Vector2<f64>,
}

/// Places along a strip and weights that integrate a polynomial of fifth order exactly (Gauss; Abramowitz & Stegun,
/// 25.4.30).
const GAUSS: [(f64, f64); 3] =
    [(0.112_701_665_379_258_3, 5.0 / 18.0), (0.5, 4.0 / 9.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];

impl Strip {
    fn length(&self) -> f64 {
        (self.to - self.from).norm()
    }

    fn at(&self, share: f64) -> Vector2<f64> {
        self.from + (self.to - self.from) * share
    }

    /// Twice the area that it sweeps about a point, mm².
    fn swept(&self, about: &Vector2<f64>) -> f64 {
        (self.from - about).perp(&(self.to - about))
    }
}

/// Of strips that follow one another, in a ring where the wall is closed.
pub(super) fn flow(strips: &[Strip], closed: bool) -> Flow {
    let sum = |of: &dyn Fn(&Strip) -> f64| strips.iter().map(of).sum::<f64>();
    let area = sum(&|s| s.wall * s.length());
    let centre = strips.iter().map(|s| s.at(0.5) * s.wall * s.length()).sum::<Vector2<f64>>() / area;
    // Those of the middle lines, as the flow sees them; the thickness is left in, or a lone strip had a singular matrix.
    let second = strips.iter().map(|s| about(s, &centre)).sum::<Matrix2<f64>>();
    let flat = sum(&|s| s.length() * s.wall.powi(3) / 3.0);
    let thickest = strips.iter().map(|s| s.wall).fold(0.0, f64::max);
    let thinnest = strips.iter().map(|s| s.wall).fold(f64::INFINITY, f64::min);
    let give = sum(&|s| s.length() / s.wall);
    let enclosed = if closed { sum(&|s| s.swept(&centre)) / 2.0 } else { 0.0 };
    // Bredt's two formulas, and the walls' own resistance, which is all that an open section has.
    let torsion = 4.0 * enclosed * enclosed / give + flat;
    let torsion_modulus = if closed { 2.0 * enclosed.abs() * thinnest } else { flat / thickest };

    let Some(per) = second.try_inverse() else {
        return Flow { torsion, torsion_modulus, shear_area: [area * 5.0 / 6.0; 2], shear_centre: centre };
    };
    let way = |force: Vector2<f64>| transverse(strips, closed, &centre, &(per * force), enclosed);
    let [(along_y, twist_y), (along_z, twist_z)] = [way(Vector2::x()), way(Vector2::y())];
    // Across a lone strip its middle line knows no shear, and 5/6 of the area holds as for any rectangle.
    let or_flat = |v: f64| if v.is_finite() { f64::min(v, area * 5.0 / 6.0) } else { area * 5.0 / 6.0 };
    // A force F at e from the centroid has the moment e × F: ey for a force along z, -ez for one along y.
    let shear_centre = centre + Vector2::new(twist_z, -twist_y);
    Flow { torsion, torsion_modulus, shear_area: [along_y, along_z].map(or_flat), shear_centre }
}

/// Second moments of a strip about a point: the integral of r rᵀ, mm⁴.
fn about(strip: &Strip, point: &Vector2<f64>) -> Matrix2<f64> {
    let (length, middle) = (strip.length(), strip.at(0.5) - point);
    let along = strip.to - strip.from;
    let across = Vector2::new(-along.y, along.x) * (strip.wall / length.max(f64::MIN_POSITIVE));
    let own = (along * along.transpose() + across * across.transpose()) / 12.0;
    (middle * middle.transpose() + own) * (strip.wall * length)
}

/// Shear area for a unit force, mm², and the moment of its flow about the centroid, mm. `slope` is the change of the
/// stress along the member with the place in the section: sigma' = slope · r.
fn transverse(
    strips: &[Strip],
    closed: bool,
    centre: &Vector2<f64>,
    slope: &Vector2<f64>,
    enclosed: f64,
) -> (f64, f64) {
    // Along a strip the flow is what came in, less what the stress's change takes up until there: quadratic in the way.
    let gathered = |s: &Strip, share: f64| {
        let so_far = (s.from - centre + (s.at(share) - centre)) / 2.0;
        slope.dot(&so_far) * s.wall * s.length() * share
    };
    let mut came = 0.0;
    let starts: Vec<f64> = strips
        .iter()
        .map(|s| {
            let start = came;
            came -= gathered(s, 1.0);
            start
        })
        .collect();
    let over = |of: &dyn Fn(&Strip, f64) -> f64| -> f64 {
        let one = |(s, start): (&Strip, &f64)| {
            GAUSS.iter().map(|&(share, weight)| of(s, start - gathered(s, share)) * weight).sum::<f64>()
        };
        strips.iter().zip(&starts).map(one).sum()
    };
    // Around a ring the flow that does not twist it comes on top.
    let give: f64 = strips.iter().map(|s| s.length() / s.wall).sum();
    let around = if closed { -over(&|s, q| q * s.length() / s.wall) / give } else { 0.0 };
    let energy = over(&|s, q| (q + around).powi(2) * s.length() / s.wall);
    let moment = over(&|s, q| q * s.swept(centre)) + 2.0 * around * enclosed;
    (1.0 / energy, moment)
}
