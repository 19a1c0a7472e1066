//! The records that the format was designed on stay readable, and what they are warned of is known.
#![allow(
    clippy::disallowed_methods,
    reason = "the test reads the folder itself"
)]

use kneemark::cli::draw::short;
use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use std::path::{Path, PathBuf};

/// The folder's files, by name, in order.
pub fn files() -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/design_records");
    let entries = std::fs::read_dir(folder)
        .expect("the folder can be listed")
        .map(|entry| entry.expect("an entry").path());
    let mut found: Vec<_> = entries
        .filter(|path| {
            path.extension()
                .is_some_and(|ending| ending == "ctr" || ending == "toml")
        })
        .map(|path| {
            (
                path.file_name()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned(),
                std::fs::read(&path).expect("a file"),
            )
        })
        .collect();
    found.sort();
    found
}

/// The text of `sample.ctr`.
pub fn sample() -> String {
    let file = files()
        .into_iter()
        .find(|(name, _)| name == "sample.ctr")
        .expect("sample.ctr");
    String::from_utf8(file.1).expect("text")
}

/// Every diagnostic, one line each.
pub fn told(job: &Job) -> String {
    let each = job.diagnostics();
    let lines = each.flat_map(|(source, found)| found.iter().map(|one| short(source, one)));
    lines.collect()
}

/// Gathers one record with the folder's instruments beside it.
pub fn gathered_with(name: &str, text: &[u8]) -> Job {
    let memory = Memory::default();
    for (file, bytes) in files()
        .into_iter()
        .filter(|(file, _)| file.ends_with(".toml"))
    {
        memory.put(file, bytes);
    }
    memory.put(name, text);
    compile(&memory, &[PathBuf::from(name)])
}

#[test]
fn the_records_read_without_errors() {
    let memory = Memory::default();
    for (name, bytes) in files() {
        memory.put(format!("design/{name}"), bytes);
    }
    let gathered = compile(&memory, &[PathBuf::from("design")]);
    assert_eq!(gathered.records.len(), 7);
    for unit in &gathered.records {
        assert!(unit.is_complete(), "{}", unit.source.name);
        assert!(
            !unit.record.visits.is_empty()
                && unit
                    .record
                    .visits
                    .iter()
                    .all(|visit| !visit.tests.is_empty()),
            "{}",
            unit.source.name
        );
    }
    insta::assert_snapshot!(told(&gathered));
}
