//! What a cut across a member shows, and what statics needs to know of it.
//!
//! A section lies in the member's own y and z: widths along y, heights along z, its middle at the origin. With a member
//! that runs along the car, y is to the left and z up. Millimetres throughout.

use nalgebra::Vector2;
use serde::{Deserialize, Serialize};

use super::notch::{self, Notch};
use super::thin::{self, Strip};

/// A cross-section.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Section {
    /// A round tube; with a wall of half its diameter, a bar.
    Tube {
        /// Outside diameter, mm.
        diameter: f64,
        /// Wall, mm.
        wall: f64,
    },
    /// A rectangular box.
    Box {
        /// Outside width along y, mm.
        width: f64,
        /// Outside height along z, mm.
        height: f64,
        /// Wall, mm.
        wall: f64,
        /// Outside corner radius, mm; 0 where the corners are sharp.
        #[serde(default)]
        radius: f64,
    },
    /// A flat plate or strip, or a rectangular bar.
    Plate {
        /// Width along y, mm.
        width: f64,
        /// Height along z, mm.
        height: f64,
    },
    /// What is left of a box, its corners taken as sharp, when a part of it is cut away.
    Notched {
        /// Outside width along y of the whole box, mm.
        width: f64,
        /// Outside height along z of the whole box, mm.
        height: f64,
        /// Wall, mm.
        wall: f64,
        /// What is cut away.
        notch: Notch,
    },
}

/// What statics needs to know of a section. Second moments and fibres are about the centroid, along y and z.
#[derive(Debug, Clone, PartialEq)]
pub struct Properties {
    /// Area, mm².
    pub area: f64,
    /// Second moment about the y axis, the integral of z², mm⁴: bending up and down.
    pub iy: f64,
    /// Second moment about the z axis, the integral of y², mm⁴: bending to the sides.
    pub iz: f64,
    /// Product of inertia, the integral of yz, mm⁴; nought where y or z is an axis of symmetry.
    pub iyz: f64,
    /// Torsion constant J, mm⁴, of a member that is free to warp. A short notch in a long rail is not, and holds more than an
    /// open section's J says.
    pub torsion: f64,
    /// Torque over the greatest shear stress that it makes, mm³.
    pub torsion_modulus: f64,
    /// Areas that a force along y and one along z are carried by, mm².
    pub shear_area: [f64; 2],
    /// Where the centroid is, (y, z) from the middle of the whole section, mm. Only a notch shifts it.
    pub centroid: [f64; 2],
    /// Where a transverse force does not twist the member, (y, z) from the middle of the whole section, mm. The frame
    /// takes forces along the centroids; where the two lie apart, their distance times the force is a torque to add.
    pub shear_centre: [f64; 2],
    /// Centres of what is outermost, (y, z) from the centroid, mm.
    pub corners: Vec<[f64; 2]>,
    /// Radius about each of those, mm.
    pub round: f64,
}

/// A section that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{0}")]
pub struct SectionError(pub(super) String);

/// No member of a car is as large across, mm.
const LARGEST: f64 = 5000.0;

impl Section {
    /// What statics needs to know of it.
    ///
    /// # Errors
    /// Where a size is not a positive number, the wall is thicker than the section allows, or a notch leaves nothing, or
    /// two pieces.
    pub fn properties(&self) -> Result<Properties, SectionError> {
        self.possible()?;
        match *self {
            Self::Tube { diameter, wall } => Ok(tube(diameter / 2.0, wall)),
            Self::Plate { width, height } => Ok(plate(width, height)),
            Self::Box { width, height, wall, radius } => Ok(hollow(width, height, wall, radius)),
            Self::Notched { width, height, wall, notch } => notch::left([width, height], wall, &notch),
        }
    }

    fn possible(&self) -> Result<(), SectionError> {
        let (across, wall, radius) = match *self {
            Self::Tube { diameter, wall } => ([diameter, diameter], wall, 0.0),
            Self::Box { width, height, wall, radius } => ([width, height], wall, radius),
            Self::Plate { width, height } => ([width, height], f64::min(width, height) / 2.0, 0.0),
            Self::Notched { width, height, wall, .. } => ([width, height], wall, 0.0),
        };
        let half = f64::min(across[0], across[1]) / 2.0;
        // Written so that a NaN is refused.
        if !across.iter().all(|&v| v > 0.0 && v <= LARGEST) {
            let [a, b] = across;
            return Err(SectionError(format!("a section of {a} by {b} mm: give sizes above 0 and up to {LARGEST} mm")));
        }
        if !(wall > 0.0 && wall <= half) {
            return Err(SectionError(format!(
                "a wall of {wall} mm: give one above 0 and up to half the size, {half} mm"
            )));
        }
        if !(radius >= 0.0 && radius <= half) {
            return Err(SectionError(format!("a corner radius of {radius} mm: give 0, or one up to {half} mm")));
        }
        Ok(())
    }
}

impl Properties {
    /// Turn from y towards z of the axis with the greatest second moment, rad, and the second moments about that axis and
    /// the one square to it, mm⁴ (Mohr's circle).
    pub fn principal(&self) -> (f64, [f64; 2]) {
        let (mean, half) = ((self.iy + self.iz) / 2.0, (self.iy - self.iz) / 2.0);
        let radius = half.hypot(self.iyz);
        ((-self.iyz).atan2(half) / 2.0, [mean + radius, mean - radius])
    }

    /// Least radius of gyration, mm: the one that a straight strut bows with.
    pub fn least_gyration(&self) -> f64 {
        (self.principal().1[1].max(0.0) / self.area).sqrt()
    }

    /// Elastic section moduli, second moment over the outermost fibre, for bending about y and about z, mm³.
    pub fn moduli(&self) -> [f64; 2] {
        let far = |i: usize| self.corners.iter().map(|c| c[i].abs()).fold(0.0, f64::max) + self.round;
        [self.iy / far(1), self.iz / far(0)]
    }

    /// Distance of the outermost fibre from the centroid in any direction, mm.
    pub fn reach(&self) -> f64 {
        self.corners.iter().map(|c| c[0].hypot(c[1])).fold(0.0, f64::max) + self.round
    }

    /// Greatest and least stress that moments about y and z make, N mm to MPa, tension positive: with a positive moment
    /// about y the fibres at positive z are in tension, with one about z those at negative y (right-hand rule). Takes
    /// the product of inertia into account (Megson, ch. 16, from memory).
    pub fn bending(&self, my: f64, mz: f64) -> [f64; 2] {
        let det = self.iy * self.iz - self.iyz * self.iyz;
        let slope = Vector2::new(-self.iy * mz - self.iyz * my, self.iz * my + self.iyz * mz) / det;
        let over = slope.norm() * self.round;
        let at = |c: &[f64; 2]| slope.x * c[0] + slope.y * c[1];
        let most = self.corners.iter().map(at).fold(f64::NEG_INFINITY, f64::max);
        let least = self.corners.iter().map(at).fold(f64::INFINITY, f64::min);
        [most + over, least - over]
    }
}

/// Exact second moments; shear area by Cowper (The Shear Coefficient in Timoshenko's Beam Theory, 1966, hollow circle, from
/// memory), without his Poisson's ratio: half the area of a thin tube, 6/7 of a bar's.
fn tube(outer: f64, wall: f64) -> Properties {
    use std::f64::consts::PI;
    let inner = outer - wall;
    let area = PI * (outer * outer - inner * inner);
    let second = PI * (outer.powi(4) - inner.powi(4)) / 4.0;
    let m = inner / outer;
    let full = (1.0 + m * m).powi(2);
    let shear = area * 6.0 * full / (7.0 * full + 20.0 * m * m);
    Properties {
        area,
        iy: second,
        iz: second,
        iyz: 0.0,
        torsion: 2.0 * second,
        torsion_modulus: 2.0 * second / outer,
        shear_area: [shear; 2],
        centroid: [0.0; 2],
        shear_centre: [0.0; 2],
        corners: vec![[0.0; 2]],
        round: outer,
    }
}

/// Torsion by Roark's Formulas for Stress and Strain, table 10.1, case 4 (from memory); shear area 5/6 of the area.
fn plate(width: f64, height: f64) -> Properties {
    let (a, b) = (f64::max(width, height) / 2.0, f64::min(width, height) / 2.0);
    let (area, thin) = (width * height, b / a);
    let torsion = a * b.powi(3) * (16.0 / 3.0 - 3.36 * thin * (1.0 - thin.powi(4) / 12.0));
    let peak = 1.0 + thin * (0.6095 + thin * (0.8865 + thin * (-1.8023 + thin * 0.91)));
    Properties {
        area,
        iy: width * height.powi(3) / 12.0,
        iz: height * width.powi(3) / 12.0,
        iyz: 0.0,
        torsion,
        torsion_modulus: 8.0 * a * b * b / 3.0 / peak,
        shear_area: [area * 5.0 / 6.0; 2],
        centroid: [0.0; 2],
        shear_centre: [0.0; 2],
        corners: four(width, height, 0.0),
        round: 0.0,
    }
}

/// Exact second moments of one rounded rectangle less another; torsion by Bredt along the middle of the wall; shear areas
/// as if the corners were sharp.
fn hollow(width: f64, height: f64, wall: f64, radius: f64) -> Properties {
    let inside = |v: f64| f64::max(v, 0.0);
    let [w, h, r] = [inside(width - 2.0 * wall), inside(height - 2.0 * wall), inside(radius - wall)];
    let (outer, inner) = (rounded(width, height, radius), rounded(w, h, r));
    let [area, iy, iz] = std::array::from_fn(|i| outer[i] - inner[i]);
    let (a, b, middle) = (width - wall, height - wall, inside(radius - wall / 2.0));
    let round = 4.0 - std::f64::consts::PI;
    let (enclosed, around) = (a * b - round * middle * middle, 2.0 * (a + b) - 2.0 * round * middle);
    let flow = thin::flow(&ring(width, height, wall), true);
    Properties {
        area,
        iy,
        iz,
        iyz: 0.0,
        torsion: 4.0 * enclosed * enclosed * wall / around + around * wall.powi(3) / 3.0,
        torsion_modulus: 2.0 * enclosed * wall,
        shear_area: flow.shear_area,
        centroid: [0.0; 2],
        shear_centre: [0.0; 2],
        corners: four(width, height, radius),
        round: radius,
    }
}

/// Area and second moments about y and z of a rectangle with rounded corners.
fn rounded(width: f64, height: f64, radius: f64) -> [f64; 3] {
    use std::f64::consts::PI;
    // What a corner lacks of a square, as a square less a quarter circle, about an axis through the middle.
    let lacks = |across: f64| {
        let centre = across / 2.0 - radius;
        let square = radius.powi(4) / 12.0 + (radius * (centre + radius / 2.0)).powi(2);
        let quarter = PI * radius.powi(4) / 16.0 + 2.0 * centre * radius.powi(3) / 3.0;
        4.0 * (square - quarter - PI * (radius * centre).powi(2) / 4.0)
    };
    [
        width * height - (4.0 - PI) * radius * radius,
        width * height.powi(3) / 12.0 - lacks(height),
        height * width.powi(3) / 12.0 - lacks(width),
    ]
}

/// Centres of the four corners' radii.
fn four(width: f64, height: f64, radius: f64) -> Vec<[f64; 2]> {
    let (y, z) = (width / 2.0 - radius, height / 2.0 - radius);
    vec![[y, z], [-y, z], [-y, -z], [y, -z]]
}

/// A whole box's walls, one after the other: bottom, left, top, right.
fn ring(width: f64, height: f64, wall: f64) -> [Strip; 4] {
    let (y, z) = ((width - wall) / 2.0, (height - wall) / 2.0);
    let corner = [Vector2::new(-y, -z), Vector2::new(y, -z), Vector2::new(y, z), Vector2::new(-y, z)];
    std::array::from_fn(|i| Strip { from: corner[i], to: corner[(i + 1) % 4], wall })
}
