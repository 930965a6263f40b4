//! The bound of a piece of a sweep against poses in it: nothing may lie further from where it is in the middle than the
//! bound says. Over all demo cars and all reference cars.

use nalgebra::Vector2;
use scribeline::car::{Hub, PointName};
use scribeline::space::{Beside, WheelSweep};

use crate::every_corner::{cars, measured};

/// Half sizes of pieces, mm.
const HALVES: [f64; 3] = [12.0, 4.0, 1.0];
/// What rounding and the solver may add, mm.
const ROUNDING: f64 = 1e-7;

/// Places in the unit square that fill it evenly (M. Roberts' sequence on the plastic number, from memory), and its corners.
fn places() -> impl Iterator<Item = Vector2<f64>> {
    let even = |i: i32, part: f64| (f64::from(i) * part).fract() * 2.0 - 1.0;
    let corners = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)].map(|(x, y)| Vector2::new(x, y));
    corners.into_iter().chain((1..=12).map(move |i| Vector2::new(even(i, 0.754_877_67), even(i, 0.569_840_29))))
}

#[test]
fn nothing_moves_further_in_a_piece_of_a_sweep_than_its_bound() {
    let (mut held, mut small, mut unheld, mut closest, mut boxed) = (0, 0, 0, 0.0f64, [0.0f64; 3]);
    for tried in cars() {
        for hub in Hub::ALL {
            let Some(axle) = tried.gear.axle(hub.axle) else { continue };
            let sweep = WheelSweep::new(&tried.gear, hub, &tried.car.sweep, tried.steering(axle)).unwrap();
            // Every fourth pose: extremes come first, the middle last.
            for (at, pose) in sweep.poses.iter().step_by(4) {
                for half in HALVES.map(|mm| Vector2::new(mm, if sweep.beside == Beside::Nothing { 0.0 } else { mm })) {
                    let leeway = axle.leeway(pose, half);
                    // A large piece has no bound everywhere.
                    if half.x == HALVES[2] {
                        small += 1;
                        unheld += i32::from(leeway.is_none());
                    }
                    let Some(leeway) = leeway else { continue };
                    let steering = if sweep.beside == Beside::Steering { half.y } else { 0.0 };
                    let names = || measured(&axle.described);
                    let bounds: Vec<_> = names().map(|n| axle.point_leeway(pose, &leeway, steering, n)).collect();
                    for place in places() {
                        let Ok(other) = tried.gear.raise(pose, at + half.component_mul(&place)) else { continue };
                        let label = || format!("{} {} at {at:?} within {half:?}", tried.name, hub.words());
                        let mut within = |moved: f64, bound: f64, what: &str| {
                            assert!(moved <= bound + ROUNDING, "{}: {what} moves {moved}, said {bound}", label());
                            closest = closest.max(moved / (bound + ROUNDING));
                            held += 1;
                        };
                        within((other.wheel_centre - pose.wheel_centre).norm(), leeway.centre, "wheel centre");
                        within((other.spin - pose.spin).norm() * 300.0, leeway.axis * 300.0, "spin axis");
                        for (name, bound) in names().zip(&bounds) {
                            let (Some(bound), Some(a), Some(b)) = (bound, axle.at(pose, name), axle.at(&other, name))
                            else {
                                continue;
                            };
                            within((b - a).norm(), *bound, name.name());
                            use PointName::{IdlerEnd, PitmanEnd, TieRodInner};
                            let i = [PitmanEnd, IdlerEnd, TieRodInner].iter().position(|n| *n == name);
                            if let (Some(i), true) = (i, axle.described.steering_box.is_some()) {
                                boxed[i] = boxed[i].max((b - a).norm() / (bound + ROUNDING));
                            }
                        }
                    }
                }
            }
        }
    }
    // The bound is of use: small pieces have one but near a toggle, and somewhere it is all but reached.
    assert!(unheld * 50 < small, "{unheld} of {small}");
    assert!(boxed.iter().all(|most| *most > 0.9), "a steering box's: {boxed:?}");
    assert!(held > 500_000 && (0.9..=1.0).contains(&closest), "{held} {closest}");
}
