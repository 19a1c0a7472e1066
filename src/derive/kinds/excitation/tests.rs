use super::*;
use crate::derive::kinds::visit;
use crate::ground::source::Source;
use crate::record::criteria::Criteria;
use crate::record::{Record, read_alone};

const PLATE: &str = "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n";
const CORE: &str = "[core S]\nmarks: S1 S2 S3\nuse: protection\nclass: 5P20\nburden: 15 VA\nresistance: 3.4 ohm at 75 C\ntap ratio/A\nS1-S2 300/1\nS1-S3 600/1\n";
/// The excitation readings of the sample record.
const SAMPLE: &[(f64, f64)] = &[
    (25.0, 1.31),
    (50.1, 1.92),
    (100.3, 2.84),
    (200.2, 4.53),
    (300.4, 7.40),
    (350.2, 13.1),
    (400.1, 41.8),
    (420.3, 83.5),
    (440.2, 171.0),
    (460.1, 352.0),
];

fn record(sections: &str) -> Record {
    let text = format!("{PLATE}{CORE}[visit 2026-03-14]\n{sections}");
    read_alone(&Source::new("t.ctr", text.as_bytes()).0).0
}

fn section(head: &str, rows: impl Iterator<Item = (f64, f64)>) -> String {
    let rows: String = rows.map(|(v, i)| format!("{v} {i}\n")).collect();
    format!("{head}\nvoltage/V current/mA\n{rows}")
}

fn derived(record: &Record) -> (Derived, Workings) {
    let criteria = Criteria::default();
    let case = Case {
        record,
        visit: &record.visits[0],
        index: 0,
        instruments: None,
        criteria: &criteria,
    };
    let mut w = Workings::new();
    let derived = visit(&case, &mut w);
    (derived, w)
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
    let record = record(&section("[excitation S1-S3]", SAMPLE.iter().copied()));
    let (derived, _) = derived(&record);
    let found = &derived.excitation[0];
    assert!((at(&found.iec) - 316.8).abs() < 0.05);
    assert!((at(&found.knee_30) - 287.6).abs() < 0.05);
    assert!((at(&found.knee_45) - 235.2).abs() < 0.05);
    assert_eq!(found.emf, EmfBy::Voltage);
    assert!(found.flaws.is_empty() && found.open_terminals.is_none());
}

#[test]
fn falling_is_as_good_as_rising() {
    let record = record(&section("[excitation S1-S3]", SAMPLE.iter().rev().copied()));
    let (derived, _) = derived(&record);
    let found = &derived.excitation[0];
    assert!((at(&found.iec) - 316.8).abs() < 0.05 && found.flaws.is_empty());
    // The bracketing readings are found in the order of the file.
    assert_eq!(found.around(&found.iec).len(), 2);
}

/// A tap driven to half the voltage takes twice the current, and is scaled back to the same curve.
#[test]
fn a_tap_is_scaled_to_the_whole_winding_and_back() {
    let record = record(&section(
        "[excitation S1-S2]",
        SAMPLE.iter().map(|(v, i)| (v / 2.0, i * 2.0)),
    ));
    let (derived, _) = derived(&record);
    let criteria = Criteria::default();
    let case = Case {
        record: &record,
        visit: &record.visits[0],
        index: 0,
        instruments: None,
        criteria: &criteria,
    };
    let full = for_pair(
        &case,
        &derived,
        Pair {
            core: 0,
            from: 0,
            to: 2,
        },
    )
    .unwrap();
    assert_eq!(
        full.scaled_from,
        Some(Pair {
            core: 0,
            from: 0,
            to: 1
        })
    );
    assert!((at(&full.iec) - 316.8).abs() < 0.1);
    assert!((derived.excitation[0].open_terminals.unwrap().si - 460.1).abs() < 1e-9);
    let tap = for_pair(
        &case,
        &derived,
        Pair {
            core: 0,
            from: 1,
            to: 0,
        },
    )
    .unwrap();
    assert!(tap.scaled_from.is_none() && (at(&tap.iec) - 158.4).abs() < 0.1);
    assert!(
        for_pair(
            &case,
            &derived,
            Pair {
                core: 0,
                from: 1,
                to: 2
            }
        )
        .is_none()
    );
}

#[test]
fn flaws_are_told_and_nothing_crashes() {
    let rows = [
        (50.0, 1.0),
        (50.0, 1.1),
        (100.0, 0.9),
        (90.0, 1.3),
        (200.0, 4.0),
    ];
    let record = record(&section("[excitation S1-S3]", rows.into_iter()));
    let (derived, _) = derived(&record);
    assert!(derived.excitation[0].flaws.len() >= 3);
    for rows in [vec![], vec![(1.0, 1.0)], vec![(1.0, 1.0), (2.0, 2.0)]] {
        let record = self::record(&section("[excitation S1-S3]", rows.into_iter()));
        let (derived, _) = self::derived(&record);
        assert!(
            derived
                .excitation
                .iter()
                .all(|found| matches!(found.iec, Knee::Lacking(_)))
        );
    }
}

/// At 10 Hz the drop comes off first, then the e.m.f. is scaled by five.
#[test]
fn another_frequency_is_scaled_after_the_drop() {
    let resistance = "[resistance S1-S3]\nwires: 4\ncurrent/A voltage/V\n1.0 3.0\n";
    let with_angle = "[excitation S1-S3]\nfrequency: 10 Hz\nvoltage/V current/mA angle/deg\n10 500 0\n20 900 0\n30 1500 0\n";
    let record = record(&format!("{resistance}{with_angle}"));
    let (derived, _) = derived(&record);
    let found = &derived.excitation[0];
    let first = found.curve.as_ref().unwrap().first().v.si;
    assert!((first - (10.0 - 1.5) * 5.0).abs() < 1e-9, "{first}");
    assert_eq!(
        (found.emf, found.other_frequency),
        (EmfBy::Angle, Some(10.0))
    );
}
