//! The demo cars as they are asked about.

use std::path::{Path, PathBuf};

use scribeline::answer::Study;
use scribeline::car::{Car, CarFile};

pub fn scene(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes").join(name)
}

pub fn car(name: &str) -> Car {
    CarFile::open(&scene(name)).expect("a demo car").car().clone()
}

pub fn study(car: Car) -> Study {
    Study::new(car).unwrap_or_else(|e| panic!("{e}"))
}
