//! Papers for the bench, held to closed forms, to hand calculation and to what stands in the files themselves. What other
//! programs read out of the files is in `tests/reference/papers.py`.

#[path = "papers/bench.rs"]
mod bench;
#[path = "common/mod.rs"]
mod common;
#[path = "papers/copes.rs"]
mod copes;
#[path = "common/demo.rs"]
mod demo;
#[path = "papers/files.rs"]
mod files;
#[path = "papers/pages.rs"]
mod pages;
#[path = "papers/rails.rs"]
mod rails;
