use crate::judge::kinds::bench::{BROKEN, Bench, core, table};
use proptest::prelude::*;

/// An excitation section through `rows` of volt and milliampere.
pub(crate) fn excitation(rows: &[(f64, f64)]) -> String {
    let rows: String = rows.iter().map(|(v, i)| format!("{v} {i}\n")).collect();
    format!("[excitation S1-S2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}\n")
}

/// The excitation readings of the sample record.
pub(crate) const SAMPLE: &[(f64, f64)] = &[
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

pub(crate) const P: &str =
    "class: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.4 ohm at 75 C";

/// One visit with this text.
fn once(text: &str) -> Bench {
    Bench::of(&core(P, &format!("[visit 2026-01-10]\n{text}")))
}

/// The maker's sample curve, then a visit with this text.
fn after_factory(text: &str) -> Bench {
    let factory = format!(
        "[visit 2025-01-10]\npurpose: factory\n{}",
        excitation(SAMPLE)
    );
    let site = format!("[visit 2026-01-10]\npurpose: commissioning\n{text}");
    Bench::of(&core(P, &(factory + &site)))
}

fn twice(now: &[(f64, f64)], between: &str) -> Bench {
    after_factory(&format!("{between}\n{}", excitation(now)))
}

fn raised(by: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    SAMPLE.iter().map(|(v, i)| (*v, i * by(*v))).collect()
}

#[test]
fn the_plates_rule_decides_and_the_others_stand_beside() {
    let full = once(&excitation(SAMPLE));
    let heads = ["knee-iec", "knee-45", "knee-30"].map(|rule| full.one(rule).headline);
    assert_eq!(heads, [true, false, false]);
    full.holds(
        "knee-iec",
        &["317 V", "between the readings at 300.4 V and 350.2 V"],
    );
    // The reading comes first, so that a terminal points at it.
    assert_eq!(full.one("knee-iec").points_at.len(), 2);
    let short = once(&excitation(&SAMPLE[..5]));
    short.holds("knee-iec", &["not reached, above 273.1 V"]);
}

#[test]
fn the_same_curve_again_is_within_its_tolerance() {
    let same = twice(SAMPLE, "");
    for (rule, told) in [
        ("curve-above-reference", "pass"),
        ("curve-below-reference", "pass"),
        ("residual-magnetism", ""),
        ("shorted-turn-suspected", ""),
    ] {
        assert_eq!(same.told(rule), told, "{rule}");
    }
}

#[test]
fn a_raised_low_end_is_residual_magnetism() {
    let dc = "[resistance S1-S2]\nwires: 4\ncurrent/A voltage/V\n0.5 1.4";
    let raised = raised(|v| 1.0 + 3.0 * libm::exp(-v / 60.0));
    let found = twice(&raised, dc);
    assert_eq!(found.told("residual-magnetism"), "review");
    found.holds("residual-magnetism", &["direct current"]);
    assert_eq!(found.told("shorted-turn-suspected"), "");
    assert_eq!(found.told("curve-above-reference"), "review");
    // Demagnetised before leaves out the direct current.
    let demagnetised = format!("{dc}\n[demagnetisation S1-S2]\nstart: 480 V\nend: 0 V");
    let found = twice(&raised, &demagnetised);
    assert!(found.one("residual-magnetism").remarks.is_empty());
}

#[test]
fn a_leak_all_along_is_a_shorted_turn_where_the_primary_was_open() {
    // 0.16 mS across 600 turns of 3.4 ohm, of which one passes up to 0.49 mS.
    let leak: Vec<(f64, f64)> = SAMPLE
        .iter()
        .map(|(v, i)| (*v, libm::hypot(0.6 * i + 0.16 * v, 0.8 * i)))
        .collect();
    for (rows, between, [turn, closed]) in [
        // Nobody wrote how the primary was, and no other core tells.
        (&leak[..], "", ["", "review"]),
        (&leak[..], "primary: P1 earthed, P2 earthed", ["", "fails"]),
        // One earth is as it should be; the circuit may still have been on, which stands before a turn.
        (&leak[..], "primary: P1 open, P2 earthed", ["", ""]),
        // Two earths and a sound curve: the record's own warning is enough.
        (SAMPLE, "primary: P1 earthed, P2 earthed", ["", ""]),
    ] {
        let found = twice(rows, between);
        assert_eq!(found.told("shorted-turn-suspected"), turn, "{between}");
        assert_eq!(found.told("primary-loop-suspected"), closed, "{between}");
        assert_eq!(found.told("residual-magnetism"), "", "{between}");
    }
    twice(&leak, "").holds(
        "primary-loop-suspected",
        &[
            "no other core is held",
            "next likeliest: shorted turn suspected, 7 to 1",
        ],
    );
}

#[test]
fn doubtful_sections_are_shown_and_not_judged() {
    let stray = "voltmeter: mean\nthis line means nothing, really # broken\n";
    let section = excitation(&raised(|_| 6.0)).replace("voltmeter: mean\n", stray);
    let doubtful = after_factory(&section);
    for rule in ["knee-iec", "curve-above-reference", "composite-error"] {
        assert_eq!(doubtful.told(rule), BROKEN, "{rule}");
    }
    assert_eq!(doubtful.told("shorted-turn-suspected"), "");
}

#[test]
fn flaws_and_the_voltmeter_are_told() {
    let flawed = excitation(&[(100.0, 2.0), (100.0, 2.1), (200.0, 1.9), (300.0, 7.0)]);
    let flawed = flawed.replace("voltmeter: mean\n", "");
    table("curve-flaw", once, &[(&flawed, "review | review")]);
    table("voltmeter-unstated", once, &[(&flawed, "info")]);
    let rms = excitation(SAMPLE).replace("mean", "rms");
    table("voltmeter-rms", once, &[(&rms, "info")]);
}

/// A section with these keys.
fn run(keys: &str, rows: &[(f64, f64)]) -> String {
    excitation(rows).replace("voltmeter: mean\n", &format!("voltmeter: mean\n{keys}\n"))
}

#[test]
fn by_a_curve_with_the_circuit_connected_nothing_is_judged() {
    let with = run("burden: connected", SAMPLE);
    let found = after_factory(&with);
    let why = "not judged: the circuit was connected: the current is not the exciting current";
    for (rule, told) in [
        ("burden-left-on", "review"),
        ("knee-iec", why),
        ("knee-45", ""),
        (
            "composite-error",
            "not judged: in doubt: burden left connected",
        ),
        ("curve-above-reference", ""),
    ] {
        assert_eq!(found.told(rule), told, "{rule}");
    }
    // Opened links and the curve again: that one is judged, also where it was taken first.
    let without = run("burden: disconnected", SAMPLE);
    for both in [format!("{with}{without}"), format!("{without}{with}")] {
        let found = after_factory(&both);
        assert_eq!(found.told("burden-left-on"), "info");
        assert_eq!(found.told("curve-above-reference"), "pass");
        assert!(!found.told("composite-error").contains("in doubt"));
    }
    // A later visit is not held against it.
    let later = format!(
        "[visit 2026-01-10]\n{with}[visit 2026-06-10]\n{}",
        excitation(SAMPLE)
    );
    let found = Bench::of(&core(P, &later));
    assert_eq!(found.told("curve-above-reference"), "");
}

#[test]
fn a_curve_by_crests_has_no_knee_and_tells_the_stress() {
    let crests: Vec<(f64, f64)> = SAMPLE.iter().map(|(v, i)| (5.0 * v, *i)).collect();
    let found = after_factory(&excitation(&crests).replace("mean", "peak"));
    for (rule, told) in [
        (
            "knee-iec",
            "not judged: the voltmeter showed the crest, which gives no knee",
        ),
        ("knee-45", ""),
        ("composite-error", ""),
        ("curve-above-reference", ""),
        ("voltmeter-peak", "review"),
        ("open-terminal-voltage", "info"),
    ] {
        assert_eq!(found.told(rule), told, "{rule}");
    }
    let volts = found.value("open-terminal-voltage");
    assert!(
        (volts - 2300.5 / std::f64::consts::SQRT_2).abs() < 1e-9,
        "{volts}"
    );
    found.holds("open-terminal-voltage", &["a sine with the crest"]);
    // Taken again with a voltmeter that senses the mean, it is that curve.
    let again = format!(
        "{}{}",
        excitation(&crests).replace("mean", "peak"),
        excitation(SAMPLE).replace("mean", "mean\nstage: retest")
    );
    let found = after_factory(&again);
    assert_eq!(found.told("voltmeter-peak"), "info");
    assert_eq!(found.told("curve-above-reference"), "pass");
}

#[test]
fn the_state_of_the_primary_in_a_run_goes_before_that_of_the_visit() {
    let leak: Vec<(f64, f64)> = SAMPLE
        .iter()
        .map(|(v, i)| (*v, libm::hypot(0.6 * i + 0.16 * v, 0.8 * i)))
        .collect();
    let (open, closed) = (
        "primary: P1 open, P2 earthed",
        "primary: P1 earthed, P2 earthed",
    );
    for (visit, keys, told) in [
        (open, closed, ["", "fails"]),
        (open, "primary: shorted", ["", "fails"]),
        // A load is as likely as a turn, and stands before it.
        (closed, open, ["", ""]),
        (open, "", ["", ""]),
        (open, "burden: disconnected", ["fails", ""]),
    ] {
        let found = after_factory(&format!("{visit}\n{}", run(keys, &leak)));
        let rules = ["shorted-turn-suspected", "primary-loop-suspected"];
        assert_eq!(rules.map(|rule| found.told(rule)), told, "{visit} / {keys}");
    }
    let of = |keys: &str| after_factory(&format!("{open}\n{}", run(keys, &leak)));
    let loops = "primary-loop-suspected";
    of("primary: shorted").holds(loops, &["the primary is shorted", "take the short off"]);
    let others = format!("{closed}\nother cores: open");
    of(&others).holds(loops, &["lift one earth", "the other cores were open"]);
    let shorted = format!("{closed}\nother cores: shorted");
    assert!(!of(&shorted).says(loops).contains("other cores"));
}

#[test]
fn a_raised_low_end_behind_a_run_that_was_cut_off_is_residual_magnetism() {
    let raised = raised(|v| 1.0 + 3.0 * libm::exp(-v / 60.0));
    let tripped = run("ended: tripped", &SAMPLE[..4]).replace("S1-S2]", "S1-S2] # first");
    let found = after_factory(&format!("{tripped}{}", excitation(&raised)));
    found.holds(
        "residual-magnetism",
        &["a run of this core was cut off at voltage"],
    );
    let down = run("ended: zero", &SAMPLE[..4]);
    let found = after_factory(&format!("{down}{}", excitation(&raised)));
    assert!(!found.says("residual-magnetism").contains("cut off"));
}

#[test]
fn a_driven_tap_shows_the_voltage_across_the_whole_winding() {
    let plate = "format: 1\n[ct]\nid: T1\nstandard: IEEE C57.13-2008\nfrequency: 60 Hz\n[core X]\nclass: C800\nratio: 1200:5\ntap ratio/A\nX1-X2 200:5\nX1-X3 1200:5\n";
    let drive = |volts: &str| {
        let volts: f64 = volts.parse().unwrap();
        let rows: String = (1..6)
            .map(|n| format!("{} {}\n", volts * f64::from(n) / 5.0, 10 * n))
            .collect();
        Bench::of(&format!(
            "{plate}[visit 2026-01-10]\n[excitation X1-X2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}"
        ))
    };
    table(
        "open-terminal-voltage",
        drive,
        &[("100", "info"), ("400", "review")],
    );
    assert!((drive("100").value("open-terminal-voltage") - 600.0).abs() < 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever stands in the table, nothing crashes and no value is infinite.
    #[test]
    fn any_table_holds(rows in proptest::collection::vec((0.001..2000.0f64, 0.001..5000.0f64), 0..8)) {
        let found = twice(&rows, "# broken where it has no row");
        let visits = found.assessment.visits.iter();
        for value in visits.flat_map(|visit| &visit.findings).filter_map(|finding| finding.value()) {
            prop_assert!(value.si.is_finite());
        }
    }
}
