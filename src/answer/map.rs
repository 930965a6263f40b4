//! Gaps over bump and steer together: what a wheel has room for at every place of its sweep, as one picture.
//!
//! A map has two axes, a wheel's travel up and what else moves it across: the steering, or on a stiff axle the other
//! wheel's travel. At every node of a grid stands the pair that is shortest of its wanted gap. Between the nodes all is
//! taken to be straight: contours and regions are true to a fraction of the grid's step, and the worst place is the
//! sweep's own least gap, not a node's.

mod contour;
mod level;
mod nodes;
mod regions;
mod svg;

use serde::Serialize;

pub use level::Level;
pub use svg::CLEAR;

use super::Verdict;
use super::gaps::WorstPose;
use super::study::Study;
use super::words::{self, Told};
use crate::car::{Hub, Shown};
use crate::motion::change::STEERING;
use crate::space::{Beside, FAR, Kind, Place};
use contour::Field;
use nodes::{Node, Nodes};

/// Nodes across and up, where nobody asks for another number.
pub const NODES: usize = 33;
/// Nodes either way at the most.
pub const MOST: usize = 201;

/// Which pairs a map is of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Among<'a> {
    /// The wheel's tyre and rim against whatever they may meet.
    Wheel,
    /// Whatever is measured at the wheel: arms, links and the rest too.
    Everything,
    /// The pairs at the wheel in which a part is of this kind.
    Kind(Kind),
    /// These; those at other wheels are passed over.
    Pairs(&'a [Place]),
}

/// Why there is no map.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoMap {
    /// The wheel's axle is not described.
    #[error("this car file describes no rear axle: add `rear: (...)`, written as `front` is")]
    NoAxle,
    /// A wheel that does nothing but travel has no second axis.
    #[error(
        "the {} wheel neither steers nor shares its axle, so there is no map of it: draw its gap against travel, with \
         `scribeline curves CAR --gap \"PART, PART\"`", .0.words()
    )]
    OneWay(Hub),
    /// No pair was asked for that is measured at the wheel.
    #[error("none of these pairs is at the {} wheel: `scribeline gaps` names those that are", .0.words())]
    NoPair(Hub),
}

/// The gap over bump and steer of a wheel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GapMap {
    /// The worst of what is shown.
    pub verdict: Verdict,
    /// The car's name, and the proposal that was made of it.
    #[serde(skip)]
    pub car: String,
    /// The wheel.
    pub wheel: Hub,
    /// What goes across: steering travel (positive to the car's left), or the other wheel's travel (bump positive), mm.
    pub across: MapAxis,
    /// What goes up: the wheel's travel from ride height, bump positive, mm.
    pub up: MapAxis,
    /// The pairs that were asked for: cells, contours and regions name them by their place here.
    pub pairs: Vec<MapPair>,
    /// A row for each travel, rising; in it a cell for each place across, rising. None where all pairs are more than
    /// 150 mm apart.
    pub cells: Vec<Vec<Option<Cell>>>,
    /// Lines of the wanted gap, of touch, and of round gaps in millimetres.
    pub contours: Vec<Contour>,
    /// Lines on which two pairs are equally short of their wanted gaps.
    pub boundaries: Vec<Boundary>,
    /// Where one pair is the shortest, largest first.
    pub regions: Vec<Region>,
    /// The place where a pair is shortest of its wanted gap, anywhere in the sweep; none where nothing comes near.
    pub worst: Option<MapWorst>,
    /// The part of the map, 0 to 1, in which a pair is short of its wanted gap (touching included).
    pub short_share: f64,
    /// The part of the map, 0 to 1, in which something touches.
    pub touch_share: f64,
    /// What else is to be known, of scans and of overlaps as deep as can be told.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Scans that may not lie where they should, each with why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beware: Vec<String>,
}

/// An axis of a map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MapAxis {
    /// What it is: `Wheel travel`.
    pub name: &'static str,
    /// When it is positive, in words.
    pub positive: &'static str,
    /// Its values at the nodes, rising, mm.
    pub values_mm: Vec<f64>,
}

/// A pair of a map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MapPair {
    /// The one part.
    pub a: String,
    /// The other.
    pub b: String,
    /// The gap that was asked for between them.
    pub wanted_mm: f64,
    /// The pair itself.
    #[serde(skip)]
    pub place: Place,
}

/// What stands at a node of the grid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cell {
    /// The pair that is shortest of its wanted gap, by its place in [`GapMap::pairs`].
    pub pair: usize,
    /// Its gap; negative is how deep the two overlap.
    pub gap_mm: f64,
    /// Its gap less its wanted gap.
    pub in_hand_mm: f64,
    /// The least gap of any pair: not always that pair's, where wanted gaps differ.
    pub least_gap_mm: f64,
}

/// A contour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contour {
    /// What is alike all along it.
    pub level: Level,
    /// Its lines as points (across, up), mm; one that closes ends where it begins.
    pub lines_mm: Vec<Vec<[f64; 2]>>,
}

/// Where one region ends and another begins.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Boundary {
    /// Points (across, up), mm.
    pub line_mm: Vec<[f64; 2]>,
}

/// A part of the map, all of a piece, in which one pair is the shortest of its wanted gap.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Region {
    /// The pair.
    pub pair: usize,
    /// Its part of the map's nodes, 0 to 1.
    pub share: f64,
    /// The node (across, up) that lies deepest in it, mm: for its name.
    pub middle_mm: [f64; 2],
}

/// The worst place of a map.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MapWorst {
    /// What stands there.
    #[serde(flatten)]
    pub cell: Cell,
    /// (Across, up), mm.
    pub at_mm: [f64; 2],
    /// The same in words of the sweep.
    pub pose: WorstPose,
    /// No pose of the sweep leaves any of the map's pairs less than this over its wanted gap; none where that is not proven.
    pub in_hand_at_least_mm: Option<f64>,
}

impl Study {
    /// The pairs that a map is of, those whose gap is alike in every pose left out.
    pub fn among(&self, hub: Hub, among: Among) -> Vec<Place> {
        let all = self.parts.at_wheel(hub).iter().filter(|p| p.moves());
        let is = |p: &Place, kind: Kind| self.parts.kind(p.a) == kind || self.parts.kind(p.b) == kind;
        match among {
            Among::Wheel => all.filter(|p| !p.a.is_moving()).copied().collect(),
            Among::Everything => all.copied().collect(),
            Among::Kind(kind) => all.filter(|p| is(p, kind)).copied().collect(),
            Among::Pairs(these) => {
                let here = |p: &&Place| p.moves() && p.a.hub() == Some(hub) && p.b != crate::space::Role::Ground;
                these.iter().filter(here).copied().collect()
            }
        }
    }

    /// The gap over a wheel's whole sweep, with so many nodes across and up (2 to [`MOST`]).
    ///
    /// # Errors
    /// [`NoMap`] where the wheel has one way to move, is not described, or none of the pairs is at it.
    pub fn map(&self, hub: Hub, among: Among, columns: usize, rows: usize) -> Result<GapMap, NoMap> {
        self.gear.axle(hub.axle).ok_or(NoMap::NoAxle)?;
        let sweep = self.sweep(hub);
        let (name, positive) = match sweep.beside {
            Beside::Steering => (STEERING, "left positive"),
            Beside::OtherWheel => ("Other wheel's travel", "bump positive"),
            Beside::Nothing => return Err(NoMap::OneWay(hub)),
        };
        let places = self.among(hub, among);
        if places.is_empty() {
            return Err(NoMap::NoPair(hub));
        }
        let [low, high] = sweep.range;
        let spread = |low: f64, high: f64, count: usize| -> Vec<f64> {
            let last = count.clamp(2, MOST) - 1;
            (0..=last).map(|i| low + (high - low) * i as f64 / last as f64).collect()
        };
        let across = MapAxis { name, positive, values_mm: spread(low.y, high.y, columns) };
        let up = MapAxis { name: "Wheel travel", positive: "bump positive", values_mm: spread(low.x, high.x, rows) };
        let nodes = Nodes { study: self, sweep, pairs: &places };
        let grid = nodes.measure(&across.values_mm, &up.values_mm);
        let worst = nodes.worst(&grid);
        let in_hand = contour::field(&across.values_mm, &up.values_mm, &grid, |c| c.in_hand_mm);
        let gap = contour::field(&across.values_mm, &up.values_mm, &grid, |c| c.least_gap_mm);
        let pairs: Vec<MapPair> = places
            .iter()
            .map(|p| MapPair { a: self.parts.name(p.a), b: self.parts.name(p.b), wanted_mm: p.wanted, place: *p })
            .collect();
        let (short_share, touch_share) = (in_hand.share_below(0.0), gap.share_below(0.0));
        let touches = touch_share > 0.0 || worst.is_some_and(|w| w.cell.least_gap_mm < 0.0);
        let verdict = match worst {
            _ if touches => Verdict::Touches,
            Some(w) if w.cell.in_hand_mm < 0.0 => Verdict::Short,
            _ => Verdict::Clear,
        };
        let (boundaries, regions) = regions::regions(&nodes, &grid);
        let told = grid.iter().flatten().filter_map(|node| node.cell.as_ref()).chain(worst.as_ref().map(|w| &w.cell));
        let mut least = vec![f64::INFINITY; places.len()];
        told.for_each(|cell| least[cell.pair] = least[cell.pair].min(cell.gap_mm));
        let notes = self.notes.iter().cloned().chain(self.deepest(places.iter().zip(least))).collect();
        let cells = grid.iter().map(|row| row.iter().map(|node| node.cell).collect()).collect();
        let mut map = GapMap {
            verdict,
            car: self.car.titled(),
            wheel: hub,
            across,
            up,
            pairs,
            cells,
            contours: Vec::new(),
            boundaries,
            regions,
            worst,
            short_share,
            touch_share,
            notes,
            beware: self.beware.clone(),
        };
        map.contours = map.contours_in(Shown::Mm);
        Ok(map)
    }
}

impl GapMap {
    /// The gap less the wanted one, and the least gap, as fields over the map.
    fn fields(&self) -> [Field<'_>; 2] {
        let field = |of: fn(&Cell) -> f64| {
            contour::field_of(&self.across.values_mm, &self.up.values_mm, |i, k| self.cells[k][i].as_ref().map(of))
        };
        [field(|c| c.in_hand_mm), field(|c| c.least_gap_mm)]
    }

    /// The contours at gaps that are round in these units.
    pub fn contours_in(&self, shown: Shown) -> Vec<Contour> {
        let [in_hand, gap] = self.fields();
        let levels = level::levels(&gap, &self.pairs, shown);
        let lines = |level: &Level| match *level {
            Level::Wanted => in_hand.lines(0.0),
            Level::Touch => gap.lines(0.0),
            Level::Gap(mm) => gap.lines(mm),
        };
        let all = levels.into_iter().map(|level| Contour { lines_mm: lines(&level), level });
        all.filter(|c| !c.lines_mm.is_empty()).collect()
    }

    /// What stands at a place (across, up) of the map, mm: the nearest node's. None beyond the map's edges.
    pub fn cell_at(&self, [x, y]: [f64; 2]) -> Option<&Cell> {
        let nearest = |values: &[f64], v: f64| {
            let (first, last) = (*values.first()?, *values.last()?);
            let part = (v - first) / (last - first);
            (0.0..=1.0).contains(&part).then(|| (part * (values.len() - 1) as f64).round() as usize)
        };
        let (i, k) = (nearest(&self.across.values_mm, x)?, nearest(&self.up.values_mm, y)?);
        self.cells[k][i].as_ref()
    }

    /// `Dunlin, "low and wide": gaps at the left front wheel over bump and steer`.
    pub fn title(&self) -> String {
        format!("{}: gaps at the {} wheel over {}", self.car, self.wheel.words(), self.both_ways())
    }

    /// What is proven of the worst place; nothing where nothing comes near.
    pub fn proof(&self, shown: Shown) -> Option<String> {
        let worst = self.worst?;
        Some(match worst.in_hand_at_least_mm {
            Some(mm) => {
                let by = shown.length((worst.cell.in_hand_mm - mm).max(0.0));
                format!("Proven: no pose of the sweep is worse by more than {by}.")
            }
            None => "Searched, not proven.".to_owned(),
        })
    }

    fn both_ways(&self) -> &'static str {
        if self.across.name == STEERING { "bump and steer" } else { "its own and the other wheel's travel" }
    }
}

impl Told for GapMap {
    fn sentence(&self, shown: Shown) -> String {
        let wheel = self.wheel.words();
        let ways = self.both_ways();
        let Some(worst) = self.worst else {
            return format!("At the {wheel} wheel nothing that was asked for comes within 150 mm over {ways}.");
        };
        let pair = &self.pairs[worst.cell.pair];
        let apart = if worst.cell.gap_mm < 0.0 { "into" } else { "from" };
        let at = worst.pose.told(shown);
        let length = shown.length(worst.cell.gap_mm.abs());
        let says = format!("the {} is {length} {apart} the {} at {at}", pair.a, pair.b);
        let over = shown.length(worst.cell.in_hand_mm);
        let wanted = shown.length(pair.wanted_mm);
        let share = |part: f64| if part < 0.005 { "under 1 %".to_owned() } else { format!("{:.0} %", part * 100.0) };
        let (touch, short) = (share(self.touch_share), share(self.short_share));
        let told = match self.verdict {
            Verdict::Touches => format!(
                "At the {wheel} wheel something touches in {touch} of {ways} and is short of its wanted gap in {short}: at \
                 worst {says}."
            ),
            Verdict::Short => format!(
                "At the {wheel} wheel nothing touches, but in {short} of {ways} something is short of its wanted gap: at worst \
                 {says}, where {wanted} are wanted."
            ),
            Verdict::Clear => format!(
                "At the {wheel} wheel all is clear over {ways}: the tightest is {over} over its wanted {wanted}, where {says}."
            ),
        };
        words::beware(told, &self.beware)
    }
}

/// How a place of a map is filled, the same on paper and on the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// Something touches.
    Touches,
    /// Something is short of its wanted gap.
    Short,
    /// Clear: the step of the fills, from the least in hand to the most.
    Clear(usize),
}

impl GapMap {
    /// How a place (across, up) is filled, mm: between the nodes straight, beyond the edges as at them.
    pub fn fill_at(&self, [x, y]: [f64; 2], shown: Shown) -> Fill {
        let along = |values: &[f64], v: f64| {
            let part = (v - values[0]) / (values[values.len() - 1] - values[0]) * (values.len() - 1) as f64;
            let i = (part.max(0.0) as usize).min(values.len() - 2);
            (i, (part - i as f64).clamp(0.0, 1.0))
        };
        let ((i, s), (k, t)) = (along(&self.across.values_mm, x), along(&self.up.values_mm, y));
        let corners = [[0, 0], [1, 0], [0, 1], [1, 1]].map(|[a, b]: [usize; 2]| self.cells[k + b][i + a]);
        let share = [(1.0 - s) * (1.0 - t), s * (1.0 - t), (1.0 - s) * t, s * t];
        let mix = |of: fn(&Cell) -> f64| {
            let each = corners.iter().zip(share).map(|(cell, share)| share * cell.as_ref().map_or(FAR, of));
            each.sum::<f64>()
        };
        let in_hand = mix(|c| c.in_hand_mm);
        if mix(|c| c.least_gap_mm) < 0.0 {
            return Fill::Touches;
        }
        if in_hand < 0.0 {
            return Fill::Short;
        }
        let steps = svg::steps(shown).map(|step| step * shown.in_mm());
        Fill::Clear(steps.iter().position(|step| in_hand < *step).unwrap_or(steps.len()))
    }
}
