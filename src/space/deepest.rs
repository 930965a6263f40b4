//! Whether an overlap is as deep as can be told.
//!
//! Depth is how far the deepest place of the one lies from the other's nearest surface. Half-way through a tyre's section that
//! is as far to the one side as to the other, and a bar whose axis goes through a face is in it by its radius: there depth
//! grows no more, however much further one goes into the other, and no pose is deeper than the next.

use super::parts::{Parts, Place, Role};

/// An overlap this near to the deepest that a ring can tell counts as it, mm.
const NEAR: f64 = 0.5;
/// A bar that goes through a face is in it by its radius to this, mm: it is a closed form.
const EXACT: f64 = 1e-6;

impl Parts {
    /// Whether a gap of this pair, mm, is an overlap as deep as can be told of it.
    pub fn is_deepest(&self, pair: &Place, gap: f64) -> bool {
        let radii = |role: Role| match role {
            Role::Body(i) => {
                let solid = &self.body[i].solid;
                let facets = solid.facets.iter().map(|f| f.radius).chain(solid.skin.as_ref().map(|_| 0.0));
                let mut radii: Vec<f64> = facets.chain(solid.bars.iter().map(|b| b.radius)).collect();
                radii.sort_by(f64::total_cmp);
                radii.dedup();
                radii
            }
            Role::Moving(hub, i) => {
                let part = &self.moving(hub)[i];
                part.legs.iter().map(|leg| leg.radius).chain(part.plate.map(|plate| plate.radius)).collect()
            }
            _ => Vec::new(),
        };
        let (cores, near) = match self.ring(pair.a) {
            Some(ring) => (ring.profiles.iter().map(|profile| profile.deepest).collect(), NEAR),
            None => (radii(pair.a), EXACT),
        };
        let others = radii(pair.b);
        let tells = |deepest: f64| (-gap > deepest - near) && (-gap < deepest + EXACT.max(0.1 * near));
        gap < 0.0 && cores.iter().any(|core| others.iter().any(|other| tells(core + other)))
    }
}
