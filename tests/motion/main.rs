//! The kinematic core against things that nobody in this project made.
//!
//! [`reference`]: the same constraints solved by SciPy from another formulation (tests/reference/motion.py).

use scribeline::car::Car;

mod reference;

/// A car file of tests/reference, read as it stands.
fn car(name: &str) -> Car {
    let path = format!("{}/tests/reference/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    options.from_str(&text).unwrap_or_else(|e| panic!("{path}: {e}"))
}
