use super::*;
use crate::derive::testing::{Derivation, SAMPLE, near, pair};

const CORE: &str = "frequency: 50 Hz\n[core S]\nmarks: S1 S2 S3\nuse: protection\nclass: 5P20\nburden: 15 VA\nresistance: 3.4 ohm at 75 C\ntap ratio/A\nS1-S2 300/1\nS1-S3 600/1\n[visit 2026-03-14]\n";

fn derived(sections: &str) -> Derived {
    Derivation::of(&format!("{CORE}{sections}")).derived
}

/// A curve of volt and ampere on a pair.
fn taken(on: &str, rows: impl IntoIterator<Item = (f64, f64)>) -> Derived {
    let rows = rows.into_iter().map(|(v, i)| format!("{v} {i:.6}\n"));
    let rows: String = rows.collect();
    derived(&format!("[excitation {on}]\nvoltage/V current/A\n{rows}"))
}

fn at(knee: &Knee) -> f64 {
    match knee {
        Knee::At(point) => point.voltage.si,
        other => panic!("{other:?}"),
    }
}

/// Knees of the sample record: 316.8, 287.6 and 235.2 V (the trade notes' own computation).
#[test]
fn the_sample_has_its_three_knees() {
    let found = &taken("S1-S3", SAMPLE).excitation[0];
    near(at(&found.iec), 316.8, 2e-4);
    near(at(&found.knee_30), 287.6, 2e-4);
    near(at(&found.knee_45), 235.2, 2e-4);
    assert_eq!(found.emf, EmfBy::Voltage);
    assert!(found.flaws.is_empty() && found.open_terminals.is_none());
}

#[test]
fn falling_is_as_good_as_rising() {
    let found = &taken("S1-S3", SAMPLE.into_iter().rev()).excitation[0];
    near(at(&found.iec), 316.8, 2e-4);
    assert!(found.flaws.is_empty());
    // The bracketing readings are found in the order of the file.
    assert_eq!(found.around(&found.iec).len(), 2);
}

/// A tap driven to half the voltage takes twice the current, and is scaled back to the same curve.
#[test]
fn a_tap_is_scaled_to_the_whole_winding_and_back() {
    let derived = taken("S1-S2", SAMPLE.map(|(v, i)| (v / 2.0, i * 2.0)));
    let full = derived.curve_for(pair(0, 2)).unwrap();
    assert_eq!(full.scaled_from, Some(pair(0, 1)));
    near(at(&full.iec), 316.8, 3e-4);
    near(
        derived.excitation[0].open_terminals.unwrap().si,
        460.1,
        1e-11,
    );
    let tap = derived.curve_for(pair(1, 0)).unwrap();
    assert!(tap.scaled_from.is_none());
    near(at(&tap.iec), 158.4, 6e-4);
    assert!(derived.curve_for(pair(1, 2)).is_none());
}

#[test]
fn flaws_are_told_and_nothing_crashes() {
    let rows = [
        (50.0, 0.0010),
        (50.0, 0.0011),
        (100.0, 0.0009),
        (90.0, 0.0013),
        (200.0, 0.0040),
    ];
    assert!(taken("S1-S3", rows).excitation[0].flaws.len() >= 3);
    for rows in [&rows[..1], &rows[..2]] {
        let found = taken("S1-S3", rows.iter().copied()).excitation;
        assert!(matches!(found[0].iec, Knee::Lacking(_)));
    }
}

/// At 10 Hz the drop comes off first, then the e.m.f. is scaled by five.
#[test]
fn another_frequency_is_scaled_after_the_drop() {
    let resistance = "[resistance S1-S3]\nwires: 4\ncurrent/A voltage/V\n1.0 3.0\n";
    let with_angle = "[excitation S1-S3]\nfrequency: 10 Hz\nvoltage/V current/mA angle/deg\n10 500 0\n20 900 0\n30 1500 0\n";
    let derived = derived(&format!("{resistance}{with_angle}"));
    let found = &derived.excitation[0];
    let first = found.curve.as_ref().unwrap().first().v.si;
    near(first, (10.0 - 1.5) * 5.0, 1e-10);
    let by = (found.emf, found.other_frequency);
    assert_eq!(by, (EmfBy::Angle, Some(10.0)));
}
