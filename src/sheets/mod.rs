//! Papers: the answers drawn for the bench, at true scale.

pub mod table;
