//! Whole records through reading, derivation and judgement. All data invented, unless a source stands
//! beside it.

use super::FACTOR_OF_TWO;
use crate::document::Grade;
use crate::ground::source::Source;
use crate::judge::condition::Condition;
use crate::judge::decision::{WhyNot, Word};
use crate::judge::finding::{Finding, Verdict};
use crate::judge::{Assessment, assess};
use crate::record::criteria::{Criteria, DecisionRule};
use crate::record::instruments::{self, Instruments};
use crate::record::{self, Record};

/// An instrument good enough for any class, and one that is not.
const FINE: &str = r#"
[[instrument]]
id = "K1"
[[instrument.function]]
measures = "ratio-error"
from = "-200 %"
to = "200 %"
floor = "0.0001 %"
[[instrument.function]]
measures = "phase"
from = "-300 arcmin"
to = "300 arcmin"
floor = "0.01 arcmin"
[[instrument.function]]
measures = "current"
to = "1000 A"
of_reading = "0.02 %"
[[instrument.function]]
measures = "voltage"
to = "1000 V"
of_reading = "0.02 %"
[[instrument.function]]
measures = "angle"
from = "-180 deg"
to = "180 deg"
floor = "0.01 deg"
[[instrument]]
id = "COARSE"
[[instrument.function]]
measures = "ratio-error"
from = "-200 %"
to = "200 %"
floor = "0.5 %"
[[instrument.function]]
measures = "phase"
from = "-300 arcmin"
to = "300 arcmin"
floor = "60 arcmin"
"#;

pub(super) fn fine() -> Instruments {
    let (source, _) = Source::new("instruments.toml", FINE.as_bytes());
    let (read, told) = instruments::read(&source);
    assert!(told.is_empty(), "{told:?}");
    read
}

pub(super) fn record(plate: &str, core: &str, visit: &str) -> Record {
    let text = format!(
        "format: 1\n\n[ct]\nid: T-1\n{plate}\n\n[core S]\nmarks: S1 S2\n{core}\n\n[visit 2026-03-01]\npurpose: test\n{visit}\n"
    );
    read(&text)
}

pub(super) fn read(text: &str) -> Record {
    record::read_alone(&Source::new("t.ctr", text.as_bytes()).0).0
}

pub(super) const IEC: &str = "standard: IEC 61869-2:2012\nfrequency: 50 Hz";

pub(super) fn assessed(record: &Record) -> Assessment {
    assess(record, Some(&fine()), &Criteria::default())
}

pub(super) fn simply(record: &Record) -> Assessment {
    assess(
        record,
        Some(&fine()),
        &Criteria {
            rule: DecisionRule::SimpleAcceptance,
            ..Criteria::default()
        },
    )
}

pub(super) fn of<'a>(found: &'a Assessment, rule: &str) -> Vec<&'a Finding> {
    found
        .visits
        .iter()
        .flat_map(|visit| &visit.findings)
        .filter(|finding| finding.rule.id == rule)
        .collect()
}

pub(super) fn one<'a>(found: &'a Assessment, rule: &str) -> &'a Finding {
    let all = of(found, rule);
    assert_eq!(all.len(), 1, "{rule}: {all:?}");
    all[0]
}

fn si(finding: &Finding) -> f64 {
    finding.found.value().unwrap().si
}

const PASS: Verdict = Verdict::Word(Word::Pass);
const FAIL: Verdict = Verdict::Word(Word::Fail);

/// IEC 61869-2:2012, Tables 201 to 203 (from memory): class, per cent of rated current, ratio error
/// in per cent, phase displacement in minutes.
const ROWS: &[(&str, f64, f64, Option<f64>)] = &[
    ("0.2S", 1.0, 0.75, Some(30.0)),
    ("0.2S", 5.0, 0.35, Some(15.0)),
    ("0.2S", 20.0, 0.2, Some(10.0)),
    ("0.2S", 120.0, 0.2, Some(10.0)),
    ("0.5S", 1.0, 1.5, Some(90.0)),
    ("0.5", 5.0, 1.5, Some(90.0)),
    ("0.5", 20.0, 0.75, Some(45.0)),
    ("0.5", 100.0, 0.5, Some(30.0)),
    ("1", 5.0, 3.0, Some(180.0)),
    ("1", 120.0, 1.0, Some(60.0)),
    ("3", 50.0, 3.0, None),
    ("5", 120.0, 5.0, None),
];

#[test]
fn every_limit_row_holds_through_a_whole_record() {
    for (class, percent, ratio, phase) in ROWS {
        for (share, word) in [(0.99, PASS), (-0.99, PASS), (1.01, FAIL), (-1.01, FAIL)] {
            let minutes = phase.unwrap_or(100.0) * share;
            let visit = format!(
                "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: 10 VA\nrated/% error/% phase/arcmin\n{percent} {:.5} {minutes:.3}",
                ratio * share
            );
            let found = assessed(&record(
                IEC,
                &format!("class: {class}\nburden: 10 VA\nratio: 600/5 A"),
                &visit,
            ));
            assert_eq!(
                one(&found, "ratio-error").verdict,
                word,
                "{class} at {percent} %, {share}"
            );
            let wanted = if phase.is_some() {
                word
            } else {
                Verdict::NoLimit
            };
            assert_eq!(
                one(&found, "phase-displacement").verdict,
                wanted,
                "{class} at {percent} %, {share}"
            );
        }
    }
}

/// The tabulated centiradians are rounded: 0.9 crad for 30 minutes (IEC 61869-2:2012, Table 201, from memory).
#[test]
fn a_phase_is_judged_in_the_unit_it_was_written_in() {
    let of = |unit: &str, value: &str| {
        let visit = format!(
            "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: 10 VA\nrated/% error/% phase/{unit}\n100 0.1 {value}"
        );
        one(
            &assessed(&record(
                IEC,
                "class: 0.5\nburden: 10 VA\nratio: 600/5 A",
                &visit,
            )),
            "phase-displacement",
        )
        .verdict
        .clone()
    };
    assert_eq!(of("crad", "0.89"), PASS);
    assert_eq!(of("arcmin", "30.6"), FAIL);
    // 0.91 crad are 31.3 minutes: outside by either.
    assert_eq!(of("crad", "0.91"), FAIL);
}

/// An extended rating of 150 % keeps the limits of 120 % up to there (IEC 61869-2:2012, 5.6.201.5, from memory).
#[test]
fn the_extended_rating_is_held_and_asked_for() {
    let visit = "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: 10 VA\nrated/% error/% phase/arcmin\n150 0.1 1.0\n200 0.1 1.0";
    let found = assessed(&record(
        IEC,
        "class: 0.2\nextended: 150 %\nburden: 10 VA\nratio: 600/5 A",
        visit,
    ));
    let verdicts: Vec<_> = of(&found, "ratio-error")
        .iter()
        .map(|told| told.verdict.clone())
        .collect();
    assert_eq!(verdicts, [PASS, Verdict::NoLimit]);
    let shown = one(&found, "class-shown");
    assert!(shown.headline);
    assert_eq!(shown.observed, "shown in part".into());
    assert_eq!(shown.conditions, [Condition::Class("0.2".to_owned())]);
    assert!(
        shown
            .remarks
            .iter()
            .any(|remark| remark.plain(|_| 0)
                == "not measured: 5, 20, 100 and 120 % at 10 VA; 2.5 VA"),
        "{:?}",
        shown.remarks
    );
}

const CLASS_0_5: &str = "class: 0.5\nburden: 10 VA\nratio: 600/5 A";

fn at_burden(burden: &str) -> Assessment {
    let visit = format!(
        "instrument: K1\n[ratio S1-S2]\nmethod: current\n{burden}\nrated/% error/% phase/arcmin\n100 0.9 5.0"
    );
    assessed(&record(IEC, CLASS_0_5, &visit))
}

/// 25 to 100 % of rated burden (IEC 61869-2:2012, 5.6.201.3, from memory).
#[test]
fn outside_the_burden_range_there_is_no_word_of_the_class() {
    for burden in ["burden: 10 VA at 0.80", "burden: 2.5 VA", "burden: 5 VA"] {
        assert_eq!(
            one(&at_burden(burden), "ratio-error").verdict,
            FAIL,
            "{burden}"
        );
    }
    for (burden, word) in [
        ("burden: 1 VA", "below the range of the class"),
        ("burden: shorted", "below the range of the class"),
        ("burden: 15 VA", "above the rated burden"),
        ("burden: 1 ohm", "above the rated burden"),
    ] {
        let found = at_burden(burden);
        assert_eq!(
            one(&found, "ratio-error").verdict,
            Verdict::NoLimit,
            "{burden}"
        );
        assert_eq!(
            one(&found, "ratio-burden").observed,
            word.into(),
            "{burden}"
        );
        assert!(matches!(
            one(&found, "class-shown").verdict,
            Verdict::NotShown(_)
        ));
    }
    for unknown in ["burden: connected", "note: nobody says"] {
        let found = at_burden(unknown);
        assert_eq!(
            one(&found, "ratio-error").verdict,
            Verdict::NoLimit,
            "{unknown}"
        );
    }
}

/// A measuring class gets no word without an uncertainty, nor with one above a third of the limit.
#[test]
fn no_word_that_the_instrument_cannot_support() {
    let visit = |id: &str| {
        format!(
            "instrument: {id}\n[ratio S1-S2]\nmethod: current\nburden: 10 VA\nrated/% error/% phase/arcmin\n100 0.1 2.0"
        )
    };
    let coarse = assessed(&record(IEC, CLASS_0_5, &visit("COARSE")));
    for rule in ["ratio-error", "phase-displacement", "class-shown"] {
        assert_eq!(
            one(&coarse, rule).verdict,
            Verdict::NotDecided(WhyNot::UncertaintyTooLarge),
            "{rule}"
        );
    }
    let unknown = assessed(&record(IEC, CLASS_0_5, &visit("NOBODY")));
    assert_eq!(
        one(&unknown, "ratio-error").verdict,
        Verdict::NotDecided(WhyNot::UncertaintyMissing)
    );
    // A standard that is named without data leaves the comparison without uncertainty too.
    let standard = visit("K1").replace("[ratio", "reference: N9\n[ratio");
    let found = assessed(&record(IEC, CLASS_0_5, &standard));
    assert_eq!(
        one(&found, "ratio-error").verdict,
        Verdict::NotDecided(WhyNot::UncertaintyMissing)
    );
}

/// P classes: 1 % and 60 minutes at rated current and burden (IEC 61869-2:2012, Table 205, from memory).
#[test]
fn a_protection_class_is_held_at_rated_current_and_burden_only() {
    let found = |burden: &str, percent: &str| {
        let visit = format!(
            "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: {burden}\nrated/% error/% phase/arcmin\n{percent} -1.2 50"
        );
        let found = assessed(&record(
            IEC,
            "class: 5P20\nburden: 15 VA\nratio: 600/1 A",
            &visit,
        ));
        (
            one(&found, "ratio-error").verdict.clone(),
            one(&found, "phase-displacement").verdict.clone(),
        )
    };
    assert_eq!(found("15 VA", "100"), (FAIL, PASS));
    assert_eq!(found("15 VA", "20"), (Verdict::NoLimit, Verdict::NoLimit));
    assert_eq!(found("5 VA", "100"), (Verdict::NoLimit, Verdict::NoLimit));
}

/// The tally of a low-voltage ring: two passes of the cable, plate for one.
#[test]
fn passes_divide_the_ratio_and_a_factor_of_two_is_told() {
    let visit = "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: 5 VA\nprimary/A secondary/A\n100.2 4.980";
    let core = "class: 1\nburden: 5 VA\nratio: 200/5 A";
    let found = assessed(&record(&format!("{IEC}\npasses: 2"), core, visit));
    let told = one(&found, "ratio-error");
    // 100*(20*4.980 - 100.2)/100.2
    assert!(
        (si(told) + 0.598_802).abs() < 1e-6 && told.verdict == PASS,
        "{told:?}"
    );
    let found = assessed(&record(&format!("{IEC}\nprimary turns: 2"), core, visit));
    let told = one(&found, "ratio-error");
    // Half of rated current by that plate: class 1 has no limit there, but no class is 100 % off.
    assert_eq!(told.verdict, Verdict::Observed(Grade::Review));
    assert_eq!(told.next, Some(FACTOR_OF_TWO.into()));
}

#[test]
fn a_stray_line_or_an_unreadable_cell_takes_the_word_away() {
    let visit = "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: 10 VA\nrated/% error/% phase/arcmin\n100 0.1 2.0\nwhat is this";
    let found = assessed(&record(IEC, CLASS_0_5, visit));
    for rule in ["ratio-error", "phase-displacement", "class-shown"] {
        assert!(
            matches!(one(&found, rule).verdict, Verdict::NotJudged(_)),
            "{rule}"
        );
    }
    let visit = visit.replace("0.1 2.0\nwhat is this", "O.1 2.0\n100 >1 2.0");
    let found = assessed(&record(IEC, CLASS_0_5, &visit));
    assert!(of(&found, "ratio-error").is_empty());
    assert_eq!(of(&found, "ratio-reading").len(), 2);
}

/// GATE Electrical Engineering 2003 and 2004 (answers from memory): 250 ampere-turns on 100 turns give
/// -10.56 %, 200 on 500 turns give 4.6°, 5 A into 1 ohm. Here through a record: turns by voltage,
/// exciting current in quadrature. The winding resistance is made negligible.
#[test]
fn examination_examples_through_a_record() {
    let found = |ratio: &str, turns: f64, ie: f64| {
        let core = format!(
            "class: 0.5\nburden: 25 VA at 1.00\nratio: {ratio} A\nresistance: 0.0001 ohm at 75 C"
        );
        let rows: String = [4.0, 5.0005, 6.0]
            .iter()
            .map(|v| format!("{v} {:.6} 90\n", ie * v / 5.0005))
            .collect();
        let visit = format!(
            "instrument: K1\n[excitation S1-S2]\nvoltage/V current/A angle/deg\n{rows}[ratio S1-S2]\nmethod: voltage\napplied/V induced/V\n3.000 {:.6}",
            3.0 / turns
        );
        assessed(&record(IEC, &core, &visit))
    };
    let at_rated = |found: &Assessment, rule: &str| {
        of(found, rule)
            .iter()
            .find(|told| told.conditions.contains(&Condition::Percent(100.0)))
            .map(|told| si(told))
            .unwrap()
    };
    let first = found("500/5", 100.0, 2.5);
    assert!((at_rated(&first, "expected-ratio-error") + 10.56).abs() < 0.01);
    let second = found("2500/5", 500.0, 0.4);
    assert!((at_rated(&second, "expected-phase").to_degrees() - 4.6).abs() < 0.05);
    // Never a verdict, and nothing past the readings (0.05 V at 1 %).
    for told in of(&first, "expected-ratio-error") {
        assert_eq!(told.verdict, Verdict::NoLimit);
        assert!(!told.conditions.contains(&Condition::Percent(1.0)));
    }
    // The same error as two currents: 559.017 A primary for 5 A (our own arithmetic on the first).
    let visit = "instrument: K1\n[ratio S1-S2]\nmethod: current\nburden: 25 VA\nprimary/A secondary/A\n559.017 5.0000";
    let told = assessed(&record(
        IEC,
        "class: 0.5\nburden: 25 VA\nratio: 500/5 A",
        visit,
    ));
    assert!((si(one(&told, "ratio-error")) + 10.5573).abs() < 1e-4);
}

mod ieee;
mod voltage;
