//! Laying a scan on the car: which scan, the pairs of points that are still being picked, and picking them on the stage.
//!
//! Pairs that are whole stand in the car file, where every edit of them can be undone; only what is not whole yet, or too
//! few to lay a scan by, waits here.

use std::path::{Path, PathBuf};

use bevy::prelude::*;
use bevy_egui::egui::{self, Painter, Stroke};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};
use nalgebra::{Point3, Vector3};

use super::camera::{Sight, Stage};
use super::desk::{Built, Command, Desk, Notice};
use super::marking::{self, Mark};
use super::posing::Posing;
use super::scene::frame::{back, v};
use super::theme;
use crate::answer::ScannedMesh;
use crate::car::{Edit, FileUnit, NewScan, Picked, Scan, ScanFact};

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Laying>()
        .add_systems(EguiPrimaryContextPass, pick.after(super::panels::lay_out).before(marking::mark));
}

/// A scan is laid by no fewer pairs than this.
pub const FEWEST: usize = 3;

/// A point of a pair, whose numbers are typed one after another.
pub type Typed = [Option<f64>; 3];

/// A pair that may not be whole yet.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pair {
    /// On the scan, in its own unit and frame.
    pub scan: Typed,
    /// On the car, mm.
    pub car: Typed,
}

/// A point of which all three numbers are there.
fn all(typed: Typed) -> Option<[f64; 3]> {
    Some([typed[0]?, typed[1]?, typed[2]?])
}

impl Pair {
    /// Its point on the scan.
    pub fn on_scan(self) -> Option<[f64; 3]> {
        all(self.scan)
    }

    /// Its point on the car, mm.
    pub fn on_car(self) -> Option<Vector3<f64>> {
        all(self.car).map(Vector3::from)
    }

    fn whole(self) -> Option<Picked> {
        Some(Picked { scan: self.on_scan()?, car: self.on_car()? })
    }
}

/// What a click on the stage is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Picking {
    /// The scan's point of a pair.
    OnScan(usize),
    /// The car's.
    OnCar(usize),
}

/// What is being laid.
#[derive(Resource, Debug, Default)]
pub struct Laying {
    /// Whether the panel is open.
    pub open: bool,
    /// Name of the scan.
    pub scan: Option<String>,
    /// Pairs that the car file does not have yet; they follow those that it has.
    pub waiting: Vec<Pair>,
    /// What a click on the stage picks.
    pub picking: Option<Picking>,
    /// Whether the click of this moment has picked something, and is nobody else's.
    pub picked: bool,
}

impl Laying {
    /// The scan that is laid, as the car file has it.
    pub fn of<'a>(&self, desk: &'a Desk) -> Option<&'a Scan> {
        let scans = &desk.file().car().scans;
        scans.iter().find(|s| Some(&s.name) == self.scan.as_ref()).or(scans.first())
    }

    /// Turns to another scan.
    pub fn choose(&mut self, name: String) {
        if self.scan.as_ref() != Some(&name) {
            *self = Self { open: self.open, scan: Some(name), ..Self::default() };
        }
    }

    /// Every pair of a scan, those that wait last.
    pub fn pairs(&self, scan: &Scan) -> Vec<Pair> {
        let laid =
            scan.place.iter().map(|p| Pair { scan: p.scan.map(Some), car: [p.car.x, p.car.y, p.car.z].map(Some) });
        laid.chain(self.waiting.iter().copied()).collect()
    }

    /// Takes these pairs for all of a scan's: gives the edit for those that are whole, and keeps the others waiting.
    pub fn put(&mut self, scan: &Scan, pairs: &[Pair]) -> Option<Edit> {
        let whole: Vec<Picked> = pairs.iter().filter_map(|p| p.whole()).collect();
        let place = if whole.len() >= FEWEST { whole } else { Vec::new() };
        self.waiting = pairs.iter().filter(|p| place.is_empty() || p.whole().is_none()).copied().collect();
        let fact = ScanFact::Place(place.clone());
        (place != scan.place).then(|| Edit::PutScan { scan: scan.name.clone(), fact })
    }
}

/// Brings a mesh file in as a scan of the car on the desk.
///
/// # Errors
/// In words for the user.
pub fn bring(path: &Path, desk: &mut Desk, laying: &mut Laying) -> Result<(), String> {
    let Some(folder) = desk.folder() else {
        return Err("Save the car file first: a scan is found again by where it lies from there.".to_owned());
    };
    let mesh = ScannedMesh::open(path, None).map_err(|fault| format!("{}: {fault}", path.display()))?;
    let scans = &desk.file().car().scans;
    let stem = path.file_stem().map_or("scan".into(), |s| s.to_string_lossy().replace(['_', '-'], " "));
    let taken = |name: &str| scans.iter().any(|s| s.name == name);
    let numbered = (2..).map(|n| format!("{stem} {n}"));
    let Some(name) = std::iter::once(stem.clone()).chain(numbered).find(|name| !taken(name)) else { return Ok(()) };
    // Nothing that is worth a scan is smaller than a fist: metres were meant.
    let small = mesh.unit == FileUnit::Mm && mesh.size_mm.iter().all(|mm| *mm < 20.0);
    let unit = if small { FileUnit::M } else { mesh.unit };
    let new = NewScan { name: name.clone(), file: beside(&folder, path), unit, check: mesh.check };
    desk.obey(Command::Edit(Edit::BringScan(new)))?;
    laying.choose(name);
    laying.open = true;
    Ok(())
}

/// Where a file is from a folder, with `/` between the steps; all of its path where the two share no root.
fn beside(folder: &Path, file: &Path) -> String {
    let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let (folder, file) = (whole(folder), whole(file));
    let shared = folder.components().zip(file.components()).take_while(|(a, b)| a == b).count();
    let up = folder.components().count() - shared;
    let relative: PathBuf = std::iter::repeat_n("..".into(), up)
        .chain(file.components().skip(shared).map(|c| PathBuf::from(c.as_os_str())))
        .collect();
    let path = if shared == 0 { file } else { relative };
    path.components()
        .map(|c| c.as_os_str().to_string_lossy().into_owned())
        .collect::<Vec<_>>()
        .join("/")
        .replace("//", "/")
}

/// What lies under the mouse.
struct Under {
    /// Body frame, mm.
    at: Vector3<f64>,
    words: String,
}

#[allow(clippy::too_many_arguments)]
fn pick(
    mut contexts: EguiContexts,
    mut laying: ResMut<Laying>,
    mut stage: ResMut<Stage>,
    sight: Sight,
    desk: Res<Desk>,
    posing: Res<Posing>,
    mut commands: MessageWriter<Command>,
    mut notice: ResMut<Notice>,
) -> Result {
    laying.picked = false;
    if let Some(scan) = laying.of(&desk).filter(|_| laying.open) {
        mark_pairs(contexts.ctx_mut()?, &stage, &sight, desk.looked_at(), scan, &laying.pairs(scan));
    }
    let Some(picking) = laying.picking.filter(|_| laying.open) else { return Ok(()) };
    let ctx = contexts.ctx_mut()?;
    let (Some(scan), Some(mouse)) = (laying.of(&desk), marking::free_mouse(ctx, &stage)) else { return Ok(()) };
    let (built, body) = (desk.looked_at(), sight.body());
    let Some(ray) = sight.ray(mouse) else { return Ok(()) };
    let undo = body.compute_affine().inverse();
    let from = back(undo.transform_point3(ray.origin));
    let along = back(undo.transform_vector3(*ray.direction)).normalize();
    let under = match picking {
        Picking::OnScan(_) => on_scan(built, &scan.name, from, along),
        Picking::OnCar(_) => {
            let marked = marking::nearest(built, posing.stands.as_ref(), &sight, mouse);
            let mark = marked.and_then(|mark: Mark| Some(Under { at: mark.measured(built)?, words: mark.words() }));
            mark.or_else(|| on_car(built, &scan.name, from, along))
        }
    };
    ctx.set_cursor_icon(egui::CursorIcon::Crosshair);
    let Some(under) = under else { return Ok(()) };
    let layer = egui::LayerId::new(egui::Order::Background, "picks".into());
    let painter = Painter::new(ctx.clone(), layer, stage.rect);
    if let Some(at) = sight.screen(sight.world(v(under.at))) {
        painter.circle_stroke(at, 7.0, Stroke::new(4.0, theme::BLANK));
        painter.circle_stroke(at, 7.0, Stroke::new(2.0, theme::BLUE));
        marking::tag(&painter, at + egui::vec2(12.0, -12.0), &under.words);
    }
    stage.busy = ctx.input(|i| i.pointer.primary_down()) && stage.busy;
    if ctx.input(|i| i.pointer.primary_clicked()) {
        let scan = scan.clone();
        let mut pairs = laying.pairs(&scan);
        let (Picking::OnScan(i) | Picking::OnCar(i)) = picking;
        pairs.resize(pairs.len().max(i + 1), Pair::default());
        match picking {
            Picking::OnScan(_) => pairs[i].scan = in_scan(built, &scan, under.at).map_or([None; 3], |p| p.map(Some)),
            Picking::OnCar(_) => pairs[i].car = [under.at.x, under.at.y, under.at.z].map(Some),
        }
        laying.picked = true;
        // The one is followed by the other.
        laying.picking = match picking {
            Picking::OnScan(i) if pairs[i].on_car().is_none() => Some(Picking::OnCar(i)),
            Picking::OnCar(i) if pairs[i].on_scan().is_none() => Some(Picking::OnScan(i)),
            _ => None,
        };
        commands.write_batch(laying.put(&scan, &pairs).map(Command::Edit));
        notice.0 = None;
    }
    Ok(())
}

/// Each pair on the stage, by its number: a dot where it is on the car, a ring where the scan has it, a line between.
fn mark_pairs(ctx: &egui::Context, stage: &Stage, sight: &Sight, built: &Built, scan: &Scan, pairs: &[Pair]) {
    let layer = egui::LayerId::new(egui::Order::Background, "pairs".into());
    let painter = Painter::new(ctx.clone(), layer, stage.rect);
    let on_screen = |at: Vector3<f64>| sight.screen(sight.world(v(at)));
    for (i, pair) in pairs.iter().enumerate() {
        let ring = pair.on_scan().and_then(|p| on_screen(on_body(built, scan, p)?));
        let dot = pair.on_car().and_then(on_screen);
        if let (Some(from), Some(to)) = (ring, dot) {
            painter.line_segment([from, to], Stroke::new(1.5, theme::BLUE));
        }
        if let Some(at) = ring {
            painter.circle_stroke(at, 6.0, Stroke::new(3.5, theme::BLANK));
            painter.circle_stroke(at, 6.0, Stroke::new(1.6, theme::BLUE));
        }
        if let Some(at) = dot {
            painter.circle(at, 3.2, theme::BLUE, Stroke::new(1.0, theme::BLANK));
        }
        if let Some(at) = ring.or(dot) {
            marking::tag(&painter, at + egui::vec2(8.0, -20.0), &(i + 1).to_string());
        }
    }
}

/// The scan as it lies, as scanned or on the other side.
fn on_scan(built: &Built, name: &str, from: Vector3<f64>, along: Vector3<f64>) -> Option<Under> {
    let scanned = built.scans.get(name)?;
    // Only the side that was scanned: its mirror image has no points of its own.
    let at = from + along * scanned.solid.struck(from, along)?;
    Some(Under { at, words: format!("on the {name}") })
}

/// Any other part of the body.
fn on_car(built: &Built, name: &str, from: Vector3<f64>, along: Vector3<f64>) -> Option<Under> {
    let others = built.parts.body.iter().filter(|part| part.base != name);
    let struck = others.filter_map(|part| Some((part.solid.struck(from, along)?, part)));
    let (far, part) = struck.min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Under { at: from + along * far, words: format!("on the {}", part.name) })
}

/// A place of a scan, in its own unit and frame, on the body as the scan lies there.
fn on_body(built: &Built, scan: &Scan, p: [f64; 3]) -> Option<Vector3<f64>> {
    let scanned = built.scans.get(&scan.name)?;
    let moved = built.car.scans.iter().find(|s| s.name == scan.name)?.moved;
    let p = Point3::from(Vector3::from(p) * scan.unit().in_mm());
    Some(scanned.placing.carry.transform_point(&p).coords + moved)
}

/// A place of the body in a scan's own unit and frame.
fn in_scan(built: &Built, scan: &Scan, at: Vector3<f64>) -> Option<[f64; 3]> {
    let scanned = built.scans.get(&scan.name)?;
    let moved = built.car.scans.iter().find(|s| s.name == scan.name)?.moved;
    let at = scanned.placing.carry.inverse_transform_point(&Point3::from(at - moved));
    Some((at.coords / scan.unit().in_mm()).into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_named_from_the_car_files_folder() {
        for (folder, file, named) in [
            ("/cars", "/cars/scans/arch.stl", "scans/arch.stl"),
            ("/cars/one", "/cars/arch.stl", "../arch.stl"),
            ("/cars", "/cars/arch.stl", "arch.stl"),
        ] {
            assert_eq!(beside(Path::new(folder), Path::new(file)), named);
        }
    }

    /// Fewer than three pairs leave a scan free to turn: they wait, and so does one that is not whole.
    #[test]
    fn pairs_go_to_the_file_when_they_are_whole_and_enough() {
        let text = include_str!("../../scenes/sanderling.ron");
        let file = crate::car::CarFile::from_text(text.to_owned(), None).unwrap();
        let scan = &file.car().scans[0];
        let mut laying = Laying::default();
        let mut pairs = laying.pairs(scan);
        assert_eq!(laying.put(scan, &pairs), None, "nothing has changed");
        pairs.push(Pair { scan: [1.0, 2.0, 3.0].map(Some), ..Pair::default() });
        assert_eq!(laying.put(scan, &pairs), None);
        assert_eq!(laying.waiting.len(), 1);
        // Numbers are typed one by one: two of three are no place yet.
        pairs[4].car = [Some(0.0), Some(0.0), None];
        assert_eq!(laying.put(scan, &pairs), None);
        pairs[4].car[2] = Some(0.0);
        let Some(Edit::PutScan { fact: ScanFact::Place(place), .. }) = laying.put(scan, &pairs) else { panic!() };
        assert_eq!((place.len(), laying.waiting.len()), (5, 0));
        let Some(Edit::PutScan { fact: ScanFact::Place(place), .. }) = laying.put(scan, &pairs[..2]) else { panic!() };
        assert_eq!((place.len(), laying.waiting.len()), (0, 2));
    }
}
