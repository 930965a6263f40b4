//! Rails that are cut and notched, tubes that run to nodes and cut ends, the plans of cuts, and edits of all that.

mod common;

#[path = "cut_plan/described.rs"]
mod described;
#[path = "cut_plan/edited.rs"]
mod edited;
#[path = "cut_plan/planned.rs"]
mod planned;
