//! Twice as much of anything takes twice the work: work is counted, never timed.

use crate::through::{Through, Way};
use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::{MOST_SISTERS, Survey, Terms};
use kneemark::pack::build::Planned;
use kneemark::pack::sink::InMemory;
use kneemark::record::like::MOST_LENDERS;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Counts how often files are asked.
#[derive(Default)]
struct Asked(AtomicUsize);

impl Way for Asked {
    fn asked(&self) {
        self.0.fetch_add(1, Ordering::Relaxed);
    }
}

type Counted = Through<Memory, Asked>;

/// Records in one folder, of which each says something of its own.
fn job(count: usize, record: impl Fn(usize) -> String) -> Counted {
    let counted = Counted::default();
    for at in 0..count {
        let text = format!("format: 1\n[ct]\nid: A{at}\n{}", record(at));
        counted.files.put(format!("job/c{at:05}.ctr"), text);
    }
    counted
        .files
        .put("job/pack.toml", "records = [\"*.ctr\"]\n");
    counted
}

const CORE: &str = "[core 1S]\nclass: 5P20\nratio: 600/1 A\nburden: 15 VA\n";

/// Calls for a job of so many, and of twice as many.
fn grows(record: impl Fn(usize) -> String, work: impl Fn(&Counted)) {
    let calls = |count: usize| {
        let counted = job(count, &record);
        work(&counted);
        counted.way.0.into_inner()
    };
    let (one, two) = (calls(60), calls(120));
    assert!(two <= 2 * one + 20, "{one} calls, then {two}");
}

fn check(files: &Counted) {
    assert!(!compile(files, &["job".into()]).records.is_empty());
}

fn pack(files: &Counted) {
    let Ok(planned) = Planned::of(files, Path::new("job/pack.toml")) else {
        panic!("not planned")
    };
    planned.write(false, &InMemory::default()).expect("room");
}

#[test]
fn calls_of_a_job_of_distinct_units() {
    grows(|_| CORE.to_owned(), check);
    grows(|_| CORE.to_owned(), pack);
}

/// One plate that is nowhere made every path be looked up for each record.
#[test]
fn calls_of_a_plate_that_nobody_lends() {
    let record = |at: usize| match at {
        0 => "[core 1S]\nlike: NOBODY\n".to_owned(),
        _ => CORE.to_owned(),
    };
    grows(record, check);
    grows(|_| "[core 1S]\nlike: NOBODY\n".to_owned(), check);
}

/// Each lends to the next.
#[test]
fn calls_of_a_chain_of_plates() {
    let record = |at: usize| match at {
        0 => CORE.to_owned(),
        _ => format!("[core 1S]\nlike: A{}\n", at - 1),
    };
    grows(record, check);
}

/// What a plate stands on is named in full, so that it comes through so many records and no more.
#[test]
fn lenders_of_a_chain() {
    let record = |at: usize| match at {
        0 => CORE.to_owned(),
        _ => format!("[core 1S]\nlike: A{}\n", at - 1),
    };
    let files = job(MOST_LENDERS + 3, record);
    let job = compile(&files, &["job".into()]);
    let beyond = MOST_LENDERS + 1;
    for (at, one) in job.records.iter().enumerate() {
        let far = one.diagnostics.iter();
        let far = far.filter(|told| told.title.contains("comes through"));
        assert_eq!(far.count(), usize::from(at == beyond), "{at}");
        let lenders = one.record.written.lenders.len();
        let expected = if at < beyond { at } else { at - beyond };
        assert_eq!(lenders, expected, "{at}");
    }
}

/// Each unit of a great set is held against so many others, not against all.
#[test]
fn sisters_of_one_set() {
    let sisters = |count: usize| -> Vec<usize> {
        let set = |at: usize| {
            format!(
                "[place since 2026-01-01]\nsite: X\nset: one\nphase: L{}\n{CORE}",
                at % 3 + 1
            )
        };
        let files = job(count, set);
        let survey = Survey::of(&files, &["job".into()], Terms::default());
        (0..count).map(|at| survey.sisters(at).count()).collect()
    };
    for count in [3, MOST_SISTERS, MOST_SISTERS + 1] {
        assert!(
            sisters(count).iter().all(|all| *all == count - 1),
            "{count}"
        );
    }
    for count in [MOST_SISTERS + 2, 200, 400] {
        assert!(
            sisters(count).iter().all(|all| *all == MOST_SISTERS),
            "{count}"
        );
    }
}
