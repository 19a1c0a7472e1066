//! The generator itself: the same seed gives the same text, healthy records are read, physics is sane.

use super::faults::{FAULTS, plant};
use super::iron::{NICKEL, ORIENTED, Ring};
use super::job::{Case, files};
use super::tally;
use super::write;

fn texts(case: &Case) -> Vec<String> {
    case.sheets().iter().map(write::record).collect()
}

#[test]
fn the_same_seed_gives_the_same_text_and_another_seed_another() {
    assert_eq!(texts(&Case::new("a")), texts(&Case::new("a")));
    assert_ne!(texts(&Case::new("a")), texts(&Case::new("b")));
}

#[test]
fn healthy_records_are_read_without_an_error() {
    for number in 0..24 {
        let case = Case::new(&format!("healthy {number}"));
        let (memory, paths) = files(&case.sheets(), case.instruments);
        let job = kneemark::compile(&memory, &paths);
        for (record, text) in job.records.iter().zip(texts(&case)) {
            let told: Vec<&str> = record.errors().map(|told| told.title.as_str()).collect();
            assert!(
                told.is_empty(),
                "{number} {:?}: {told:?}\n{text}",
                record.path
            );
        }
        assert!(
            job.others.iter().all(|one| one.diagnostics.is_empty()),
            "{:?}",
            job.others
                .iter()
                .map(|one| &one.diagnostics)
                .collect::<Vec<_>>()
        );
    }
}

#[test]
fn every_fault_can_be_planted_and_seen() {
    for (id, _) in FAULTS {
        let seen = (0..6).any(|number| plant(&[id], number).visible);
        assert!(seen, "{id}");
    }
}

fn ring(iron: super::iron::Iron) -> Ring {
    Ring {
        iron,
        area: 1e-3,
        path: 0.5,
        gap: 0.0,
    }
}

/// Flux density at a peak field that makers of strip publish for their grades: 1.8 to 1.95 T at 800 A/m for
/// oriented steel, 0.7 to 0.8 T saturated for 80 % nickel (common practice, no source).
#[test]
fn strip_saturates_where_makers_say() {
    for iron in ORIENTED {
        let curve = ring(iron).curve(50.0, 50.0, 0.0);
        let at = |tesla: f64| curve.at(4.443 * 50.0 * 1e-3 * tesla).total() / 0.5;
        // The r.m.s. of a peaked field is a third to a half of its crest.
        assert!(at(1.80) < 400.0, "{} {}", iron.name, at(1.80));
        assert!(at(1.95) > 400.0, "{} {}", iron.name, at(1.95));
        assert!((5.0..40.0).contains(&at(1.0)), "{} {}", iron.name, at(1.0));
    }
    let nickel = ring(NICKEL).curve(50.0, 50.0, 0.0);
    let at = |tesla: f64| nickel.at(4.443 * 50.0 * 1e-3 * tesla).total() / 0.5;
    assert!(at(0.4) < 3.0 && at(0.74) > 20.0, "{} {}", at(0.4), at(0.74));
}

/// A tap of half the turns takes twice the current at half the voltage, as the law of induction asks.
#[test]
fn a_gap_only_adds_and_flux_left_raises_the_low_end_alone() {
    let plain = ring(ORIENTED[1]);
    let gapped = Ring { gap: 1e-4, ..plain };
    let left = plain.curve(50.0, 50.0, 0.7);
    let (plain, gapped) = (plain.curve(50.0, 50.0, 0.0), gapped.curve(50.0, 50.0, 0.0));
    for volts in [0.01, 0.05, 0.1, 0.3] {
        assert!(gapped.at(volts).total() > plain.at(volts).total());
    }
    let raised = |volts: f64| left.at(volts).total() / plain.at(volts).total();
    assert!(
        raised(0.01) > 1.5 && raised(0.43) < 1.1,
        "{} {}",
        raised(0.01),
        raised(0.43)
    );
}

/// A few seeds of everything: the count runs, most faults are seen, and the healthy are mostly let alone.
#[test]
fn a_short_count() {
    let (text, all) = tally::table(1);
    let (records, accused, told) = tally::healthy(20);
    println!("{text}\nhealthy: {records} records, {accused} accused\n{told}");
    assert!(all.visible * 2 > all.cases);
    assert!(accused * 5 < records, "{accused} of {records}\n{told}");
}
