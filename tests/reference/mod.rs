//! Whole records against independent libraries: the Python programs beside this file computed the
//! fixtures (README.md says how); nothing in them came from this crate.

mod flux;
mod roots;
mod slope;
mod spread;

use kneemark::compile;
use kneemark::derive::kinds::Derived;
use kneemark::derive::outcome::Outcome;
use kneemark::derive::workings::Value;
use kneemark::ground::seam::Memory;
use kneemark::job::{Compiled, Job};
use serde::Deserialize;
use std::path::PathBuf;

/// Gathers one record, with an `instruments.toml` beside it where one is given.
fn read(record: &str, instruments: Option<&str>) -> Job {
    let memory = Memory::default();
    memory.put("one.ctr", record);
    if let Some(text) = instruments {
        memory.put("instruments.toml", text);
    }
    let gathered = compile(&memory, &[PathBuf::from("one.ctr")]);
    let told: Vec<&str> = gathered
        .records
        .iter()
        .flat_map(|unit| &unit.diagnostics)
        .filter(|d| d.is_error())
        .map(|d| d.title.as_str())
        .collect();
    assert!(
        told.is_empty() && gathered.others.is_empty(),
        "{told:?} {:?}\n{record}",
        gathered.others
    );
    gathered
}

fn only(gathered: &Job) -> (&Compiled, &Derived) {
    let [unit] = gathered.records.as_slice() else {
        panic!("{} records", gathered.records.len())
    };
    let [visit] = unit.assessment.visits.as_slice() else {
        panic!("{} visits", unit.assessment.visits.len())
    };
    (unit, &visit.derived)
}

/// A value and its standard uncertainty.
#[derive(Deserialize)]
struct Told {
    value: f64,
    u: f64,
}

/// The kind of an outcome in the fixtures' words, with its number.
fn kind(outcome: &Outcome) -> (&'static str, Option<Value>) {
    match outcome {
        Outcome::Known(value) => ("known", Some(*value)),
        Outcome::AtLeast(value) => ("at-least", Some(*value)),
        Outcome::AtMost(value) => ("at-most", Some(*value)),
        Outcome::NotReached { beyond } => ("not-reached", Some(*beyond)),
        Outcome::Lacking(_) => ("lacking", None),
    }
}

#[track_caller]
fn near(ours: f64, theirs: f64, relative: f64, says: &str) {
    assert!(
        (ours - theirs).abs() <= relative * theirs.abs(),
        "{ours}, by the other library {theirs}: {says}"
    );
}
