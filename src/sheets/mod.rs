//! Papers: the answers drawn for the bench, at true scale.
//!
//! A [`Drawing`] is lines, circles and words in millimetres. [`paper`] lays drawings and tables on pages, [`pdf`] and [`dxf`]
//! write them, [`bench`] makes all papers of a car in memory and [`folder`] puts them on disk.

pub mod bench;
pub mod drawing;
pub mod dxf;
pub mod folder;
pub mod font;
mod listing;
pub mod paper;
pub mod pdf;
mod rail;
pub mod table;
pub mod tables;
mod tube;

pub use bench::{PaperFile, papers};
pub use drawing::{Drawing, Layer, Shape};
pub use folder::write;
pub use paper::Paper;
