//! The command line: the same answers as the viewer, as sentences, tables, JSON or CSV.

mod args;
mod better;
mod change;
mod page;
mod print;
mod report;
mod typed;

use std::path::Path;
use std::process::ExitCode;

use clap::{CommandFactory, Parser};

use crate::answer::along;
use crate::answer::better::NoBetter;
use crate::answer::change::NoChange;
use crate::answer::frame::Compared;
use crate::answer::map::NODES;
use crate::answer::{
    Among, BodyStrength, BrakeAsk, Fitted, GapMap, LaidScans, NoAnswer, NoMap, PairName, Plot, Range, RideAsk,
    ScannedMesh, Sheets, Study, Subject, Verdict,
};
use crate::answer::{RouteAsk, Watch};
use crate::car::{AxleName, CarError, CarFile, Hub, Shown};
use crate::motion::{Along, Quantity, RunningGear};
use crate::sheets::{Paper, papers, table};
use crate::space::{Parts, Scans};
use args::{Arguments, Asked, MapArgs, PlotArgs, Question};

/// The demo car, for a call that names no car.
const DEMO: &str = include_str!("../../scenes/dunlin.ron");
/// What the demo is called.
pub const DEMO_NAME: &str = "dunlin.ron (the demo)";

/// What stops a call.
#[derive(Debug, thiserror::Error)]
enum Stop {
    #[error("{0}")]
    Car(#[from] CarError),
    #[error("{0}")]
    NoAnswer(#[from] NoAnswer),
    #[error("{0}")]
    Write(#[from] print::Unwritten),
    #[error("{0}")]
    NoPlot(String),
    #[error("{}: {what}", file.display())]
    NotWritten { file: std::path::PathBuf, what: String },
    #[error("{0}")]
    NoMap(#[from] NoMap),
    #[error("{0}")]
    NoChange(#[from] NoChange),
    #[error("{0}")]
    NoBetter(#[from] NoBetter),
    #[error("{0}")]
    Papers(#[from] crate::sheets::folder::Refused),
    #[error("{}: {fault}", file.display())]
    Mesh { file: std::path::PathBuf, fault: crate::scan::Fault },
    #[cfg(feature = "viewer")]
    #[error("{0}")]
    Viewer(String),
}

/// Runs the program as it was called. Exit code 0: all clear; 1: something touches or falls short; 2: bad input.
pub fn run() -> ExitCode {
    if let Some(slip) = mistyped() {
        print::error(&slip);
        return ExitCode::from(2);
    }
    let arguments = Arguments::parse();
    match answer(arguments) {
        Ok(Verdict::Clear) => ExitCode::SUCCESS,
        Ok(_) => ExitCode::from(1),
        Err(Stop::Write(print::Unwritten::Closed)) => ExitCode::SUCCESS,
        Err(stop) => {
            print::error(&stop.to_string());
            ExitCode::from(2)
        }
    }
}

/// What to say of a first word that is neither a file nor a question, but nearly a question.
fn mistyped() -> Option<String> {
    let word = std::env::args().nth(1)?;
    let asked = Arguments::command();
    let names: Vec<&str> = asked.get_subcommands().map(clap::Command::get_name).collect();
    let known = names.contains(&word.as_str()) || std::path::Path::new(&word).exists();
    if known || word == "help" || word.starts_with('-') || word.contains('.') {
        return None;
    }
    let meant = names.iter().find(|name| strsim::damerau_levenshtein(name, &word) <= 2)?;
    Some(format!("there is no question `{word}`, and no file of that name: did you mean `{meant}`?"))
}

fn answer(arguments: Arguments) -> Result<Verdict, Stop> {
    match arguments.question {
        None => open(arguments).map(|()| Verdict::Clear),
        Some(Question::Alignment { asked, axle, along, of }) => {
            let (study, shown) = study(&asked)?;
            let shown = if asked.json { Shown::Mm } else { shown };
            print::alignment(&asked, &study.alignment(axle, along, of, shown)?)?;
            Ok(Verdict::Clear)
        }
        Some(Question::Better { asked, better }) => better::answer(&asked, &better),
        Some(Question::Change { asked, change }) => change::answer(&asked, &change),
        Some(Question::Completions { shell }) => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Arguments::command(), "scribeline", &mut script);
            print::plain(&String::from_utf8_lossy(&script))?;
            Ok(Verdict::Clear)
        }
        Some(Question::Gaps { asked, map: MapArgs { map: Some(hub), pair, everything, svg, svg_size }, .. }) => {
            let (study, shown) = study(&asked)?;
            study.prove(|| false);
            let map = map(&study, hub, &pair, everything)?;
            match svg {
                Some(path) => draw(&map.title(), &map.svg(shown, svg_size), &path)?,
                None => print::map(&asked, &map)?,
            }
            Ok(map.verdict)
        }
        Some(Question::Gaps { asked, pose, left_out, .. }) => {
            let (study, shown) = study(&asked)?;
            study.prove(|| false);
            let mut gaps = study.gaps(&pose.pose(shown))?;
            study.doubt(&mut gaps);
            print::gaps(&asked, &gaps, left_out.then(|| study.left_out()))?;
            Ok(gaps.verdict)
        }
        Some(Question::Lock { asked, curve: true, svg, svg_size }) => {
            let (study, shown) = study(&asked)?;
            let curve = study.proven_lock_curve();
            match svg {
                Some(path) => draw(&curve.title(), &curve.svg(shown, svg_size), &path)?,
                None => print::lock_curve(&asked, &curve)?,
            }
            Ok(curve.verdict)
        }
        Some(Question::Lock { asked, .. }) => {
            let lock = study(&asked)?.0.proven_lock();
            print::lock(&asked, &lock)?;
            Ok(lock.verdict)
        }
        Some(Question::Cut { asked, strength: true, share, .. }) => {
            let body = body_strength(&asked, share / 100.0)?;
            print::frame(&asked, &body)?;
            Ok(body.verdict)
        }
        Some(Question::Cut { asked, routes: true, share, .. }) => {
            let (study, _) = study(&asked)?;
            let file = CarFile::open(&asked.car)?;
            let ask = RouteAsk { share: share / 100.0, ..RouteAsk::default() };
            let routes = study.routes(file.car(), ask, Watch::NOBODY)?;
            print::routes(&asked, &routes)?;
            Ok(routes.verdict)
        }
        Some(Question::Cut { asked, lines, keep_out, .. }) => {
            let (study, shown) = study(&asked)?;
            let mut cut = study.proven_cut();
            if let Some(folder) = keep_out {
                cut.notes.extend(crate::sheets::keep_out::write(&study, &folder, shown)?);
            }
            print::cut(&asked, &cut, lines)?;
            Ok(cut.verdict)
        }
        Some(Question::Scan { file, unit, units, json }) => {
            if file.extension().is_some_and(|end| end.eq_ignore_ascii_case("ron")) {
                let file = CarFile::open(&file)?;
                let laid = LaidScans::new(file.car(), &Scans::load(&file, file.car())?);
                print::laid(&laid, units.into(), json)?;
                return Ok(Verdict::Clear);
            }
            let found = ScannedMesh::open(&file, unit).map_err(|fault| Stop::Mesh { file: file.clone(), fault })?;
            print::scan(&file, &found, units.into(), json)?;
            Ok(Verdict::Clear)
        }
        Some(Question::Springs { asked }) => {
            let springs = study(&asked)?.0.springs();
            print::springs(&asked, &springs)?;
            Ok(springs.verdict)
        }
        Some(Question::Ride { asked, spring_for }) => {
            let frequency = match spring_for[..] {
                [] => [None; 2],
                [both] => [Some(both); 2],
                [front, rear] => [Some(front), Some(rear)],
                _ => return Err(Stop::NoPlot("one frequency for both axles, or two: front and rear".to_owned())),
            };
            let ride = study(&asked)?.0.ride(&RideAsk { frequency });
            print::ride(&asked, &ride)?;
            Ok(ride.verdict)
        }
        Some(Question::Brakes { asked, pedal, grip, at }) => {
            let (proposed, shown) = study(&asked)?;
            let found = asked.proposal.as_ref().and_then(|_| study(&Asked { proposal: None, ..asked.clone() }).ok());
            let pedal = pedal.map_or(BrakeAsk::default().pedal, |foot| foot.newtons(shown));
            let braking = proposed.brakes(found.as_ref().map(|(study, _)| study), &BrakeAsk { pedal, grip, at })?;
            print::brakes(&asked, &braking)?;
            Ok(braking.verdict)
        }
        Some(Question::Loads { asked, case }) => {
            let loads = study(&asked)?.0.loads(case.as_deref())?;
            print::loads(&asked, &loads, case.is_some())?;
            Ok(loads.verdict)
        }
        Some(Question::Stance { asked, pose }) => {
            let (study, shown) = study(&asked)?;
            let stance = study.stance(&pose.pose(shown))?;
            print::stance(&asked, &stance)?;
            Ok(stance.verdict)
        }
        Some(Question::Wheels { asked }) => {
            let (proposed, _) = study(&asked)?;
            // A car that cannot stand as found is compared with nothing.
            let found = asked.proposal.as_ref().and_then(|_| study(&Asked { proposal: None, ..asked.clone() }).ok());
            let (study, found) = (proposed, found.map(|(study, _)| study));
            let wheels = study.wheels(found.as_ref());
            print::wheels(&asked, &wheels)?;
            Ok(wheels.verdict)
        }
        Some(Question::Sheets { asked, to, paper, page }) => {
            if page.any() {
                page::write(&asked, &page)?;
                if to.is_none() {
                    return Ok(Verdict::Clear);
                }
            }
            let sheets = bench_sheets(&asked)?;
            let written = to.map(|folder| write_papers(&sheets, &folder, paper, asked.shown())).transpose()?;
            print::sheets(&asked, &sheets, &written.unwrap_or_default())?;
            Ok(Verdict::Clear)
        }
        Some(Question::Curves {
            asked,
            axle,
            plot: PlotArgs { plot: Some(quantity), against, svg, svg_size, .. },
            ..
        }) => {
            let plot = plot(&asked, axle, quantity, against)?;
            match svg {
                Some(path) => draw(&plot.title, &plot.svg(svg_size), &path)?,
                None => print::plot(&asked, &plot)?,
            }
            Ok(Verdict::Clear)
        }
        Some(Question::Curves { asked, plot: PlotArgs { gap, against, svg, svg_size, .. }, .. }) if !gap.is_empty() => {
            let plot = gap_plot(&asked, &gap, against)?;
            match svg {
                Some(path) => draw(&plot.title, &plot.svg(svg_size), &path)?,
                None => print::plot(&asked, &plot)?,
            }
            Ok(Verdict::Clear)
        }
        Some(Question::Curves { asked, axle, of, travel, rack, .. }) => {
            let (study, shown) = study(&asked)?;
            let [bump, droop] = study.car.sweep.travel(axle);
            let range = |given: Option<Range>, low: f64, high: f64| {
                given.map_or_else(|| Range::across(low, high), |r| r.scaled(shown.in_mm()))
            };
            let travel = range(travel, -droop, bump);
            let rack = rack.map_or_else(|| Range::at(0.0), |r| r.scaled(shown.in_mm()));
            print::curves(&asked, &study.curves(axle, travel, rack, of.as_deref())?)?;
            Ok(Verdict::Clear)
        }
    }
}

/// The car that a question is about, set up to be asked, and the units to answer in.
fn study(asked: &Asked) -> Result<(Study, Shown), Stop> {
    let file = CarFile::open(&asked.car)?;
    let car = match &asked.proposal {
        Some(name) => file.proposed(name)?,
        None => file.car().clone(),
    };
    let scans = Scans::load(&file, &car)?;
    Ok((Study::with_scans(car, &scans)?, asked.units.into()))
}

/// The papers of a car, beside the one as found where a proposal is made and the car can stand as found.
fn bench_sheets(asked: &Asked) -> Result<Sheets, Stop> {
    let (proposed, shown) = study(asked)?;
    let found = asked.proposal.as_ref().and_then(|_| study(&Asked { proposal: None, ..asked.clone() }).ok());
    Ok(proposed.sheets(found.as_ref().map(|(study, _)| study), shown, true)?)
}

/// Writes them, and says in a sentence each what was written and what was taken away.
fn write_papers(sheets: &Sheets, folder: &Path, paper: Paper, shown: Shown) -> Result<Vec<String>, Stop> {
    let papers = papers(sheets, paper, shown).map_err(|e| print::Unwritten::Failed(e.to_string()))?;
    let gone = crate::sheets::write(folder, &papers)?;
    let mut said = vec![format!("Written into {}:", folder.display())];
    said.extend(papers.iter().map(|file| format!("  {}: {}", file.name, file.what)));
    said.extend(gone.iter().map(|name| format!("Taken away, as it is of an earlier run: {name}")));
    if papers.iter().any(|file| !crate::sheets::font::prints(&file.what)) {
        said.push(
            "Paper has no such letters as some of these names have and prints ? for them: use Latin ones.".to_owned(),
        );
    }
    Ok(said)
}

/// The body as found, cut and rerouted.
fn body_strength(asked: &Asked, share: f64) -> Result<BodyStrength, Stop> {
    let (study, _) = study(asked)?;
    let file = CarFile::open(&asked.car)?;
    let found = asked.proposal.as_ref().map(|_| file.car());
    let bare = asked.proposal.as_ref().map_or(Ok(None), |name| file.car().proposed_bare(name));
    let strength = study.body_strength(Compared { found, bare: bare.as_ref().ok().and_then(Option::as_ref), share })?;
    Ok(match &bare {
        Err(why) => strength.without_cut(why),
        Ok(_) => strength,
    })
}

/// As found, and over it the proposal that is asked for. JSON is always in millimetres.
fn plot(asked: &Asked, axle: AxleName, quantity: Quantity, against: Along) -> Result<Plot, Stop> {
    let file = CarFile::open(&asked.car)?;
    let mut states = vec![("as found", true, file.car().clone())];
    if let Some(name) = &asked.proposal {
        states.push((name, false, file.proposed(name)?));
    }
    let gears: Result<Vec<RunningGear>, _> = states.iter().map(|(_, _, car)| RunningGear::new(car)).collect();
    let gears = gears.map_err(NoAnswer::Ride)?;
    let pairs = states.iter().zip(&gears);
    let subjects: Vec<Subject> =
        pairs.map(|((name, found, car), gear)| Subject { name, found: *found, car, gear }).collect();
    let shown = if asked.json { Shown::Mm } else { asked.shown() };
    along::plot(&subjects, axle, quantity, against, shown).map_err(Stop::NoPlot)
}

/// The gaps of named pairs, likewise.
fn gap_plot(asked: &Asked, pairs: &[PairName], against: Along) -> Result<Plot, Stop> {
    let file = CarFile::open(&asked.car)?;
    let mut states = vec![("as found", true, file.car().clone())];
    if let Some(name) = &asked.proposal {
        states.push((name, false, file.proposed(name)?));
    }
    let fitted = |(name, found, car)| {
        let gear = RunningGear::new(&car).map_err(NoAnswer::Ride)?;
        let parts = Parts::with_scans(&car, &Scans::load(&file, &car)?);
        Ok((name, found, car, gear, parts))
    };
    let states: Vec<_> = states.into_iter().map(fitted).collect::<Result<_, Stop>>()?;
    let cars: Vec<Fitted> = states
        .iter()
        .map(|(name, found, car, gear, parts)| Fitted { subject: Subject { name, found: *found, car, gear }, parts })
        .collect();
    let shown = if asked.json { Shown::Mm } else { asked.shown() };
    along::gap_plot(&cars, pairs, against, shown).map_err(Stop::NoPlot)
}

/// The gap over bump and steer of a wheel, of the pairs named or of all that its tyre and rim may meet.
fn map(study: &Study, hub: Hub, pairs: &[PairName], everything: bool) -> Result<GapMap, Stop> {
    let mut named = Vec::new();
    for pair in pairs {
        let places = pair.places(&study.parts, &study.car.wanted);
        if places.is_empty() {
            return Err(Stop::NoPlot(pair.missing(&[&study.parts])));
        }
        named.extend(places);
    }
    let among = match (everything, named.is_empty()) {
        (true, _) => Among::Everything,
        (_, true) => Among::Wheel,
        _ => Among::Pairs(&named),
    };
    Ok(study.map(hub, among, NODES, NODES)?)
}

/// Writes a drawing, and says so.
fn draw(title: &str, svg: &str, path: &std::path::Path) -> Result<(), Stop> {
    let place = |e: CarError| Stop::NoPlot(format!("{}: {}", path.display(), e.what()));
    crate::car::file::write(path, svg).map_err(place)?;
    Ok(print::plain(&format!("{title} is drawn in {}.\n", path.display()))?)
}

/// Opens the viewer; where there is no display, prints the car's answers and says how to open it.
fn open(arguments: Arguments) -> Result<(), Stop> {
    let file = match &arguments.car {
        Some(path) => CarFile::open(path)?,
        None => CarFile::from_text(DEMO.to_owned(), None)?,
    };
    if let Some(name) = &arguments.proposal {
        file.proposed(name)?;
    }
    let name = arguments.car.as_ref().map_or_else(|| DEMO_NAME.to_owned(), |p| p.display().to_string());
    report::open(file, &name, &arguments)
}
