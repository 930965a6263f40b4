//! The pose that the car stands in: set by hand, or swept.

use std::f64::consts::TAU;

use bevy::prelude::*;

use super::desk::{Built, Desk};
use crate::motion::{Pose, Posed};

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Posing>().add_systems(Update, (sweep, stand).chain());
}

/// The pose asked for, and the car standing in it.
#[derive(Resource, Debug, Default)]
pub struct Posing {
    /// Asked for.
    pub pose: Pose,
    /// Whether it is being swept.
    pub playing: bool,
    /// How far through the sweep, 0 to 1.
    through: f64,
    /// The car in the last pose that it could take.
    pub stands: Option<Posed>,
    /// What it is compared with, in the same pose.
    pub ghost: Option<Posed>,
    /// What stops it from taking the pose that was asked for.
    pub stuck: Option<String>,
    /// The pose and edition of the car last stood.
    stood: Option<(Pose, u64)>,
    /// Goes up whenever it stands otherwise than before.
    pub edition: u64,
}

impl Posing {
    /// Takes a pose by hand.
    pub fn take(&mut self, pose: Pose) {
        self.playing = false;
        self.pose = pose;
    }

    /// Starts or stops the sweep, from where it was left.
    pub fn play(&mut self) {
        self.playing = !self.playing;
    }
}

/// Seconds that one whole sweep takes.
const PERIOD: f64 = 14.0;

/// Bump and droop, then roll, then steer: each out one way, back through ride height, and out the other way.
fn sweep(mut posing: ResMut<Posing>, desk: Res<Desk>, time: Res<Time>) {
    if !posing.playing {
        return;
    }
    posing.through = (posing.through + time.delta_secs_f64() / PERIOD).fract();
    posing.pose = swept(desk.looked_at(), posing.through);
}

fn swept(built: &Built, through: f64) -> Pose {
    let (act, along) = ((through * 3.0) as usize, (through * 3.0).fract());
    // Eased at both ends of each act, so that one glides into the next.
    let eased = along * along * (3.0 - 2.0 * along);
    let wave = (TAU * eased).sin();
    let (sweep, rack) = (&built.car.sweep, built.steering_travel() * built.rack_for_left);
    let [bump, droop] = both_axles(built, f64::min);
    match act {
        0 => Pose { heave: if wave > 0.0 { -bump * wave } else { -droop * wave }, ..Pose::default() },
        1 => Pose { roll: sweep.roll * wave, ..Pose::default() },
        _ => Pose { rack: rack * wave, ..Pose::default() },
    }
}

/// Bump and droop of the sweep, of whichever axle has less or more of it, mm.
pub fn both_axles(built: &Built, pick: fn(f64, f64) -> f64) -> [f64; 2] {
    let each = built.car.axles().map(|(name, _)| built.car.sweep.travel(name));
    each.reduce(|a, b| [pick(a[0], b[0]), pick(a[1], b[1])]).unwrap_or_default()
}

fn stand(mut posing: ResMut<Posing>, desk: Res<Desk>) {
    if posing.stood == Some((posing.pose, desk.edition)) {
        return;
    }
    let same_car = posing.stood.is_some_and(|(_, edition)| edition == desk.edition);
    let near = posing.stands.take().filter(|_| same_car);
    let pose = posing.pose;
    match stands(desk.looked_at(), near.as_ref(), &pose) {
        Ok(posed) => (posing.stands, posing.stuck) = (Some(posed), None),
        Err(why) => {
            posing.stuck = Some(why);
            posing.stands = near.or_else(|| Some(desk.looked_at().gear.ride.clone()));
        }
    }
    let taken = posing.stands.as_ref().map_or(pose, |s| s.pose);
    posing.ghost = desk.proposal().and_then(|_| stands(desk.compared(), None, &taken).ok());
    posing.stood = Some((pose, desk.edition));
    posing.edition += 1;
}

fn stands(built: &Built, near: Option<&Posed>, pose: &Pose) -> Result<Posed, String> {
    let gear = &built.gear;
    gear.stand_from(near.unwrap_or(&gear.ride), pose).map_err(|e| e.to_string())
}
