//! The question `change`: a proposal against the car as found, or a car with its arms grown.

use std::path::PathBuf;

use clap::Args;

use super::args::{Asked, axle, one_of, size};
use super::typed::{Length, length};
use super::{Stop, draw, print};
use crate::answer::change::{Grow, Remade, Remake, SteerAim, UNWRITTEN};
use crate::answer::{Comparison, NoAnswer, Study, Subject, Verdict, along};
use crate::car::{AxleName, Car, CarFile, Edit, GrowWay, Shown};
use crate::motion::{Along, Quantity, RunningGear};
use crate::space::Scans;

/// What to compare, and what to make of the car first.
#[derive(Debug, Args)]
pub struct ChangeArgs {
    /// Another proposal to compare with, rather than the car as found
    #[arg(long, value_name = "NAME", requires = "proposal", conflicts_with = "grow")]
    against: Option<String>,
    /// Tell numbers that nothing changes, too
    #[arg(long)]
    all: bool,
    /// The motion that rates are taken along, and that a plot is drawn against
    #[arg(long, value_name = "MOTION", value_parser = one_of(&Along::ALL, Along::name), default_value = "travel")]
    along: Along,
    /// Grow this axle's arms, of the proposal or else of the car as found
    #[arg(long, value_name = "AXLE", value_parser = axle(), requires = "by")]
    grow: Option<AxleName>,
    /// How much longer a side
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, value_parser = length, requires = "grow")]
    by: Option<Length>,
    /// Straight across the car, or the lower arm square to its own pickup axis and all else with it
    #[arg(long, value_name = "WAY", value_parser = one_of(&GrowWay::ALL, GrowWay::name), default_value = "across", requires = "grow")]
    way: GrowWay,
    /// Raise or lower the tie rods' outer ends until the bump steer at ride height is as before, or none
    #[arg(long, value_name = "AIM", value_parser = one_of(&SteerAim::ALL, SteerAim::name))]
    bump_steer: Option<SteerAim>,
    /// The axle of a plot, and of --bump-steer [default: the one that is grown, else front]
    #[arg(long, value_name = "AXLE", value_parser = axle())]
    axle: Option<AxleName>,
    /// Write what --grow and --bump-steer made into the car file, as a proposal of this name
    #[arg(long, value_name = "NAME", conflicts_with = "plot")]
    write: Option<String>,
    /// Draw one quantity of both cars, rather than tell everything
    #[arg(long, value_name = "QUANTITY", value_parser = one_of(Quantity::ALL, Quantity::name))]
    plot: Option<Quantity>,
    /// Write the plot as a drawing to an SVG file, rather than print its values
    #[arg(long, value_name = "FILE", requires = "plot", conflicts_with_all = ["json", "csv"])]
    svg: Option<PathBuf>,
    /// Width and height of the drawing
    #[arg(long, value_name = "WIDTHxHEIGHT", default_value = "960x600", value_parser = size, requires = "svg")]
    svg_size: [u32; 2],
}

/// Answers it.
pub fn answer(asked: &Asked, args: &ChangeArgs) -> Result<Verdict, Stop> {
    let file = CarFile::open(&asked.car)?;
    let state = |name: Option<&String>| match name {
        Some(name) => file.proposed(name),
        None => Ok(Car { proposals: Vec::new(), ..file.car().clone() }),
    };
    let (made, shown) = (state(asked.proposal.as_ref())?, if asked.json { Shown::Mm } else { asked.shown() });
    let remaking = args.grow.is_some() || args.bump_steer.is_some();
    if !remaking && (asked.proposal.is_none() || args.write.is_some()) {
        return Err(Stop::NoPlot(missing(file.car(), args)));
    }
    // What is grown is compared with what it was grown from.
    let before = if args.grow.is_some() { made.clone() } else { state(args.against.as_ref())? };
    let remade = match remaking {
        true => Some(Remade::new(
            &before,
            &made,
            remake(args, asked.shown()),
            args.write.as_deref().unwrap_or(UNWRITTEN),
            shown,
        )?),
        false => None,
    };
    let after = remade.as_ref().map_or(&made, |remade| &remade.car);
    if let Some(quantity) = args.plot {
        return plot(asked, args, quantity, [&before, after], shown);
    }
    let study = |car: &Car| -> Result<Study, Stop> {
        let scans = Scans::load(&file, car)?;
        Ok(Study::with_scans(car.clone(), &scans)?)
    };
    let comparison = Comparison::proven(&study(&before)?, &study(after)?, args.along, shown)?;
    let verdict = comparison.verdict;
    let comparison = if args.all { comparison } else { comparison.only_changed() };
    let Some(remade) = remade else {
        print::change(asked, &comparison)?;
        return Ok(verdict);
    };
    let written =
        args.write.as_ref().map(|name| write(&file, asked.proposal.as_deref(), name, remade.written())).transpose()?;
    print::remade(asked, &remade, &comparison, written.as_deref())?;
    Ok(verdict)
}

/// What is to be made, a bare `--by` being in the units asked for, whatever the answer is printed in.
fn remake(args: &ChangeArgs, units: Shown) -> Remake {
    let grow = args.grow.zip(args.by).map(|(axle, by)| Grow { axle, by_mm: by.mm(units), way: args.way });
    let axle = args.axle.or(args.grow).unwrap_or(AxleName::Front);
    Remake { grow, axle, bump_steer: args.bump_steer }
}

/// What a call without anything to compare needs.
fn missing(car: &Car, args: &ChangeArgs) -> String {
    if args.write.is_some() {
        return "there is nothing to write: say what to make with --grow front --by 45, or with --bump-steer before"
            .into();
    }
    let names: Vec<String> = car.proposals.iter().map(|p| format!("\"{}\"", p.name)).collect();
    let which = match &names[..] {
        [] => "this car file has none yet".to_owned(),
        names => format!("this car file has {}", names.join(" and ")),
    };
    format!("say what is changed: a proposal with --proposal NAME ({which}), or arms with --grow front --by 45")
}

/// Puts what was made into the car file, as a proposal of its own or at the end of the one that it was made of.
pub(super) fn write(file: &CarFile, proposal: Option<&str>, name: &str, changes: Vec<String>) -> Result<String, Stop> {
    if changes.is_empty() {
        return Err(Stop::NoPlot("there is nothing to write: nothing moves".to_owned()));
    }
    if name == "as found" {
        return Err(Stop::NoPlot(
            "\"as found\" is what the car is called before any change: choose another name".to_owned(),
        ));
    }
    let named = match proposal {
        Some(own) if own == name => file.clone(),
        Some(other) => file.edit(&Edit::CopyProposal { proposal: other.to_owned(), name: name.to_owned() })?,
        None => file.edit(&Edit::AddProposal { name: name.to_owned() })?,
    };
    named.edit(&Edit::AddChanges { proposal: name.to_owned(), changes })?.save()?;
    Ok(name.to_owned())
}

/// Both cars' curves of a quantity.
fn plot(asked: &Asked, args: &ChangeArgs, quantity: Quantity, cars: [&Car; 2], shown: Shown) -> Result<Verdict, Stop> {
    let gear = |car: &Car| RunningGear::new(car).map_err(NoAnswer::Ride);
    let gears = [gear(cars[0])?, gear(cars[1])?];
    let subject = |i: usize| {
        let name = cars[i].made.as_deref().unwrap_or("as found");
        Subject { name, found: i == 0, car: cars[i], gear: &gears[i] }
    };
    let axle = args.axle.or(args.grow).unwrap_or(AxleName::Front);
    let plot = along::plot(&[subject(0), subject(1)], axle, quantity, args.along, shown).map_err(Stop::NoPlot)?;
    match &args.svg {
        Some(path) => draw(&plot.title, &plot.svg(args.svg_size), path)?,
        None => print::plot(asked, &plot)?,
    }
    Ok(Verdict::Clear)
}
