//! A stiff axle and what holds it: six unknowns and the turn of its centre crank, four equations of its linkage, one for
//! the crank and two drives.

use nalgebra::{Matrix3, Vector3};

use super::drive::{Drive, Rolling};
use super::linear::Triangles;
use super::newton::{self, Mechanism, OutOfReach, System};
use super::placement::{Placement, Speed};
use super::real::{Real, k};
use super::rod::Rod;
use super::table::Measured;
use super::turning::about;
use crate::car::axle::{Axle, Lateral};
use crate::car::{AxleName, Hub, PointName, Side};

/// A stiff axle, held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beam<T: Real> {
    name: AxleName,
    /// Middle between the wheel centres as measured, mm: the axle's origin.
    pub origin: Vector3<T>,
    /// Lower links left and right.
    lower: [Rod<T>; 2],
    upper: Upper<T>,
    sideways: Sideways<T>,
    /// Left and right wheel.
    pub wheels: [Rolling<T>; 2],
}

/// Upper trailing links.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Upper<T: Real> {
    /// One.
    Single(Rod<T>),
    /// One a side, and nothing else sideways.
    Askew([Rod<T>; 2]),
    /// One a side and something else sideways: one link more than an axle needs. What roll asks of them their rubber
    /// bushes give, all four alike: upper left and lower right grow by as much as the other two shrink.
    Giving([Rod<T>; 2]),
}

/// What holds it sideways.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Sideways<T: Real> {
    Links,
    Rod(Rod<T>),
    Crank(Crank<T>),
}

/// A crank pivoted on the axle about the car's length as measured, and its two rods. A rod's arm is from the pivot.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Crank<T: Real> {
    /// From the axle's origin, in the measured attitude.
    pivot: Vector3<T>,
    rods: [Rod<T>; 2],
}

/// Where a stiff axle is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lies<T: Real = f64> {
    /// The axle.
    pub placement: Placement<T>,
    /// Turn of its centre crank from where it was measured, about the axle's own forward direction, radians.
    pub crank: T,
}

/// What the two wheels are driven by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drives<T: Real>(pub [Drive<T>; 2]);

impl<T: Real> Beam<T> {
    /// As measured, from a checked description: every point that its linkage needs is there.
    pub fn new(axle: &Axle, name: AxleName, measured: &Measured<T>) -> Self {
        use PointName::{
            CentrePivot, CrankLower, CrankUpper, LateralRodAxle, LateralRodBody, LowerLinkAxle, LowerLinkBody,
            LowerRodBody, UpperLinkAxle, UpperLinkBody, UpperRodBody, WheelCentre,
        };
        let at = |side, name| measured.at(side, name).unwrap_or_else(Vector3::zeros);
        let centres = Side::BOTH.map(|side| at(side, WheelCentre));
        let origin = (centres[0] + centres[1]) * k::<T>(0.5);
        let rod = |side, body, held| Rod::new(at(side, body), at(side, held), origin);
        let pair = |body, held| Side::BOTH.map(|side| rod(side, body, held));
        let upper = match axle.lateral() {
            _ if axle.single_upper_link() => Upper::Single(rod(Side::Left, UpperLinkBody, UpperLinkAxle)),
            Lateral::Links => Upper::Askew(pair(UpperLinkBody, UpperLinkAxle)),
            _ => Upper::Giving(pair(UpperLinkBody, UpperLinkAxle)),
        };
        let sideways = match axle.lateral() {
            Lateral::Links => Sideways::Links,
            Lateral::Rod => Sideways::Rod(rod(Side::Left, LateralRodBody, LateralRodAxle)),
            Lateral::CentrePivot => {
                let pivot = at(Side::Left, CentrePivot);
                let rod = |body, held| Rod::new(at(Side::Left, body), at(Side::Left, held), pivot);
                let rods = [rod(UpperRodBody, CrankUpper), rod(LowerRodBody, CrankLower)];
                Sideways::Crank(Crank { pivot: pivot - origin, rods })
            }
        };
        let loaded_radius = k(axle.tyre.mounted(&axle.wheel).loaded_radius);
        let wheel = |i: usize| Rolling { arm: centres[i] - origin, spin: measured.spin[i], loaded_radius };
        Self { name, origin, lower: pair(LowerLinkBody, LowerLinkAxle), upper, sideways, wheels: [wheel(0), wheel(1)] }
    }

    fn equations(&self, lies: &Lies<T>, drives: &Drives<T>) -> System<T, 7> {
        let p = &lies.placement;
        let turn = p.matrix();
        let (mut left_over, mut slope) = ([T::zero(); 7], [[T::zero(); 7]; 7]);
        let mut put = |i: usize, (r, [x, y, z, a, b, c]): (T, [T; 6]), crank: T| {
            (left_over[i], slope[i]) = (r, [x, y, z, a, b, c, crank]);
        };
        let none = T::zero();
        let row = |rod: &Rod<T>| rod.row(p.at, &turn);
        let [ll, lr] = &self.lower;
        match &self.upper {
            Upper::Single(upper) => {
                put(0, row(ll), none);
                put(1, row(lr), none);
                put(2, row(upper), none);
            }
            Upper::Askew([ul, ur]) => {
                put(0, row(ll), none);
                put(1, row(lr), none);
                put(2, row(ul), none);
                put(3, row(ur), none);
            }
            Upper::Giving([ul, ur]) => {
                // Without what they give, which is the same in all four: upper left g, upper right -g, lower left -g,
                // lower right g.
                let [ll, lr, ul, ur] = [ll, lr, ul, ur].map(|rod| rod.giving_row(p.at, &turn));
                put(0, sum(ll, lr), none);
                put(1, sum(ul, ur), none);
                put(2, sum(ul, ll), none);
            }
        }
        let still = [none; 6];
        match &self.sideways {
            Sideways::Links => put(6, (lies.crank, still), T::one()),
            Sideways::Rod(rod) => {
                put(6, (lies.crank, still), T::one());
                put(3, row(rod), none);
            }
            Sideways::Crank(crank) => {
                let [upper, lower] = crank.rods.map(|rod| crank.row(&rod, p.at, &turn, lies.crank));
                put(6, (upper.0, upper.1), upper.2);
                put(3, (lower.0, lower.1), lower.2);
            }
        }
        for (i, (wheel, drive)) in self.wheels.iter().zip(&drives.0).enumerate() {
            let (reads, row) = drive.reads(p.at, turn * wheel.arm, turn * wheel.spin, wheel.loaded_radius);
            put(4 + i, (reads - drive.goal(), row), none);
        }
        System { left_over, slope }
    }

    /// A solved place in the scalar of this axle. With a dual scalar the first Newton step brings the first derivatives
    /// in and the second the mixed one. None in a toggle.
    pub fn settle(&self, from: &Lies, drives: [Drive<T>; 2]) -> Option<Lies<T>> {
        let drives = Drives(drives);
        let step = |lies: Lies<T>| {
            let System { left_over, slope } = self.equations(&lies, &drives);
            let slopes = Triangles::of(&slope);
            (slopes.sign != 0.0).then(|| lies.less(slopes.solve(&left_over)))
        };
        step(step(Lies { placement: from.placement.lifted(), crank: k(from.crank) })?)
    }

    /// How fast it moves per millimetre of the left wheel centre's z with the right one's still, and the other way
    /// round. None in a toggle.
    pub fn rates(&self, lies: &Lies<T>) -> Option<[Speed<T>; 2]> {
        let System { slope, .. } = self.equations(lies, &Drives([Drive::Height(T::zero()); 2]));
        let slopes = Triangles::of(&slope);
        (slopes.sign != 0.0).then(|| {
            [4, 5].map(|drive| {
                let right = std::array::from_fn(|i| if i == drive { T::one() } else { T::zero() });
                let [x, y, z, a, b, c, _] = slopes.solve(&right);
                Speed::new([x, y, z, a, b, c], lies.placement.at)
            })
        })
    }

    /// A joint of the centre crank that was measured at `p`.
    pub fn crank_joint(&self, lies: &Lies<T>, p: Vector3<T>) -> Option<Vector3<T>> {
        let Sideways::Crank(crank) = &self.sideways else { return None };
        let on_axle = crank.pivot + about(Vector3::x(), lies.crank, p - self.origin - crank.pivot);
        Some(lies.placement.at + lies.placement.matrix() * on_axle)
    }

    /// Turn of the centre crank from where it was measured.
    pub fn crank_turn(&self, lies: &Lies<T>) -> Matrix3<T> {
        let on_axle = [Vector3::x(), Vector3::y(), Vector3::z()].map(|e| about(Vector3::x(), lies.crank, e));
        lies.placement.matrix() * Matrix3::from_columns(&on_axle)
    }

    /// What each of four trailing links gives where there is one more than the axle needs, mm: the upper left and the
    /// lower right one longer by it, the others shorter.
    pub fn give(&self, lies: &Lies<T>) -> Option<T> {
        let Upper::Giving([left, _]) = &self.upper else { return None };
        Some(left.error(&lies.placement))
    }
}

impl<T: Real> Crank<T> {
    /// A rod's row, and how it changes with the crank's turn.
    fn row(&self, rod: &Rod<T>, at: Vector3<T>, turn: &Matrix3<T>, crank: T) -> (T, [T; 6], T) {
        let joint = about(Vector3::x(), crank, rod.arm);
        let arm = turn * (self.pivot + joint);
        let (left_over, along) = rod.stretch(at + arm);
        let turning = along.cross(&arm);
        let per_crank = along.dot(&(turn * Vector3::x().cross(&joint)));
        (left_over, [along.x, along.y, along.z, -turning.x, -turning.y, -turning.z], per_crank)
    }
}

fn sum<T: Real>(a: (T, [T; 6]), b: (T, [T; 6])) -> (T, [T; 6]) {
    (a.0 + b.0, std::array::from_fn(|i| a.1[i] + b.1[i]))
}

impl<T: Real> Lies<T> {
    fn less(&self, [x, y, z, a, b, c, crank]: [T; 7]) -> Self {
        Self { placement: self.placement.less([x, y, z, a, b, c]), crank: self.crank - crank }
    }
}

impl Mechanism<7> for (&Beam<f64>, Drives<f64>) {
    type State = Lies;
    type Aim = Drives<f64>;

    fn aim(&self, goals: [f64; 2]) -> Drives<f64> {
        let [left, right] = self.1.0;
        Drives([left.towards(goals[0]), right.towards(goals[1])])
    }

    fn system(&self, state: &Lies, aim: &Drives<f64>) -> System<f64, 7> {
        self.0.equations(state, aim)
    }

    fn less(&self, state: &Lies, step: &[f64; 7]) -> Lies {
        state.less(*step)
    }

    fn size(&self, [x, y, z, a, b, c, crank]: &[f64; 7]) -> f64 {
        newton::size(&[*x, *y, *z, *a, *b, *c]) + newton::size(&[0.0, 0.0, 0.0, *crank, 0.0, 0.0])
    }

    fn near(&self, a: &Lies, b: &Lies) -> bool {
        newton::near(&a.placement, &b.placement) && (a.crank - b.crank).abs() < 0.5
    }

    fn part(&self, row: usize) -> Option<&'static str> {
        match (row, &self.0.upper, &self.0.sideways) {
            (0, ..) => Some("lower link"),
            (1, Upper::Giving(_), _) | (2, ..) => Some("upper link"),
            (1, ..) => Some("lower link"),
            (3, _, Sideways::Links) => Some("upper link"),
            (3, _, Sideways::Rod(_)) => Some("lateral rod"),
            (3 | 6, _, Sideways::Crank(_)) => Some("centre crank"),
            _ => None,
        }
    }
}

impl Beam<f64> {
    /// The equations' slope where it lies, with the wheel centres' heights for drives.
    pub fn slope(&self, lies: &Lies) -> [[f64; 7]; 7] {
        self.equations(lies, &Drives([Drive::Height(0.0); 2])).slope
    }

    /// How fast it moves, and how fast its crank turns, per millimetre of each wheel centre's z.
    pub fn rates_with_crank(&self, lies: &Lies) -> Option<[(Speed, f64); 2]> {
        let slopes = Triangles::of(&self.slope(lies));
        (slopes.sign != 0.0).then(|| {
            [4, 5].map(|drive| {
                let right = std::array::from_fn(|i| if i == drive { 1.0 } else { 0.0 });
                let [x, y, z, a, b, c, crank] = slopes.solve(&right);
                (Speed::new([x, y, z, a, b, c], lies.placement.at), crank)
            })
        })
    }

    /// What each equation may be off its slope, mm, after a shift (mm) and a turn (rad) of the axle and a turn of its
    /// crank (rad) no larger than these: see [`super::upright::Upright::bends`].
    pub fn bends(&self, lies: &Lies, shift: f64, turn: f64, crank: f64) -> [f64; 7] {
        let bend = |arm: f64, length: f64, moved: f64| turn * turn * arm / 2.0 + moved * moved / (2.0 * length);
        // As long as it is: a link that gives is not as long as it was measured.
        let long = |rod: &Rod<f64>| rod.length + rod.error(&lies.placement);
        let rod = |rod: &Rod<f64>| bend(rod.arm.norm(), long(rod), shift + turn * rod.arm.norm());
        let [ll, lr] = [rod(&self.lower[0]), rod(&self.lower[1])];
        let upper = match &self.upper {
            Upper::Single(upper) => [ll, lr, rod(upper), 0.0],
            Upper::Askew(upper) => [ll, lr, rod(&upper[0]), rod(&upper[1])],
            Upper::Giving(upper) => {
                let [ul, ur] = [rod(&upper[0]), rod(&upper[1])];
                [ll + lr, ul + ur, ul + ll, 0.0]
            }
        };
        let (sideways, cranked) = match &self.sideways {
            Sideways::Links => (upper[3], 0.0),
            Sideways::Rod(lateral) => (rod(lateral), 0.0),
            Sideways::Crank(c) => {
                let of = |rod: &Rod<f64>| {
                    let (joint, arm) = (rod.arm.norm(), (c.pivot + about(Vector3::x(), lies.crank, rod.arm)).norm());
                    let moved = shift + turn * arm + crank * joint;
                    bend(arm, rod.length, moved) + crank * crank * joint / 2.0 + turn * crank * joint
                };
                (of(&c.rods[1]), of(&c.rods[0]))
            }
        };
        let wheel = |i: usize| turn * turn * self.wheels[i].arm.norm() / 2.0;
        [upper[0], upper[1], upper[2], sideways, wheel(0), wheel(1), cranked]
    }

    /// Where it lies for two drives, started from where it is known to lie.
    ///
    /// # Errors
    /// [`OutOfReach`], with the last pose that could be reached on the way.
    pub fn place(&self, from: &Lies, drives: [Drive; 2]) -> Result<Lies, OutOfReach> {
        let met = || {
            let (at, turn) = (from.placement.at, from.placement.matrix());
            [0, 1].map(|i| {
                let wheel = &self.wheels[i];
                drives[i].reads(at, turn * wheel.arm, turn * wheel.spin, wheel.loaded_radius).0
            })
        };
        let goals = [drives[0].goal(), drives[1].goal()];
        newton::place(&(self, Drives(drives)), from, met, goals).map_err(|stopped| {
            let short = [0, 1].map(|i| (goals[i] - stopped.goals[i]).abs());
            let side = if short[1] > short[0] { Side::Right } else { Side::Left };
            let height =
                stopped.state.placement.at.z + (stopped.state.placement.matrix() * self.wheels[side as usize].arm).z;
            OutOfReach { hub: Hub { axle: self.name, side }, part: stopped.part, height, rack: 0.0 }
        })
    }

    /// Largest error of what holds it, mm.
    pub fn residual(&self, lies: &Lies) -> f64 {
        let system = self.equations(lies, &Drives([Drive::Height(0.0); 2]));
        [0, 1, 2, 3, 6].map(|row: usize| system.left_over[row].abs()).into_iter().fold(0.0, f64::max)
    }
}
