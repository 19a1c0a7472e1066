//! The fuzz targets on the stable toolchain: their corpus, and mutations of it for as long as is asked.
#![allow(
    clippy::disallowed_methods,
    reason = "the corpus lies on the disk, and the run is as long as asked"
)]

#[path = "../fuzz/targets/job.rs"]
pub mod job;

use super::mutate::{spoil, spoilt};
use job::Target;
use proptest::strategy::{Strategy as _, ValueTree as _};
use proptest::test_runner::{Config, TestRunner};
use std::path::Path;
use std::time::{Duration, Instant};

/// The seeds of a target, in the order of their names.
fn corpus(name: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/corpus")
        .join(name);
    let entries = std::fs::read_dir(folder).expect("a corpus");
    let mut paths: Vec<_> = entries.map(|entry| entry.expect("a seed").path()).collect();
    paths.sort();
    paths
        .iter()
        .map(|path| std::fs::read(path).expect("a seed"))
        .collect()
}

#[test]
fn the_corpus_is_answered() {
    for (target, name) in Target::ALL {
        let seeds = corpus(name);
        assert!(seeds.len() > 1 && seeds.iter().map(Vec::len).sum::<usize>() < 100_000);
        seeds.iter().for_each(|seed| target.answers(seed));
    }
}

/// Mutates the seeds of each target for so many seconds; the input of a failure is printed.
#[test]
#[ignore = "runs for FUZZ_SECONDS for each target; CI runs it"]
fn fuzz_for_a_while() {
    let seconds = std::env::var("FUZZ_SECONDS").map_or(60, |text| text.parse().expect("seconds"));
    let mut runner = TestRunner::new(Config::default());
    let only = std::env::var("FUZZ_ONLY").ok();
    let asked = Target::ALL.into_iter();
    for (target, name) in asked.filter(|(_, name)| only.as_ref().is_none_or(|only| only == name)) {
        let seeds = corpus(name);
        let inputs = (
            proptest::sample::select(seeds),
            proptest::collection::vec(spoil(), 1..12),
        );
        let (begun, mut tried) = (Instant::now(), 0_u32);
        while begun.elapsed() < Duration::from_secs(seconds) {
            let (seed, spoils) = inputs.new_tree(&mut runner).expect("an input").current();
            let text = spoils.iter().fold(seed, spoilt);
            let held = std::panic::catch_unwind(|| target.answers(&text));
            assert!(held.is_ok(), "{name}: {}", text.escape_ascii());
            tried += 1;
        }
        println!("{name}: {tried} inputs in {seconds} s");
    }
}
