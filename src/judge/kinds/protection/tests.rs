use crate::judge::kinds::bench::{Bench, core, table};
use crate::judge::kinds::excitation::tests::{P, SAMPLE, excitation};

type Rows = [(f64, f64)];
type Keep = fn(f64) -> bool;

fn with(plate: &str, rows: &Rows) -> Bench {
    visited(plate, &excitation(rows))
}

fn visited(plate: &str, text: &str) -> Bench {
    Bench::of(&core(plate, &format!("[visit 2026-01-10]\n{text}")))
}

#[track_caller]
fn told(bench: &Bench, rows: &[(&str, &str)]) {
    for (rule, told) in rows {
        assert_eq!(bench.told(rule), *told, "{rule}");
    }
}

/// The sample with its rows kept and its currents multiplied.
fn sample(keep: impl Fn(f64) -> bool, times: f64) -> Vec<(f64, f64)> {
    let rows = SAMPLE.iter().filter(|(v, _)| keep(*v));
    rows.map(|(v, i)| (*v, i * times)).collect()
}

/// 20 x |3.4 + 12 + j9| = 356.74 V at 0.8 and 20 x 18.4 = 368.0 V at 1.0; factor at least 460.1 V over
/// 17.837 ohm, 25.8 (own arithmetic; with the impedance rounded to 17.84 ohm it is 356.8 V).
#[test]
fn the_sample_meets_5p20() {
    let found = with(P, SAMPLE);
    told(
        &found,
        &[
            ("composite-error", "pass"),
            ("actual-factor-rated", "no limit"),
        ],
    );
    found.holds(
        "composite-error",
        &[
            "at 20 times rated current",
            "e.m.f. 356.7 V",
            "at unity power factor",
            "368.0 V",
            "turns correction left out",
            "from the rating plate, none was measured",
        ],
    );
    assert!(found.one("composite-error").headline);
    found.holds("actual-factor-rated", &["at least 25.79"]);
}

/// The rows of one-sided truths on a rising curve: 10 % of 20 A is 2 A, 5 % is 1 A.
#[test]
fn past_the_readings_a_limit_is_broken_or_not_shown() {
    let (up_to, down_to) = (
        "not shown: needs readings up to 356.7 V",
        "not shown: needs readings down to 356.7 V",
    );
    let cases: [(Keep, f64, &str, &str); 5] = [
        (|v| v < 310.0, 1.0, up_to, "at least"),
        (|v| v < 310.0, 300.0, "not met", "at least"),
        (|_| true, 80.0, "fail", ""),
        (|v| v > 390.0, 1.0, "pass", "at most"),
        (|v| v > 390.0, 80.0, down_to, "at most"),
    ];
    for (keep, times, verdict, side) in cases {
        let found = with(P, &sample(keep, times));
        told(&found, &[("composite-error", verdict)]);
        found.holds("composite-error", &[side]);
    }
}

/// Where the power factor decides, it is said: 357 V is in the readings, 368 V is not.
#[test]
fn the_power_factor_is_told_where_it_decides() {
    let rows = [&SAMPLE[..6], &[(360.0, 16.0)]].concat();
    let found = with(P, &rows);
    told(&found, &[("composite-error", "pass")]);
    let decides = "not shown; the manufacturer may have chosen it";
    found.holds("composite-error", &[decides]);
    let stated = with(&P.replace("15 VA", "15 VA at 0.80"), &rows);
    assert!(!stated.says("composite-error").contains("manufacturer"));
}

#[test]
fn a_class_without_resistance_or_burden_is_not_judged() {
    table(
        "composite-error",
        |plate| with(plate, SAMPLE),
        &[
            (
                "class: 5P20\nburden: 15 VA\nratio: 600/1 A",
                "not judged: no winding resistance at 75 °C is known",
            ),
            (
                "class: 5P20\nratio: 600/1 A\nresistance: 3.4 ohm at 75 C",
                "not judged: no usable rated burden on the rating plate",
            ),
        ],
    );
}

#[test]
fn px_is_held_to_its_plate() {
    let px = |knee: &str, current: &str, rows: &Rows| {
        let class = "class: PX\nratio: 600/1 A\nresistance: 3.6 ohm at 75 C";
        with(
            &format!("{class}\nknee emf: {knee}\nexciting current: {current}"),
            rows,
        )
    };
    let good = px("300 V", "30 mA at 300 V", SAMPLE);
    told(&good, &[("knee-emf", "pass"), ("exciting-current", "pass")]);
    assert!((good.value("exciting-current") - 7.4e-3).abs() < 0.1e-3);
    // The plate's knee heads the matrix then, not the bare one.
    assert!(good.one("knee-emf").headline && !good.one("knee-iec").headline);
    let bad = px("330 V", "5 mA at 300 V", SAMPLE);
    told(&bad, &[("knee-emf", "fail"), ("exciting-current", "fail")]);
    told(
        &px("300 V", "30 mA at 300 V", &SAMPLE[..4]),
        &[
            ("knee-emf", "not shown: needs readings up to 330.0 V"),
            (
                "exciting-current",
                "not shown: needs readings up to 300.0 V",
            ),
        ],
    );
    // The knee is not reached and lies above the required one all the same.
    told(
        &px("150 V", "30 mA at 150 V", &SAMPLE[..4]),
        &[("knee-emf", "pass")],
    );
}

/// C800, 1200:5, 0.62 ohm: 832.7 V by phasors, 862 V arithmetic (the trade notes' own figures).
#[test]
fn c800_is_taken_at_the_phasor_sum() {
    let rows = [
        (50.0, 11.0),
        (100.0, 17.0),
        (200.0, 25.0),
        (400.0, 40.0),
        (600.0, 61.0),
        (700.0, 98.0),
        (760.0, 240.0),
        (800.0, 620.0),
        (840.0, 1900.0),
    ];
    let class = |class: &str, readings: usize| {
        let plate = format!(
            "format: 1\n[ct]\nid: T1\nstandard: IEEE C57.13-2008\nfrequency: 60 Hz\n[core X]\nclass: {class}\nratio: 1200:5\nresistance: 0.62 ohm at 75 C\n"
        );
        let section = excitation(&rows[..readings]).replace("S1-S2", "X1-X2");
        Bench::of(&format!("{plate}[visit 2026-01-10]\n{section}"))
    };
    let rule = "exciting-at-class";
    let shown = class("C800", 9);
    told(&shown, &[(rule, "pass")]);
    shown.holds(
        rule,
        &[
            "exciting current at the class voltage, class C800",
            "at most 10 A",
            "e.m.f. 832.7 V",
            "862.0 V: at least 1.90 A",
        ],
    );
    assert!(shown.one("knee-45").headline && !shown.one("knee-iec").headline);
    // 800 V do not show it.
    told(
        &class("C800", 8),
        &[(rule, "not shown: needs readings up to 832.7 V")],
    );
    // A T class is never shown by the curve.
    let by_test = "not judged: class T is shown by test only, its leakage flux is not in the curve";
    told(&class("T800", 9), &[(rule, by_test)]);
}

#[test]
fn the_security_factor_is_at_most_the_plates() {
    // Share of 10 %: Ie = 0.1 E/Z with Z = |2.9 + 8 + j6| = 12.44 ohm.
    let rows = [
        (2.5, 0.22),
        (10.0, 0.57),
        (40.0, 1.5),
        (62.0, 2.2),
        (70.0, 4.6),
        (77.0, 25.0),
        (84.0, 198.0),
        (88.0, 577.0),
        (92.0, 1519.0),
    ];
    let plate = |fs: &str| {
        format!("class: 0.5 {fs}\nburden: 10 VA\nratio: 600/1 A\nresistance: 2.9 ohm at 75 C")
    };
    for (fs, readings, verdict) in [
        ("FS10", 9, "pass"),
        ("FS5", 9, "fail"),
        // Readings that end too early: above 5 is enough to break FS5, not to show FS10.
        ("FS5", 7, "not met"),
        ("FS10", 7, "not shown: needs readings up to 124.4 V"),
    ] {
        told(
            &with(&plate(fs), &rows[..readings]),
            &[("security-factor", verdict)],
        );
    }
    // At 10 % of the current the readings at 88 V (8.2 % of 7.07 A) and 92 V (20.5 % of 7.40 A) lie around it.
    let fs = with(&plate("FS10"), &rows).value("security-factor");
    assert!((88.0 / 12.44..92.0 / 12.44).contains(&fs), "{fs}");
    let other = excitation(&rows).replace("voltmeter: mean", "frequency: 10 Hz\nvoltmeter: mean");
    told(
        &visited(&plate("FS10"), &other),
        &[(
            "security-factor",
            "not judged: a curve of another frequency does not show the security factor",
        )],
    );
}

const TPY: &str = "class: TPY\nratio: 8000/1 A\nburden: 5.0 ohm\nresistance: 22 ohm at 75 C\nkssc: 6\nktd: 10\nprimary time constant: 250 ms\naccuracy time: 40 ms\nloop time constant: 0.35 s";

/// L/(Rct + Rb): 9.5 H over 27 ohm is 0.352 s; without a resistance nothing follows from it.
#[test]
fn an_inductance_needs_winding_and_burden() {
    let test = "[remanence S1-S2]\nmethod: dc\ninductance: 9.5 H\n";
    told(&visited(TPY, test), &[("loop-time-constant", "pass")]);
    let bare = TPY.replace("resistance: 22 ohm at 75 C\n", "");
    let needs =
        "not shown: needs the winding resistance and the rated burden beside the inductance";
    told(&visited(&bare, test), &[("loop-time-constant", needs)]);
}

/// Eal 1620 V and 0.849 A peak (the trade notes' own figures).
#[test]
fn tpy_is_held_to_its_peak() {
    let rows = "[excitation S1-S2]\nvoltmeter: mean\nvoltage/V current/mA peak/mA\n900 302 428\n1200 409 581\n1500 510 735\n1640 580 830\n";
    let remanence = |factor: &str, constant: &str| {
        format!(
            "[remanence S1-S2]\nmethod: dc\nremanence factor: {factor}\nloop time constant: {constant}\n"
        )
    };
    let good = visited(TPY, &format!("{rows}{}", remanence("6.1 %", "0.352 s")));
    told(
        &good,
        &[
            ("peak-exciting-current", "pass"),
            ("remanence-factor", "pass"),
            ("loop-time-constant", "pass"),
            // Its own duty asks for more than the Ktd on the same plate.
            ("transient-factor", "review"),
        ],
    );
    good.holds("peak-exciting-current", &["Eal 1620 V"]);
    let against = good.one("peak-exciting-current").against.as_ref();
    let limit = against
        .and_then(|against| against.requirement.upper)
        .unwrap();
    assert!((limit - 0.849).abs() < 5e-4);
    let no_peak = rows
        .replace(" peak/mA", "")
        .replace(" 428", "")
        .replace(" 581", "")
        .replace(" 735", "")
        .replace(" 830", "");
    let missing = "not judged: the peak of the exciting current was not recorded";
    told(
        &visited(TPY, &no_peak),
        &[("peak-exciting-current", missing)],
    );
    let bad = visited(TPY, &format!("{rows}{}", remanence("14 %", "0.6 s")));
    told(
        &bad,
        &[("remanence-factor", "fail"), ("loop-time-constant", "fail")],
    );
}

/// Connected burden by measurement; the proportion beside it.
#[test]
fn the_connected_burden_gives_the_actual_factor() {
    let burden =
        "[burden S1-S2]\nloop current/A voltage/V angle/deg\nphase-neutral 1.000 10.00 0\n";
    let found = visited(P, &(excitation(SAMPLE) + burden));
    // 460.1 V over 13.4 ohm and 1 A; 20 x (15 + 3.4)/(10 + 3.4).
    assert!((found.value("actual-factor") - 460.1 / 13.4).abs() < 1e-6);
    found.holds(
        "actual-factor",
        &[
            "at least 34.3",
            "textbook proportion 27.5",
            "connected burden 10.00 ohm",
        ],
    );
    assert!(found.one("actual-factor").headline);
}
