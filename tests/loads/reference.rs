//! The same linkages by the displacement method: elastic joints, least energy (tests/reference/loads.py).

use scribeline::car::{Hub, PointName};
use scribeline::motion::alignment::level_between;
use scribeline::strength::forces::{JointForce, Part};
use serde_json::Value;

use super::*;

/// Of the largest force of a load: what the elastic solution is good to.
const ALIKE: f64 = 1e-8;

fn vector(v: &Value) -> Vector3<f64> {
    Vector3::from_fn(|i, _| v[i].as_f64().unwrap())
}

fn point(name: &str) -> PointName {
    *PointName::ALL.iter().find(|p| p.name() == name).unwrap()
}

#[test]
fn forces_are_those_of_an_elastic_linkage_of_any_stiffness() {
    let text = std::fs::read_to_string(format!("{}/tests/reference/loads.json", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let corners: Vec<Value> = serde_json::from_str(&text).unwrap();
    let mut compared = 0;
    for corner in &corners {
        let name = corner["car"].as_str().unwrap();
        let gear = RunningGear::new(&car(&format!("tests/reference/{name}"))).unwrap();
        let front = corner["axle"] == "front";
        let axle = gear.axle(if front { AxleName::Front } else { AxleName::Rear }).unwrap();
        let wheels = axle.as_measured();
        for load in corner["loads"].as_array().unwrap() {
            let label = format!("{name} {}: {}", corner["axle"], load["force"]);
            let at =
                WheelLoad { driven: vector(&load["force"]), moment: vector(&load["moment"]), ..WheelLoad::default() };
            let told = forces(axle, &wheels, &level_between(axle, &wheels), &[at, WheelLoad::default()]).unwrap();
            let left = |j: &&JointForce| j.side == Some(Side::Left);
            let at = |name: &str, on: Part, rod: bool| {
                let found =
                    told.joints.iter().filter(left).find(|j| j.point == point(name) && j.on == on && j.rod == rod);
                *found.unwrap_or_else(|| panic!("{label}: no {name}"))
            };
            let most = told.members.iter().map(|m| m.axial.abs()).fold(1000.0, f64::max);
            let mut alike = |what: &str, ours: f64, theirs: f64, scale: f64| {
                assert!((ours - theirs).abs() < ALIKE * scale, "{label}, {what}: {ours} {theirs}");
                compared += 1;
            };
            let mut vectors = |what: &str, ours: Vector3<f64>, theirs: &Value, scale: f64| {
                (0..3).for_each(|i| alike(what, ours[i], theirs[i].as_f64().unwrap(), scale));
            };
            for (name, force) in load["joints"].as_object().unwrap() {
                vectors(name, at(name, Part::Upright(Side::Left), false).force, force, most);
            }
            for (name, force) in load["pickups"].as_object().unwrap() {
                let ours = at(name, Part::Body, false).force;
                let arm = |end: &str| {
                    let hub = Hub { axle: axle.name, side: Side::Left };
                    axle.at(&wheels[hub.side as usize], point(&name.replace("front", end).replace("rear", end)))
                        .unwrap()
                };
                let along =
                    if name.starts_with("arm") { Vector3::zeros() } else { (arm("rear") - arm("front")).normalize() };
                vectors(name, ours - along * along.dot(&ours), force, most);
            }
            for (arm, force) in load["together"].as_object().unwrap() {
                let both = ["front", "rear"].map(|end| at(&format!("{arm}_{end}"), Part::Body, false).force);
                vectors(arm, both[0] + both[1], force, most);
            }
            if let Some(rocker) = load.get("rocker") {
                let ours = at("rocker_pivot", Part::Body, false);
                vectors("rocker", ours.force, &rocker["force"], most);
                vectors("rocker's moment", ours.moment, &rocker["moment"], 300.0 * most);
            }
            if let Some(top) = load.get("top") {
                let ours = at("damper_top", Part::Body, false).force + at("damper_top", Part::Body, true).force;
                vectors("top mount", ours, top, most);
            }
            for (outer, tension) in load["rods"].as_object().unwrap() {
                let ours = told.members.iter().find(|m| m.ends[1] == point(outer) && m.side == Some(Side::Left));
                alike(outer, ours.unwrap().axial, tension.as_f64().unwrap(), most);
            }
        }
    }
    assert!(compared > 300, "{compared}");
}
