//! The wishbone corner as a least-squares problem: wheel centre and rotation vector, six residuals, their derivatives
//! worked out by hand, as a careful user of a Levenberg-Marquardt library would write it.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::Vector2;
use nalgebra_of_lm::{Matrix3, Matrix6, Rotation3, U6, Vector3, Vector6, storage::Owned};
use scribeline::car::PointName::{
    self, LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperRear,
    WheelCentre,
};
use scribeline::car::axle::{Axle, Side};

/// Five rods and a height.
#[derive(Clone, Copy)]
pub struct Corner {
    rods: [Rod; 5],
    /// Inner tie-rod joint, steering straight ahead.
    inner: Vector3<f64>,
    rack: Vector3<f64>,
    ride: f64,
    goal: f64,
    /// Where it is: centre and rotation vector.
    x: Vector6<f64>,
    turn: Matrix3<f64>,
}

#[derive(Clone, Copy)]
struct Rod {
    body: Vector3<f64>,
    arm: Vector3<f64>,
    length: f64,
}

impl Corner {
    /// The left wheel as measured; `ride` is its centre's z at ride height.
    pub fn new(axle: &Axle, ride: f64) -> Self {
        let on = |side, name: PointName| {
            let p = axle.point(side, name).expect("it was measured");
            Vector3::new(p.x, p.y, p.z)
        };
        let at = |name| on(Side::Left, name);
        let centre = at(WheelCentre);
        let rods = [
            (LowerFront, LowerBallJoint),
            (LowerRear, LowerBallJoint),
            (UpperFront, UpperBallJoint),
            (UpperRear, UpperBallJoint),
            (TieRodInner, TieRodOuter),
        ]
        .map(|(body, outer)| Rod {
            body: at(body),
            arm: at(outer) - centre,
            length: (at(outer) - at(body)).norm(),
        });
        Self {
            rods,
            inner: at(TieRodInner),
            rack: (at(TieRodInner) - on(Side::Right, TieRodInner)).normalize(),
            ride,
            goal: centre.z,
            x: Vector6::new(centre.x, centre.y, centre.z, 0.0, 0.0, 0.0),
            turn: Matrix3::identity(),
        }
    }

    /// On to travel and steering near by, as tight as the core: the objective is half the squares of errors of 1e-10 mm.
    pub fn raise(&mut self, place: Vector2<f64>) -> f64 {
        self.goal = self.ride + place.x;
        self.rods[4].body = self.inner + self.rack * place.y;
        let (found, report) = LevenbergMarquardt::new().with_tol(1e-10).minimize(*self);
        assert!(report.objective_function < 5e-21, "{report:?}");
        *self = found;
        self.x.y
    }

    /// Rods as vectors, and their joints on the upright from its centre.
    fn posed(&self) -> [(Vector3<f64>, Vector3<f64>); 5] {
        let at = self.x.fixed_rows::<3>(0);
        self.rods.map(|rod| {
            let arm = self.turn * rod.arm;
            (at + arm - rod.body, arm)
        })
    }
}

impl LeastSquaresProblem<f64, U6, U6> for Corner {
    type ResidualStorage = Owned<f64, U6>;
    type JacobianStorage = Owned<f64, U6, U6>;
    type ParameterStorage = Owned<f64, U6>;

    fn set_params(&mut self, x: &Vector6<f64>) {
        self.x = *x;
        self.turn = Rotation3::new(x.fixed_rows::<3>(3)).into_inner();
    }

    fn params(&self) -> Vector6<f64> {
        self.x
    }

    fn residuals(&self) -> Option<Vector6<f64>> {
        let rods = self.posed();
        let error = |i: usize| if i < 5 { rods[i].0.norm() - self.rods[i].length } else { self.x.z - self.goal };
        Some(Vector6::from_fn(|i, _| error(i)))
    }

    fn jacobian(&self) -> Option<Matrix6<f64>> {
        // A small turn in the body frame, by the rotation vector (the left Jacobian of SO(3); J. Sola et al., A micro
        // Lie theory for state estimation in robotics, 2018, eq. 145).
        let v = self.x.fixed_rows::<3>(3).into_owned();
        let (angle, k) = (v.norm(), v.cross_matrix());
        let left = if angle < 1e-4 {
            Matrix3::identity() + k / 2.0 + k * k / 6.0
        } else {
            let (sin, cos) = angle.sin_cos();
            Matrix3::identity() + k * ((1.0 - cos) / angle.powi(2)) + k * k * ((angle - sin) / angle.powi(3))
        };
        let mut slope = Matrix6::zeros();
        for (i, (rod, arm)) in self.posed().into_iter().enumerate() {
            let along = rod.normalize();
            slope.fixed_view_mut::<1, 3>(i, 0).copy_from(&along.transpose());
            slope.fixed_view_mut::<1, 3>(i, 3).copy_from(&(arm.cross(&along).transpose() * left));
        }
        slope[(5, 2)] = 1.0;
        Some(slope)
    }
}
