//! Rectangles in the half-plane through a wheel's axis, and how far apart two of them are.
//!
//! A caliper is fixed to the upright as the spin axis is, and a rim is round about that axis. Two places of the two are
//! nearest where they lie at one angle about the axis: the gap is that of their sections in the half-plane, in every
//! pose and however far the wheel has turned.

use nalgebra::Vector2;

use super::profile::{Edge, Profile};

/// A rectangle: `from` and `to` along the axis from the wheel's centre plane, outboard positive; `inner` and `outer`
/// from the axis. One that reaches in to the axis is a disc, and has no face there. All mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Its inboard side.
    pub from: f64,
    /// Its outboard side.
    pub to: f64,
    /// Its inner side.
    pub inner: f64,
    /// Its outer side.
    pub outer: f64,
}

/// How far two blocks are apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// Negative is how deep the one reaches into the other, mm.
    pub gap: f64,
    /// The place of the one, (a, r), mm.
    pub here: Vector2<f64>,
    /// The nearest place of the other's outline.
    pub there: Vector2<f64>,
}

impl Block {
    /// As a profile of revolution.
    pub fn profile(&self) -> Profile {
        let (centre, half) = ((self.from + self.to) / 2.0, (self.to - self.from) / 2.0);
        let p = Vector2::new;
        let corners = [p(0.0, self.inner), p(half, self.inner), p(half, self.outer), p(0.0, self.outer)];
        let corners = if self.inner > 0.0 { &corners[..] } else { &corners[1..] };
        let edges = corners.windows(2).map(|w| Edge::line(w[0], w[1])).collect();
        Profile::new(centre, edges, (self.inner + self.outer) / 2.0)
    }

    /// How far this block is from another, or its deepest place in it.
    pub fn apart(&self, other: &Self) -> Apart {
        let along = Side::of([self.from, self.to], [other.from, other.to]);
        let inner = if other.inner > 0.0 { other.inner } else { f64::NEG_INFINITY };
        let out = Side::of([self.inner, self.outer], [inner, other.outer]);
        let here = Vector2::new(along.here, out.here);
        let mut there = here;
        let gap = match (along.gap > 0.0, out.gap > 0.0) {
            (true, true) => {
                there = Vector2::new(along.there, out.there);
                along.gap.hypot(out.gap)
            }
            // Inside, the nearest way out is along whichever of the two is shorter.
            _ if along.gap >= out.gap => {
                there.x = along.there;
                along.gap
            }
            _ => {
                there.y = out.there;
                out.gap
            }
        };
        Apart { gap, here, there }
    }
}

/// Two stretches of one line.
struct Side {
    /// Between them; negative is how deep the one reaches into the other.
    gap: f64,
    /// The place of the one that is nearest to the other, or deepest in it.
    here: f64,
    /// The nearest end of the other.
    there: f64,
}

impl Side {
    fn of(one: [f64; 2], other: [f64; 2]) -> Self {
        let [low, high] = other;
        // The place of the one that is furthest from the other's ends, or nearest to it from outside.
        let middle = if low.is_finite() { (low + high) / 2.0 } else { f64::NEG_INFINITY };
        let here = middle.clamp(one[0], one[1]);
        let (below, above) = (low - here, here - high);
        if above >= below { Self { gap: above, here, there: high } } else { Self { gap: below, here, there: low } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(from: f64, to: f64, inner: f64, outer: f64) -> Block {
        Block { from, to, inner, outer }
    }

    /// By hand.
    #[test]
    fn blocks_are_as_far_apart_as_a_ruler_says() {
        let barrel = block(-120.0, 120.0, 190.0, 210.0);
        for (other, gap) in [
            (block(-20.0, 38.0, 92.0, 182.0), 8.0),
            (block(-20.0, 38.0, 92.0, 193.0), -3.0),
            // Right through the barrel: its middle is half its thickness from either side.
            (block(-20.0, 38.0, 92.0, 260.0), -10.0),
            (block(123.0, 140.0, 92.0, 186.0), 5.0),
            (block(118.0, 140.0, 92.0, 260.0), -2.0),
        ] {
            assert_eq!(other.apart(&barrel).gap, gap, "{other:?}");
        }
        // A disc has no face at the axis to come out of.
        let disc = block(0.0, 40.0, 0.0, 190.0);
        assert_eq!(block(-20.0, 10.0, 30.0, 60.0).apart(&disc).gap, -10.0);
        assert_eq!(block(-20.0, -5.0, 30.0, 60.0).apart(&disc).gap, 5.0);
        assert_eq!(block(-100.0, 100.0, 180.0, 250.0).apart(&disc).gap, -10.0);
    }

    /// Held against the signed distance of the profile at a grid of places, which are at most half a step from any.
    #[test]
    fn no_place_of_a_block_is_nearer_than_it_is_apart() {
        let other = block(-30.0, 50.0, 100.0, 160.0);
        let profile = other.profile();
        let steps = 60u32;
        for (from, to, inner, outer) in [
            (60.0, 90.0, 110.0, 150.0),
            (55.0, 70.0, 165.0, 190.0),
            (-90.0, 20.0, 40.0, 120.0),
            (-5.0, 20.0, 120.0, 130.0),
        ] {
            let one = block(from, to, inner, outer);
            let at = |from: f64, to: f64, i: u32| from + (to - from) * f64::from(i) / f64::from(steps);
            let places = (0..=steps).flat_map(|i| (0..=steps).map(move |k| (i, k)));
            let distance = |(i, k)| profile.distance(at(from, to, i), at(inner, outer, k)).value;
            let least = places.map(distance).fold(f64::INFINITY, f64::min);
            let apart = one.apart(&other);
            assert!(apart.gap <= least + 1e-9, "{apart:?} {least}");
            assert!(apart.gap >= least - (to - from).max(outer - inner) / f64::from(steps), "{apart:?} {least}");
            assert!(((apart.here - apart.there).norm() - apart.gap.abs()).abs() < 1e-9, "{apart:?}");
            assert!(profile.distance(apart.there.x, apart.there.y).value.abs() < 1e-9, "{apart:?}");
        }
    }
}
