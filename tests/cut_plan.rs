//! Rails that are cut and notched, tubes that run to nodes and cut ends, and the plans of cuts.

mod common;

#[path = "cut_plan/described.rs"]
mod described;
