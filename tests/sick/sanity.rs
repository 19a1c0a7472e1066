//! The generator itself: the same seed gives the same text, healthy records are read, physics is sane.

use super::excite::Driven;
use super::faults::{FAULTS, plant};
use super::healthy;
use super::iron::{NICKEL, ORIENTED, Ring};
use super::job::{Case, files};
use super::sheet::Kind;
use super::tally;
use super::winding::Conductor;
use super::write;
use std::rc::Rc;

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
    for number in 0..12 {
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

/// Half the turns take twice the current at half the voltage (law of induction), but for the copper drop.
#[test]
fn a_tap_scales_by_its_turns() {
    let mut tried = 0;
    for number in 0..40 {
        let case = Case::new(&format!("scale {number}"));
        let bench = case.records[0].benches.last().expect("a visit");
        for (index, core) in bench.body.cores.iter().enumerate() {
            let tap = (0, 1);
            let share = core.turns_of(tap) / core.all_turns();
            let volts = 0.3 * core.bend(bench.body.hertz);
            let curve = || Rc::new(core.curve(bench.body.hertz, bench.body.hertz, 0.0));
            let whole = Driven::new(bench, index, core.full(), curve()).at(volts);
            let part = Driven::new(bench, index, tap, curve()).at(volts * share);
            let off = part.amperes * share / whole.amperes - 1.0;
            assert!(off.abs() < 0.02, "{number} {}: {off}", core.name);
            tried += usize::from(share < 1.0);
        }
    }
    assert!(tried > 10);
}

/// Healthy readings say what the plate says: turns to 0.5 %; and below the bend a core takes a small part of
/// rated current (common practice, no source).
#[test]
fn healthy_readings_agree_with_their_plate() {
    let mut ratios = 0;
    for number in 0..60 {
        let case = Case::new(&format!("plate {number}"));
        for (sheet, record) in case.sheets().iter().zip(&case.records) {
            let bench = record.benches.last().expect("a visit");
            for section in &sheet.visits.last().expect("a visit").sections {
                for row in &section.rows {
                    let Some(core) = row.core.map(|core| &sheet.plate.cores[core]) else {
                        continue;
                    };
                    let value = |at: usize| row.cells[at].value().expect("a reading");
                    match section.kind {
                        Kind::Ratio => {
                            let pair = core
                                .taps()
                                .into_iter()
                                .find(|pair| core.word(*pair) == row.cells[0].text());
                            let turns = core.turns_of(pair.expect("a tap"));
                            let found = value(1) / (value(2) * 1e-3) * bench.written_turns();
                            assert!(
                                (found / turns - 1.0).abs() < 5e-3,
                                "{number} {}: {found} {turns}",
                                core.name
                            );
                            ratios += 1;
                        }
                        Kind::Excitation if value(0) < 0.9 * core.bend(sheet.plate.hertz) => {
                            let share = value(1) * 1e-3 / core.rated;
                            // 2 % of 20 times rated in a gap.
                            let most = if core.ring.gap > 0.0 { 0.5 } else { 0.15 };
                            assert!(
                                (1e-6..most).contains(&share),
                                "{number} {}: {share}",
                                core.name
                            );
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    assert!(ratios > 100);
}

/// Copper by the reader's constant of 234.5 °C, aluminium by his 225 °C, agree within what a degree does.
#[test]
fn windings_warm_as_readers_take_it() {
    for (conductor, constant) in [(Conductor::Copper, 234.5), (Conductor::Aluminium, 225.0)] {
        for celsius in [-15.0, 5.0, 35.0] {
            let own = conductor.at(75.0) / conductor.at(celsius);
            let read = (75.0 + constant) / (celsius + constant);
            assert!(
                (own / read - 1.0_f64).abs() < 0.006,
                "{conductor:?} {celsius}"
            );
        }
    }
}

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

fn every_third() -> Vec<&'static str> {
    FAULTS.iter().map(|fault| fault.0).step_by(3).collect()
}

/// One seed of every third fault: the count runs, the plain ones are found, and the healthy are let alone.
#[test]
fn a_short_count() {
    let (text, all) = tally::table(&every_third(), 1);
    let healthy = healthy::count(10);
    println!("{text}\n{}", healthy.text());
    assert!(all.visible * 3 > all.cases * 2, "{text}");
    assert!(all.found * 3 > all.visible, "{text}");
    assert!(healthy.accused * 20 < healthy.records, "{}", healthy.text());
}
