//! A car's answers at a glance, for a call without a question where no window can be opened.

use super::Stop;
use super::args::Arguments;
use super::print::{headline, plain, said};
use crate::answer::loads::told::stands;
use crate::answer::{Study, Told};
use crate::car::{Car, CarFile, Shown};
use crate::motion::Pose;
use crate::space::Scans;

/// Opens the viewer, or prints the answers where there is no display.
pub fn open(file: CarFile, name: &str, arguments: &Arguments) -> Result<(), Stop> {
    let shown = arguments.units.into();
    #[cfg(feature = "viewer")]
    {
        use crate::viewer::{self, Start};
        let (proposal, picture) = (arguments.proposal.clone(), arguments.picture.clone());
        let opened = match display() {
            Ok(()) => viewer::run(Start { file: file.clone(), proposal, units: shown, size: arguments.size, picture }),
            Err(why) => Err(why),
        };
        match opened {
            Ok(()) => Ok(()),
            Err(why) if arguments.picture.is_some() => Err(Stop::Viewer(format!("the picture was not taken: {why}"))),
            Err(why) => answers(&file, name, shown, &format!("The viewer did not open: {why}.")),
        }
    }
    #[cfg(not(feature = "viewer"))]
    answers(&file, name, shown, "This build has no viewer. Build with its default features to have it.")
}

/// Whether there is a display to open a window on. Only X and Wayland need to be told where it is.
#[cfg(feature = "viewer")]
fn display() -> Result<(), String> {
    let told = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    if cfg!(any(target_os = "macos", target_os = "windows")) || told("DISPLAY") || told("WAYLAND_DISPLAY") {
        Ok(())
    } else {
        Err("there is no display".to_owned())
    }
}

/// As found, then each proposal: the answers in a sentence each.
fn answers(file: &CarFile, name: &str, shown: Shown, why: &str) -> Result<(), Stop> {
    let mut text = format!("{} - {name}\n\nAs found\n{}", file.car().name, told(file, file.car().clone(), shown)?);
    for proposal in &file.car().proposals {
        let car = file.proposed(&proposal.name)?;
        text += &format!("\nProposal \"{}\"\n{}", proposal.name, told(file, car, shown)?);
    }
    text += &format!(
        "\n{why}\nOn a machine with a display and a Vulkan, Metal or DirectX 12 driver, `scribeline CAR` opens the \
         viewer.\nFor one answer in full: `scribeline gaps|lock|cut|loads|springs|stance|curves CAR`; `scribeline --help` tells the rest.\n"
    );
    Ok(plain(&text)?)
}

fn told(file: &CarFile, car: Car, shown: Shown) -> Result<String, Stop> {
    let scans = Scans::load(file, &car)?;
    let study = Study::with_scans(car, &scans)?;
    let mut all = study.answers(&Pose::default())?;
    study.doubt(&mut all.gaps);
    let line = |question: &str, verdict, sentence: String| format!("  {question:5} {}", headline(verdict, &sentence));
    // Of a car whose weight or grades are not told there is nothing to say of loads yet.
    let loads = study.loads(None).ok().filter(|loads| !loads.holds.is_empty());
    let loads = loads
        .map(|loads| format!("  {:5} {}", "loads", said(stands(loads.verdict), loads.verdict, &loads.sentence(shown))));
    Ok([
        line("gaps", all.gaps.verdict, all.gaps.sentence(shown)),
        line("lock", all.lock.verdict, all.lock.sentence(shown)),
        line("cut", all.cut.verdict, all.cut.sentence(shown)),
        loads.unwrap_or_default(),
    ]
    .concat())
}
