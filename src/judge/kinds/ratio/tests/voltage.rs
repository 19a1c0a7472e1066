//! The voltage method through whole records.

use super::{FAIL, IEC, PASS, assessed, fine, of, one, read, record, si};
use crate::derive::kinds::ratio::Correction;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess;
use crate::judge::decision::WhyNot;
use crate::judge::finding::Verdict;
use crate::judge::kinds::ratio::voltage::Whole;
use crate::record::criteria::Criteria;
use crate::record::kinds::TestKind;

fn volts(core: &str, induced: &str) -> crate::judge::Assessment {
    let visit = format!(
        "instrument: K1\n[ratio S1-S2]\nmethod: voltage\napplied/V induced/mV\n120.000 {induced}"
    );
    assessed(&record(IEC, core, &visit))
}

/// PX 0.25 % (IEC 61869-2:2012, 5.6.202.4, from memory); positive with fewer turns than rated.
#[test]
fn px_turns_ratio() {
    let px = "class: PX\nratio: 600/1 A\nknee emf: 300 V";
    let found = volts(px, "200.000");
    let told = one(&found, "turns-ratio");
    assert!(si(told).abs() < 1e-9 && told.verdict == PASS && told.headline);
    let found = volts(px, "201.000");
    let told = one(&found, "turns-ratio");
    assert!(
        (si(told) - 0.5).abs() < 1e-9 && told.verdict == FAIL,
        "{told:?}"
    );
    let unknown = record(
        IEC,
        px,
        "[ratio S1-S2]\nmethod: voltage\napplied/V induced/mV\n120.000 200.000",
    );
    let found = assess(&unknown, None, &Criteria::default());
    assert_eq!(
        one(&found, "turns-ratio").verdict,
        Verdict::NotDecided(WhyNot::UncertaintyMissing)
    );
}

/// For a measuring class: not met by itself, never met; nothing once turns were taken off on purpose.
#[test]
fn a_measuring_class_is_never_met_by_voltage() {
    let class = "class: 0.5\nburden: 10 VA\nratio: 600/1 A";
    assert_eq!(
        one(&volts(class, "200.000"), "turns-ratio").verdict,
        Verdict::NoLimit
    );
    assert_eq!(
        one(&volts(class, "201.800"), "turns-ratio").verdict,
        Verdict::NotMet
    );
    let compensated = format!("{class}\nturns compensation: 5");
    let found = volts(&compensated, "201.681");
    let told = one(&found, "turns-ratio");
    // 595 turns, as the plate says: no error.
    assert!(
        told.verdict == Verdict::NoLimit && si(told).abs() < 0.01,
        "{told:?}"
    );
}

#[test]
fn the_clients_tolerance_is_cited_and_without_it_there_is_no_limit() {
    let core = "class: 5P20\nburden: 15 VA\nratio: 600/1 A";
    let visit =
        "instrument: K1\n[ratio S1-S2]\nmethod: voltage\napplied/V induced/mV\n120.000 202.000";
    let record = record(IEC, core, visit);
    assert_eq!(
        one(
            &assess(&record, Some(&fine()), &Criteria::default()),
            "turns-ratio"
        )
        .verdict,
        Verdict::NoLimit
    );
    let criteria = Criteria {
        turns: Some(0.5),
        ..Criteria::default()
    };
    let found = assess(&record, Some(&fine()), &criteria);
    let told = one(&found, "turns-ratio");
    assert_eq!(told.verdict, FAIL);
    assert_eq!(
        told.against.as_ref().unwrap().cited.source,
        "criteria.toml, ratio turns"
    );
}

/// A generator core of class TPY: 21 minutes are the drop of 0.268 A in 18.2 ohm at 800 V. They are
/// of no class, whatever they are.
#[test]
fn the_phase_of_the_voltage_method_is_never_judged() {
    let found = |phase: &str| {
        let visit = format!(
            "instrument: K1\ntemperature of the winding: 21 C\n[resistance S1-S2]\nwires: 4\ncurrent/A voltage/V\n0.1000 1.8200\n\
             [excitation S1-S2]\nvoltage/V current/mA\n400 134\n600 201\n800.4 268\n1000 335\n\
             [ratio S1-S2]\nmethod: voltage\napplied/V induced/mV phase/arcmin\n800.4 100.02 {phase}"
        );
        assessed(&record(
            IEC,
            "class: TPY\nratio: 8000/1 A\nburden: 5.0 ohm\nresistance: 22 ohm at 75 C",
            &visit,
        ))
    };
    let drop = found("21");
    assert!(of(&drop, "phase-displacement").is_empty());
    let angle = |unit: &str| unit == "arcmin" || unit == "crad" || unit == "deg";
    let judged = |found: &crate::judge::Assessment, rule: &str| {
        found.visits[0]
            .findings
            .iter()
            .filter(|told| told.rule.id == rule)
            .count()
    };
    assert_eq!(
        drop.visits[0]
            .findings
            .iter()
            .filter(|told| told.rule.kind == TestKind::Ratio && angle(told.unit.word))
            .count(),
        0
    );
    assert_eq!(judged(&drop, "turns-ratio"), 1);
    // All of the drop is in quadrature: 800.4 V falls by 0.015 V only, not by 4.9 V.
    let turns = &drop.visits[0].derived.ratio.turns[0];
    let Correction::Made { percent, .. } = turns.correction else {
        panic!("{:?}", turns.correction)
    };
    assert!((0.0..0.12).contains(&percent), "{percent}");
    assert!((turns.ratio.si - 8002.2).abs() < 8.0, "{}", turns.ratio.si);
    // Whatever is read there changes no word.
    let far = found("90");
    assert_eq!(
        one(&far, "turns-ratio").verdict,
        one(&drop, "turns-ratio").verdict
    );
}

/// The drop taken off is exact when the angle of the current is known by the phase: e = V - I R in
/// phase, or the root of the squares in quadrature.
#[test]
fn the_drop_lies_between_its_bounds() {
    let visit = "instrument: K1\n[excitation S1-S2]\nvoltage/V current/mA\n60 100\n120 200\n200 400\n\
                 [ratio S1-S2]\nmethod: voltage\napplied/V induced/mV\n120.000 200.000";
    let found = assessed(&record(
        IEC,
        "class: PX\nratio: 600/1 A\nresistance: 6.0 ohm at 75 C",
        visit,
    ));
    let turns = &found.visits[0].derived.ratio.turns[0];
    // Between 120 V - 1.2 V and the root of 120 V and 1.2 V squared; the middle with half the width.
    let (low, high) = (118.8 / 0.2, (120f64 * 120.0 - 1.44).sqrt() / 0.2);
    let u = 2.0 * found.workings.uncertainty(turns.ratio).u;
    assert!(turns.ratio.si > low && turns.ratio.si < high);
    assert!(
        turns.ratio.si - u < low + 1.0 && turns.ratio.si + u > high - 1.0,
        "{} {u}",
        turns.ratio.si
    );
}

const TAPPED: &str = "format: 1\n\n[ct]\nid: T-2\nstandard: IEEE C57.13-2008\nfrequency: 60 Hz\n\n[core X]\nclass: C800\nratio: 1200:5\n\
    tap ratio/A\nX1-X2 200:5\nX2-X3 100:5\nX3-X4 500:5\nX4-X5 400:5\n\n[visit 2026-03-01]\npurpose: test\ninstrument: K1\n";

/// The whole winding driven once, the sense leads moved: sections sum to what was applied.
#[test]
fn sections_under_one_driven_pair() {
    let rows = "[ratio X1-X5]\nmethod: voltage\non applied/V read/V\nH1-H2 120.02 0.5001\nX1-X2 120.02 20.00\nX2-X3 120.02 10.00\nX3-X4 120.02 50.01\nX4-X5 120.02 40.01\n";
    let found = assessed(&read(&format!("{TAPPED}{rows}")));
    let sum = one(&found, "tap-sum");
    assert!(
        si(sum).abs() < 1e-9 && sum.verdict == Verdict::Observed(Grade::Info),
        "{sum:?}"
    );
    let turns = of(&found, "turns-ratio");
    assert_eq!(turns.len(), 5);
    assert!(turns.iter().all(|told| si(told).abs() < 0.2));
    assert!(of(&found, "wrong-tap").is_empty());
    // One section of the four is misread: it no longer closes.
    let found = assessed(&read(&format!(
        "{TAPPED}{}",
        rows.replace("50.01", "51.01")
    )));
    let sum = one(&found, "tap-sum");
    assert!(
        (si(sum) - 100.0 / 120.02).abs() < 1e-6 && sum.verdict == Verdict::Observed(Grade::Review)
    );
}

#[test]
fn a_lead_on_another_tap_and_leads_exchanged() {
    let rows = |a: &str, b: &str| {
        format!(
            "{TAPPED}[ratio]\nmethod: voltage\non applied/V induced/mV\nX1-X2 20.000 {a}\nX4-X5 20.000 {b}\nX1-X5 120.00 500.00\n"
        )
    };
    let found = assessed(&read(&rows("500.00", "250.00")));
    assert!(of(&found, "wrong-tap").is_empty());
    let exchanged = assessed(&read(&rows("250.00", "500.00")));
    let told = of(&exchanged, "wrong-tap");
    assert_eq!(told.len(), 2);
    let observed = |other: &str, how: &'static str| {
        say!("that of {}, {}", Phrase::terminals(other.to_owned()), how)
    };
    for (finding, other) in told.iter().zip(["X4-X5", "X1-X2"]) {
        assert_eq!(finding.observed, observed(other, "leads exchanged"));
        assert_eq!(finding.verdict, Verdict::Observed(Grade::Fails));
    }
    let one_only = assessed(&read(&rows("250.00", "250.00")));
    assert_eq!(
        one(&one_only, "wrong-tap").observed,
        observed("X4-X5", "leads may be on another tap")
    );
}

#[test]
fn whole_turns_only_where_u_tells_them_apart() {
    let whole = |ratio: &str, induced: &str| {
        let found = volts(&format!("class: PX\nratio: {ratio} A"), induced);
        let turns = found.visits[0].derived.ratio.turns[0].whole.unwrap();
        let u = 2.0 * found.workings.uncertainty(turns).u;
        let whole = Whole::of(turns.si, u);
        let remarks = &one(&found, "turns-ratio").remarks;
        assert!(remarks.contains(&whole.phrase(turns.si, u)), "{remarks:?}");
        whole
    };
    assert_eq!(whole("200/1", "600.000"), Whole::Nearest);
    assert_eq!(whole("8000/1", "15.000"), Whole::Untold);
    assert_eq!(Whole::of(200.4, 0.2), Whole::Between);
}

/// 70 % of the knee at most (common practice, no source).
#[test]
fn a_ratio_test_near_the_knee_deserves_a_look() {
    let level = |knee: &str| {
        let found = volts(
            &format!("class: PX\nratio: 600/1 A\nknee emf: {knee} V"),
            "200.000",
        );
        one(&found, "volts-per-turn").verdict.clone()
    };
    assert_eq!(level("300"), Verdict::NoLimit);
    assert_eq!(level("150"), Verdict::Observed(Grade::Review));
}
