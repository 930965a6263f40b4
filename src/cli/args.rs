//! What can be asked for on the command line.

use std::path::PathBuf;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};

use super::better::BetterArgs;
use super::change::ChangeArgs;
use super::typed::{Foot, Length, foot, length};
use crate::answer::curves::Range;
use crate::answer::{BrakeAsk, PairName};
use crate::car::{AxleName, FileUnit, Hub, Shown, Side};
use crate::motion::{Along, Pose, Quantity};
use crate::sheets::Paper;
use crate::sheets::page::Price;

/// What a lower, wider, bigger-tyred race car will touch, how far it steers and where its rails are in the way.
#[derive(Debug, Parser)]
#[command(
    version,
    args_conflicts_with_subcommands = true,
    after_help = "Without a question the viewer opens, on the demo car if none is named.\n\
                  A question's exit code is 0: all clear; 1: something touches or falls short; 2: bad input."
)]
pub struct Arguments {
    /// Car file to open in the viewer
    pub car: Option<PathBuf>,
    /// Proposal to start with
    #[arg(long, value_name = "NAME")]
    pub proposal: Option<String>,
    /// Units of what is shown
    #[arg(long, default_value = "mm")]
    pub units: Units,
    /// Write a picture of the viewer to a PNG file and leave
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Width and height of the window or the picture
    #[arg(long, value_name = "WIDTHxHEIGHT", default_value = "1280x720", value_parser = size)]
    pub size: [u32; 2],
    /// What to ask
    #[command(subcommand)]
    pub question: Option<Question>,
}

/// A question to the command line.
#[derive(Debug, Subcommand)]
pub enum Question {
    /// What touches, or comes too near, in a pose and through the whole sweep
    Gaps {
        #[command(flatten)]
        asked: Asked,
        #[command(flatten)]
        pose: PoseArgs,
        /// List the pairs that are left out because they are joined, too
        #[arg(long)]
        left_out: bool,
        #[command(flatten)]
        map: MapArgs,
    },
    /// How far it steers each way before the first touch, and the rack limiter to fit
    Lock {
        #[command(flatten)]
        asked: Asked,
        /// At every wheel travel: where the rack ends, and at which pair
        #[arg(long)]
        curve: bool,
        /// Write the curve as a drawing to an SVG file
        #[arg(long, value_name = "FILE", requires = "curve", conflicts_with_all = ["json", "csv"])]
        svg: Option<PathBuf>,
        /// Width and height of the drawing
        #[arg(long, value_name = "WIDTHxHEIGHT", default_value = "1000x700", value_parser = size, requires = "svg")]
        svg_size: [u32; 2],
    },
    /// Which stretch of each rail lies in the tyre's keep-out, what to saw, where to scribe, and what is left
    Cut {
        #[command(flatten)]
        asked: Asked,
        /// The lines to scribe alone: of the rails' own cuts, or else of every plan
        #[arg(long, conflicts_with = "json")]
        lines: bool,
        /// Write each tyre's keep-out as a closed mesh into this folder: binary STL, millimetres, the car file's axes
        #[arg(long, value_name = "FOLDER")]
        keep_out: Option<PathBuf>,
        /// How stiff and how strong the body is: as found, cut, and as the proposal reroutes it
        #[arg(long, conflicts_with = "keep_out")]
        strength: bool,
        /// Propose tubes that tie each cut's ends back, clear everything and give the stiffness back at the least mass
        #[arg(long, requires = "proposal", conflicts_with_all = ["keep_out", "strength"])]
        routes: bool,
        /// The share of the stiffness as found that is wanted back, percent
        #[arg(long, value_name = "PERCENT", default_value_t = 100.0, allow_hyphen_values = true, value_parser = percent)]
        share: f64,
    },
    /// What a proposal changes: numbers, lock and gaps before and after, what moves; arms grown, bump steer brought back
    Change {
        #[command(flatten)]
        asked: Asked,
        #[command(flatten)]
        change: ChangeArgs,
    },
    /// Where points have to stand for what is wanted (bump steer, camber gain, lock, gaps ...), and what can be traded for what
    Better {
        #[command(flatten)]
        asked: Asked,
        #[command(flatten)]
        better: BetterArgs,
    },
    /// How the wheels stand over travel and rack: a row for every combination and side
    Curves {
        #[command(flatten)]
        asked: Asked,
        /// The axle
        #[arg(long, value_name = "AXLE", default_value = "front", value_parser = axle())]
        axle: AxleName,
        /// Quantities to tell, with commas between them [default: the usual ones]
        #[arg(long, value_name = "NAMES", value_delimiter = ',', value_parser = one_of(Quantity::ALL, Quantity::name))]
        of: Option<Vec<Quantity>>,
        /// Wheel travel from ride height, bump positive: FROM:TO:STEP or one value [default: the sweep]
        #[arg(long, allow_hyphen_values = true, value_name = "RANGE")]
        travel: Option<Range>,
        /// Rack travel, positive to the car's left: FROM:TO:STEP or one value [default: 0]
        #[arg(long, allow_hyphen_values = true, value_name = "RANGE")]
        rack: Option<Range>,
        #[command(flatten)]
        plot: PlotArgs,
    },
    /// Every number of an axle's geometry at ride height, its rate, and how sure both are
    Alignment {
        #[command(flatten)]
        asked: Asked,
        /// The axle
        #[arg(long, value_name = "AXLE", default_value = "front", value_parser = axle())]
        axle: AxleName,
        /// The motion that rates are taken along
        #[arg(long, value_name = "MOTION", value_parser = one_of(&Along::ALL, Along::name), default_value = "travel")]
        along: Along,
        /// One number, and the readings that it rests on: what to measure again
        #[arg(long, value_name = "QUANTITY", value_parser = one_of(Quantity::ALL, Quantity::name))]
        of: Option<Quantity>,
    },
    /// What is left of each damper's stroke, motion ratios, anti-roll bars, and how far joints swing
    Springs {
        #[command(flatten)]
        asked: Asked,
    },
    /// How it rides, rolls and pitches on its springs, tyres and bars, and what that takes of the dampers' strokes
    Ride {
        #[command(flatten)]
        asked: Asked,
        /// Ride frequency to find springs for, Hz: one for both axles, or front and rear with a comma between
        #[arg(long, value_name = "HZ", value_delimiter = ',', num_args = 1, value_parser = hertz)]
        spring_for: Vec<f64>,
    },
    /// How the brakes share between front and rear, against ideal braking; which wheels lock first
    Brakes {
        #[command(flatten)]
        asked: Asked,
        /// Force of the foot on the pedal: a number in N (lbf with --units in), or with its unit [default: 500 N]
        #[arg(long, value_name = "FORCE", value_parser = foot)]
        pedal: Option<Foot>,
        /// Grip of the tyres: braking force over load
        #[arg(long, value_name = "NUMBER", allow_hyphen_values = true, default_value_t = BrakeAsk::default().grip, value_parser = grip)]
        grip: f64,
        /// Deceleration that the brakes are to be ideal at, g
        #[arg(long, value_name = "G", allow_hyphen_values = true, default_value_t = BrakeAsk::default().at, value_parser = grip)]
        at: f64,
    },
    /// What arms, links, joints and mounts carry in the car's load cases, and whether they hold
    Loads {
        #[command(flatten)]
        asked: Asked,
        /// One load case in full, with the force at every joint and mount
        #[arg(long, value_name = "NAME")]
        case: Option<String>,
    },
    /// Ride heights, the lowest point, and the ramps that it takes, in a pose
    Stance {
        #[command(flatten)]
        asked: Asked,
        #[command(flatten)]
        pose: PoseArgs,
    },
    /// What a mesh file holds (triangles, size, holes, slips, its check line), or how well a car's scans lie on it
    Scan {
        /// Mesh file: .stl, .obj, .ply, .glb or .gltf; or a car file, .ron
        file: PathBuf,
        /// Unit of its coordinates [default: m for glTF, mm for the others]
        #[arg(long, value_name = "UNIT", value_parser = one_of(&FileUnit::ALL, FileUnit::sign))]
        unit: Option<FileUnit>,
        /// Units of what is shown
        #[arg(long, default_value = "mm")]
        units: Units,
        /// Print JSON, in millimetres
        #[arg(long)]
        json: bool,
    },
    /// Wheels and tyres: sizes, offsets, fit on hub and over brake, and what a swap changes
    Wheels {
        #[command(flatten)]
        asked: Asked,
    },
    /// What leaves the shop: papers for the bench (templates for rails' cuts and tubes' ends, cut list, arms' jigs, points, set-up), the customer's page, the car as a model
    Sheets {
        #[command(flatten)]
        asked: Asked,
        /// Write them into this folder: PDF to print at 100 %, DXF at true scale in millimetres, CSV
        #[arg(long, value_name = "FOLDER")]
        to: Option<PathBuf>,
        /// The paper that they are printed on
        #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = one_of(&Paper::ALL, Paper::name), requires = "to")]
        paper: Paper,
        #[command(flatten)]
        page: PageArgs,
    },
    /// Print a completion script for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
}

/// What every question takes.
#[derive(Debug, Clone, Args)]
pub struct Asked {
    /// Car file
    pub car: PathBuf,
    /// Proposal to answer for; without one, the car as found
    #[arg(long, value_name = "NAME")]
    pub proposal: Option<String>,
    /// Units of tables, sentences and flags (JSON is always millimetres and degrees)
    #[arg(long, default_value = "mm")]
    pub units: Units,
    /// Print JSON
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print the table as CSV
    #[arg(long)]
    pub csv: bool,
}

/// What leaves the shop for the customer.
#[derive(Debug, Args)]
pub struct PageArgs {
    /// Write the customer's page, a proposal against the car as found: one HTML file that needs no network
    #[arg(long, value_name = "FILE.html", requires = "proposal")]
    pub page: Option<PathBuf>,
    /// A line of the page's price, again for more: "Front arms: 1800"
    #[arg(long, value_name = "WHAT: AMOUNT", requires = "page", allow_hyphen_values = true)]
    pub price: Vec<Price>,
    /// Write the car as a 3D model with its sweep as animations: binary glTF 2.0
    #[arg(long, value_name = "FILE.glb")]
    pub glb: Option<PathBuf>,
}

impl PageArgs {
    /// Whether anything of it is asked for.
    pub fn any(&self) -> bool {
        self.page.is_some() || self.glb.is_some()
    }
}

/// A map of gaps over bump and steer.
#[derive(Debug, Args)]
pub struct MapArgs {
    /// Gaps over a wheel's bump and steer together (or both travels of a stiff axle): left-front, right-front, left-rear, right-rear
    #[arg(long, value_name = "WHEEL", value_parser = one_of(&Hub::ALL, hub_key), conflicts_with_all = ["left_out", "heave", "roll", "pitch", "rack"])]
    pub map: Option<Hub>,
    /// Two parts to map, as gaps calls them, with a comma between; again for more pairs [default: what the tyre and rim may meet]
    #[arg(long, value_name = "PART, PART", requires = "map")]
    pub pair: Vec<PairName>,
    /// Map whatever is measured at the wheel: arms, links and the rest too
    #[arg(long, requires = "map", conflicts_with = "pair")]
    pub everything: bool,
    /// Write the map as a drawing to an SVG file
    #[arg(long, value_name = "FILE", requires = "map", conflicts_with_all = ["json", "csv"])]
    pub svg: Option<PathBuf>,
    /// Width and height of the drawing
    #[arg(long, value_name = "WIDTHxHEIGHT", default_value = "1100x760", value_parser = size, requires = "svg")]
    pub svg_size: [u32; 2],
}

fn hub_key(hub: Hub) -> &'static str {
    match (hub.axle, hub.side) {
        (AxleName::Front, Side::Left) => "left-front",
        (AxleName::Front, Side::Right) => "right-front",
        (AxleName::Rear, Side::Left) => "left-rear",
        (AxleName::Rear, Side::Right) => "right-rear",
    }
}

/// A plot of one quantity, or of gaps; with a proposal, as found and the proposal together.
#[derive(Debug, Args)]
pub struct PlotArgs {
    /// Plot one quantity, rather than a row for everything
    #[arg(long, value_name = "QUANTITY", value_parser = one_of(Quantity::ALL, Quantity::name), group = "drawn", conflicts_with_all = ["travel", "rack", "of"])]
    pub plot: Option<Quantity>,
    /// Plot the gap between two parts, as gaps calls them, with a comma between; again for more pairs in one plot
    #[arg(long, value_name = "PART, PART", group = "drawn", conflicts_with_all = ["travel", "rack", "of"])]
    pub gap: Vec<PairName>,
    /// What to plot it against
    #[arg(long, value_name = "MOTION", value_parser = one_of(&Along::ALL, Along::name), default_value = "travel", requires = "drawn")]
    pub against: Along,
    /// Write the plot as a drawing to an SVG file, rather than print its values
    #[arg(long, value_name = "FILE", requires = "drawn", conflicts_with_all = ["json", "csv"])]
    pub svg: Option<PathBuf>,
    /// Width and height of the drawing
    #[arg(long, value_name = "WIDTHxHEIGHT", default_value = "960x600", value_parser = size, requires = "svg")]
    pub svg_size: [u32; 2],
}

/// How an answer is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Sentence and table.
    Text,
    /// JSON.
    Json,
    /// CSV.
    Csv,
}

impl Asked {
    /// How the answer is to be printed.
    pub fn form(&self) -> Form {
        match (self.json, self.csv) {
            (true, _) => Form::Json,
            (_, true) => Form::Csv,
            _ => Form::Text,
        }
    }

    /// The units to print in.
    pub fn shown(&self) -> Shown {
        self.units.into()
    }
}

/// A pose of the body, from ride height.
#[derive(Debug, Args)]
pub struct PoseArgs {
    /// Body over the ground from ride height, positive up
    #[arg(long, default_value = "0", allow_hyphen_values = true, value_name = "LENGTH", value_parser = length)]
    pub heave: Length,
    /// Degrees, positive when the left side rises
    #[arg(long, default_value_t = 0.0, allow_hyphen_values = true, value_name = "DEGREES", value_parser = finite)]
    pub roll: f64,
    /// Degrees, positive nose-down, about a line across the car through the car file's origin
    #[arg(long, default_value_t = 0.0, allow_hyphen_values = true, value_name = "DEGREES", value_parser = finite)]
    pub pitch: f64,
    /// Rack travel, positive to the car's left
    #[arg(long, default_value = "0", allow_hyphen_values = true, value_name = "LENGTH", value_parser = length)]
    pub rack: Length,
}

impl PoseArgs {
    /// The pose, bare lengths being in these units.
    pub fn pose(&self, shown: Shown) -> Pose {
        Pose {
            heave: self.heave.mm(shown),
            roll: self.roll.to_radians(),
            pitch: self.pitch.to_radians(),
            rack: self.rack.mm(shown),
        }
    }
}

/// Units that can be asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

impl From<Units> for Shown {
    fn from(units: Units) -> Self {
        match units {
            Units::Mm => Self::Mm,
            Units::In => Self::In,
        }
    }
}

pub(super) fn finite(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() => Ok(v),
        _ => Err("not a number".to_owned()),
    }
}

fn grip(text: &str) -> Result<f64, String> {
    let value = finite(text)?;
    if (0.05..=5.0).contains(&value) { Ok(value) } else { Err("it is from 0.05 to 5".to_owned()) }
}

fn hertz(text: &str) -> Result<f64, String> {
    let value = finite(text)?;
    if (0.2..=20.0).contains(&value) { Ok(value) } else { Err("a car rides at 0.2 to 20 Hz".to_owned()) }
}

fn percent(text: &str) -> Result<f64, String> {
    let share = finite(text)?;
    if (1.0..=300.0).contains(&share) { Ok(share) } else { Err("it is from 1 to 300 percent".to_owned()) }
}

pub(super) fn size(text: &str) -> Result<[u32; 2], String> {
    let (width, height) = text.split_once('x').ok_or("write it as 1280x720")?;
    let side = |word: &str| match word.trim().parse::<u32>() {
        Ok(n) if (320..=7680).contains(&n) => Ok(n),
        _ => Err(format!("\"{word}\" is not a number of pixels from 320 to 7680")),
    };
    Ok([side(width)?, side(height)?])
}

/// One of `all`, by its key.
pub(super) fn one_of<T: Copy + Send + Sync + 'static>(
    all: &'static [T],
    key: fn(T) -> &'static str,
) -> impl TypedValueParser<Value = T> {
    PossibleValuesParser::new(all.iter().map(|v| key(*v))).try_map(move |word| {
        all.iter().copied().find(|v| key(*v) == word).ok_or_else(|| format!("there is no `{word}`"))
    })
}

pub(super) fn axle() -> impl TypedValueParser<Value = AxleName> {
    one_of(&AxleName::BOTH, AxleName::word)
}
