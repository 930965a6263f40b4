//! Tyres and rims as bodies of revolution.

use nalgebra::{Vector2, Vector3};

use super::block::Block;
use super::profile::{Edge, Profile};
use crate::car::{Mounted, Spokes, Wheel};

/// Flange height over the bead seat of a J rim contour, mm (ETRTO Standards Manual, from memory: 17.3 for J).
const FLANGE_HEIGHT: f64 = 17.3;
/// Thickness of a flange below its lip, mm (common practice, no source).
const WALL: f64 = 6.0;
/// Height of the lip that a flange is rolled out to, mm (J contour, ETRTO Standards Manual, from memory: rolled to a
/// radius of about 9 mm).
const LIP: f64 = 9.0;
/// The sidewall leaves the rim this far outboard of the flange's inner face, mm (common practice, no source).
const BEAD: f64 = 6.0;

/// A body of revolution over convex profiles.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// The profiles; the body is all of them together.
    pub profiles: Vec<Profile>,
    /// One convex profile around them all, to tell what is far at one look.
    pub hull: Profile,
    /// No point of it lies further from the wheel centre, mm.
    pub reach: f64,
}

/// A ring where it is in a pose.
#[derive(Debug, Clone, Copy)]
pub struct PlacedRing<'a> {
    /// The body.
    pub ring: &'a Ring,
    /// Wheel centre, mm.
    pub centre: Vector3<f64>,
    /// Spin axis, unit, outboard.
    pub axis: Vector3<f64>,
}

impl Ring {
    fn new(profiles: Vec<Profile>, hull: Profile) -> Self {
        let reach = hull.reach();
        Self { profiles, hull, reach }
    }

    /// A tyre: tread, shoulders, sidewalls bulging from the flanges, hollow inside the rim.
    ///
    /// The sidewall is widest half-way up the section (common practice, no source). Above, one arc leads on without a
    /// kink into the shoulder's; below, another leads to the flange. Expects dimensions that the car's check let pass.
    ///
    /// All that is measured to a tyre rests on its outline being convex. Where a section is so low for its overhang that
    /// the arcs would dent it, it is filled up to a quarter of a circle: never less than the tyre.
    ///
    /// Growth and lean are allowed for by taking up all the space between the tyre at rest and the tyre at speed, leant
    /// over either way: see [`Profile::stretched`].
    ///
    /// On the ground the tyre is this free circle cut off by the ground. Of a part that lies over the ground and beside
    /// the tyre, the nearest place of the circle is no lower than the part itself, so what is cut off is never it: the
    /// gap to an arm or a splitter is that of the tyre as it stands.
    pub fn tyre(m: &Mounted) -> Self {
        let half = m.section_width / 2.0;
        let upper = (m.radius - m.rim_radius) / 2.0;
        let widest = Vector2::new(half, m.rim_radius + upper);
        let tread = (m.tread_width / 2.0).max(half - upper);
        let flange = FLANGE_HEIGHT.min(0.8 * upper);
        let lower = upper - flange;
        let bead = Vector2::new((m.rim_width / 2.0 + BEAD).clamp(half - lower, half - 1.0), m.rim_radius + flange);
        // The shoulder's circle lies inside the upper sidewall's and touches it:
        // |centre to centre| = wall radius - shoulder radius, which is linear in the wall radius.
        let overhang = half - tread;
        let shoulder = m.shoulder_radius.min(0.999 * overhang);
        let rise = m.radius - shoulder - widest.y;
        let wall = (overhang * overhang + rise * rise - shoulder * shoulder) / (2.0 * (overhang - shoulder));
        let shoulder_centre = Vector2::new(tread, m.radius - shoulder);
        let wall_centre = Vector2::new(half - wall, widest.y);
        let meet = (shoulder_centre - wall_centre).normalize();
        // The lower sidewall's circle is centred level with the widest place and passes through the flange's edge.
        let (inward, drop) = (half - bead.x, widest.y - bead.y);
        let lower = (inward * inward + drop * drop) / (2.0 * inward);
        let lower_centre = Vector2::new(half - lower, widest.y);
        let edges = vec![
            Edge::line(Vector2::new(0.0, bead.y), bead),
            Edge::Arc {
                centre: lower_centre,
                radius: lower,
                from: (bead - lower_centre).normalize(),
                to: Vector2::x(),
            },
            Edge::Arc { centre: wall_centre, radius: wall, from: Vector2::x(), to: meet },
            Edge::Arc { centre: shoulder_centre, radius: shoulder, from: meet, to: Vector2::y() },
            Edge::line(Vector2::new(tread, m.radius), Vector2::new(0.0, m.radius)),
        ];
        let full = ((bead.y + m.radius) / 2.0).max(widest.y);
        let still = Profile::new(0.0, edges, full);
        let profile = if m.growth > 0.0 || m.lean > 0.0 { still.stretched(m.lean, m.growth) } else { still };
        Self::new(vec![profile.clone()], profile)
    }

    /// A rim: barrel with its well, flanges, and the centre outboard of the mounting face with its spokes.
    pub fn rim(m: &Mounted, wheel: &Wheel) -> Self {
        let rim = Rim::new(m, wheel);
        let all: Vec<&Block> = rim.barrel.iter().chain(&rim.centre).collect();
        let [from, outer] = [|b: &Block| -b.from, |b: &Block| b.outer];
        let most = |of: fn(&Block) -> f64| all.iter().map(|b| of(b)).fold(f64::NEG_INFINITY, f64::max);
        let hull = Block { from: -most(from), to: most(|b| b.to), inner: 0.0, outer: most(outer) };
        Self::new(all.iter().map(|b| b.profile()).collect(), hull.profile())
    }
}

/// What a rim is made of, in the half-plane through its axis: see [`Block`].
#[derive(Debug, Clone, PartialEq)]
pub struct Rim {
    /// Barrel and both flanges.
    pub barrel: Vec<Block>,
    /// Centre and spokes.
    pub centre: Vec<Block>,
}

impl Rim {
    /// Of a wheel with its tyre on.
    pub fn new(m: &Mounted, wheel: &Wheel) -> Self {
        let (half, lip) = (m.rim_width / 2.0, wheel.half());
        let outer = half + wheel.flange.min(WALL);
        let (inner, top) = (m.rim_radius - wheel.barrel, m.rim_radius + FLANGE_HEIGHT);
        let mut barrel = vec![
            Block { from: -outer, to: outer, inner, outer: m.rim_radius },
            Block { from: half, to: outer, inner, outer: top },
            Block { from: -outer, to: -half, inner, outer: top },
        ];
        if lip > outer {
            let inner = top - LIP;
            barrel.push(Block { from: half, to: lip, inner, outer: top });
            barrel.push(Block { from: -lip, to: -half, inner, outer: top });
        }
        let face = wheel.offset;
        let centre = match wheel.spokes {
            None => vec![Block { from: face, to: wheel.front(), inner: 0.0, outer: inner }],
            // The pad sits on the hub; the spokes stand back from it, over the caliper.
            Some(Spokes { back, pad, .. }) => vec![
                Block { from: face, to: (face + wheel.centre).max(face + back), inner: 0.0, outer: pad },
                Block { from: face + back, to: wheel.front(), inner: pad, outer: inner },
            ],
        };
        // A centre without thickness is no block at all.
        Self { barrel, centre: centre.into_iter().filter(|b| b.to > b.from).collect() }
    }
}

impl PlacedRing<'_> {
    /// A point as (along the axis, from the axis) and the unit direction from the axis to it.
    pub(super) fn wheel_frame(&self, x: Vector3<f64>) -> (f64, f64, Vector3<f64>) {
        let from_centre = x - self.centre;
        let along = from_centre.dot(&self.axis);
        let out = from_centre - self.axis * along;
        let r = out.norm();
        let radial = if r > 1e-9 { out / r } else { any_square_to(self.axis) };
        (along, r, radial)
    }

    /// Signed distance of a point, negative inside, mm.
    pub fn distance(&self, x: Vector3<f64>) -> f64 {
        let (a, r, _) = self.wheel_frame(x);
        self.ring.profiles.iter().map(|p| p.distance(a, r).value).fold(f64::INFINITY, f64::min)
    }
}

/// Some unit vector square to an axis.
fn any_square_to(axis: Vector3<f64>) -> Vector3<f64> {
    let helper = if axis.x.abs() < 0.9 { Vector3::x() } else { Vector3::z() };
    axis.cross(&helper).normalize()
}
