//! The program called from the shell, and what it said.

use std::process::{Command, Output};

use serde_json::Value;

pub fn call(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_scribeline")).args(arguments).output().expect("the program runs")
}

pub fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("plain text")
}

pub fn json(output: &Output) -> Value {
    let said = || String::from_utf8_lossy(&output.stderr).into_owned();
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", said()))
}
