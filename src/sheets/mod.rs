//! What leaves the shop: papers for the bench, the page to send to the customer, the car as a model for other programs.
//!
//! A [`Drawing`] is lines, circles and words in millimetres, at true scale. [`paper`] lays drawings and tables on pages, [`pdf`]
//! and [`dxf`] write them, [`bench`] makes all papers of a car in memory and [`folder`] puts them on disk. [`mesh`] is what the
//! [`page`] and the model ([`glb`]) draw, in the [`poses`] of a sweep.

pub mod bench;
pub mod drawing;
pub mod dxf;
pub mod folder;
pub mod font;
pub mod glb;
pub mod keep_out;
mod listing;
pub mod mesh;
pub mod page;
pub mod paper;
pub mod pdf;
pub mod poses;
mod rail;
pub mod table;
pub mod tables;
mod tube;

pub use bench::{PaperFile, papers};
pub use drawing::{Drawing, Layer, Shape};
pub use folder::write;
pub use paper::Paper;
