//! The question `better`: where points have to stand for what is wanted of the geometry.

use clap::Args;

use super::args::{Asked, axle};
use super::change::write;
use super::{Stop, print, study};
use crate::answer::Verdict;
use crate::answer::better::{BEST, Better, BetterAsk, Free, Looking, NoBetter, Wish};
use crate::car::{AxleName, CarFile, Shown};
use crate::space::Scans;

/// What may move, and what is wanted.
#[derive(Debug, Args)]
pub struct BetterArgs {
    /// A coordinate that may move, from where to where of where it is, again for more: "tie_rod_outer z -15 15"; one number is so
    /// much each way; `rear`, `left` or `right` may stand before it
    #[arg(long, value_name = "POINT AXIS FROM TO", required = true, allow_hyphen_values = true)]
    free: Vec<String>,
    /// What is wanted, again for more: "bump_steer at most 0.05", "camber_gain from -0.8 to -0.5", "roll_centre_height stays
    /// within 5", "toe change through travel at most 0.1 either way", "lock at least 34", "clear"
    #[arg(long, value_name = "WISH", required = true, allow_hyphen_values = true)]
    want: Vec<String>,
    /// The axle that is meant where none is said
    #[arg(long, value_name = "AXLE", value_parser = axle(), default_value = "front")]
    axle: AxleName,
    /// How many cars to tell at most, to choose from
    #[arg(long, value_name = "N", default_value_t = BEST, value_parser = most)]
    most: usize,
    /// The car to tell in full and to write, from 1 as they are listed
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = nth)]
    pick: usize,
    /// Write it into the car file, as a proposal of this name
    #[arg(long, value_name = "NAME")]
    write: Option<String>,
}

fn most(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n @ 1..=20) => Ok(n),
        _ => Err("it is from 1 to 20".to_owned()),
    }
}

fn nth(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n @ 1..) => Ok(n),
        _ => Err("cars are numbered from 1, as they are listed".to_owned()),
    }
}

/// Answers it.
pub fn answer(asked: &Asked, args: &BetterArgs) -> Result<Verdict, Stop> {
    let (study, _) = study(asked)?;
    let file = CarFile::open(&asked.car)?;
    let scans = Scans::load(&file, &study.car)?;
    let better = Better::new(&study, &scans, &ask(args, asked.shown())?, Looking::NOBODY)?;
    let Some(car) = better.cars.get(args.pick - 1) else {
        if better.cars.is_empty() && args.write.is_none() {
            print::better(asked, &better, args.pick, None)?;
            return Ok(better.verdict);
        }
        let there = match better.cars.len() {
            0 => "no car was found".to_owned(),
            1 => "there is only car 1".to_owned(),
            n => format!("there are cars 1 to {n}"),
        };
        return Err(Stop::NoPlot(format!("there is no car {}: {there}", args.pick)));
    };
    let written = match &args.write {
        Some(name) => Some(write(&file, asked.proposal.as_deref(), name, car.changes.clone())?),
        None => None,
    };
    print::better(asked, &better, args.pick, written.as_deref())?;
    Ok(better.verdict)
}

fn ask(args: &BetterArgs, shown: Shown) -> Result<BetterAsk, NoBetter> {
    let free = args.free.iter().map(|text| Free::typed(text, shown, args.axle));
    let wishes = args.want.iter().map(|text| Wish::typed(text, shown, args.axle));
    Ok(BetterAsk {
        free: free.collect::<Result<_, _>>().map_err(NoBetter::Asked)?,
        wishes: wishes.collect::<Result<_, _>>().map_err(NoBetter::Asked)?,
        best: args.most,
    })
}
