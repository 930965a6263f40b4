//! Lines to scribe on a rail's faces, each told by where its ends lie on the rail's edges.

use nalgebra::Vector3;
use serde::Serialize;

use crate::answer::words;
use crate::car::{CutEnd, RailFace};
use crate::space::{FACES, Face, RailRun, SawPlane};

/// A line across a face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScribeLine {
    /// The end that it marks.
    pub end: CutEnd,
    /// The face.
    pub face: Face,
    /// Where it meets the face's edges; around a round rail, where it meets four lines along it.
    pub marks: Vec<Mark>,
    /// How far from the first mark's edge it runs, across the face, where it does not run to the other edge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deep_mm: Option<f64>,
}

/// A place on an edge of a rail.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mark {
    /// The edge, or of a round rail the line along it.
    pub edge: &'static str,
    /// Along the rail's run, square to it.
    pub station_mm: f64,
    /// A tape laid along that edge from the rail's end at the datum, whatever station that end has.
    pub tape_mm: f64,
    /// Where that is, body frame: of a rail that is there on both sides on the left one.
    pub at_mm: [f64; 3],
}

/// The edges of a box, in the order of its corners.
pub(in crate::answer) const EDGES: [&str; 4] = ["outer top", "inner top", "inner bottom", "outer bottom"];

/// Lines of a plane through a rail, on each face.
pub(super) fn of_plane(run: &RailRun, plane: SawPlane, end: CutEnd) -> Vec<ScribeLine> {
    let marks = marks(run, plane);
    if run.radius.is_some() {
        return vec![ScribeLine { end, face: Face::Round, marks: marks.to_vec(), deep_mm: None }];
    }
    let line = |(k, face)| ScribeLine { end, face, marks: vec![marks[k], marks[(k + 1) % 4]], deep_mm: None };
    FACES.into_iter().enumerate().map(line).collect()
}

/// Lines of an end of a notch: all across the face that goes, and down from its edges on the two faces beside it.
pub(super) fn of_notch(run: &RailRun, station: f64, end: CutEnd, face: RailFace, depth: f64) -> Vec<ScribeLine> {
    let marks = marks(run, SawPlane::square(station));
    let k = RailFace::ALL.iter().position(|f| *f == face).unwrap_or(0);
    let beside = |face: usize, mark: usize| ScribeLine {
        end,
        face: FACES[face],
        marks: vec![marks[mark]],
        deep_mm: Some(depth),
    };
    let across = ScribeLine { end, face: FACES[k], marks: vec![marks[k], marks[(k + 1) % 4]], deep_mm: None };
    // A face lies between its own corner and the next; its neighbours share one of those with it each.
    vec![across, beside((k + 3) % 4, k), beside((k + 1) % 4, (k + 1) % 4)]
}

/// Where a plane meets a box's four edges, or a round rail's top, inner, bottom and outer lines.
pub(in crate::answer) fn marks(run: &RailRun, plane: SawPlane) -> [Mark; 4] {
    let stretch = run.at_station(plane.station).0;
    // Over the rail's own end there is nothing to mark, and no plan goes there.
    let met = run.sawn_at(plane).unwrap_or([(stretch, 0.0); 4]);
    let edge = |k: usize, section: &[Vector3<f64>; 4]| match run.radius {
        Some(_) => (section[k] + section[(k + 1) % 4]) / 2.0,
        None => section[k],
    };
    std::array::from_fn(|k| {
        // Half way between two corners of a round rail's square the plane is half way too, but where it goes over a bend.
        let (stretch, share) = match (run.radius, met[k], met[(k + 1) % 4]) {
            (Some(_), (i, a), (j, b)) if i == j => (i, (a + b) / 2.0),
            (_, found, _) => found,
        };
        let (way, _, _) = run.frame_of(stretch);
        let at = |i: usize| edge(k, &run.sections[i]);
        let place = at(stretch) + (at(stretch + 1) - at(stretch)) * share;
        let whole: f64 = (0..stretch).map(|i| (at(i + 1) - at(i)).norm()).sum();
        Mark {
            edge: if run.radius.is_some() { RailFace::ALL[k].word() } else { EDGES[k] },
            station_mm: run.stations[stretch] + (place - run.centreline[stretch]).dot(&way),
            tape_mm: whole + (place - at(stretch)).norm(),
            at_mm: words::point(place),
        }
    })
}
