use crate::document::Grade;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Found, Verdict};
use crate::judge::kinds::excitation::tests::{Assessed, SAMPLE, excitation, record};

const P: &str = "class: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.4 ohm at 75 C";

fn with(core: &str, rows: &[(f64, f64)]) -> Assessed {
    Assessed::of(&record(
        core,
        &format!("[visit 2026-01-10]\n{}", excitation(rows)),
    ))
}

fn pass(assessed: &Assessed, rule: &str) {
    let verdict = &assessed.one(rule).verdict;
    assert_eq!(verdict, &Verdict::Word(Word::Pass), "{rule}");
}

fn not_shown(assessed: &Assessed, rule: &str, needs: &str) {
    match &assessed.one(rule).verdict {
        Verdict::NotShown(told) => assert_eq!(told.plain(|_| 0), needs, "{rule}"),
        other => panic!("{rule}: {other:?}"),
    }
}

fn not_judged(finding: &Finding, why: &str) {
    match &finding.verdict {
        Verdict::NotJudged(told) => assert!(told.plain(|_| 0).contains(why), "{told:?}"),
        other => panic!("{other:?}"),
    }
}

fn remarks(finding: &Finding, words: &str) -> bool {
    let mut all = finding.remarks.iter().map(|remark| remark.plain(|_| 0));
    all.any(|remark| remark.contains(words))
}

/// 20 x |3.4 + 12 + j9| = 356.74 V at 0.8 and 20 x 18.4 = 368.0 V at 1.0; factor at least 460.1 V over
/// 17.837 ohm, 25.8 (own arithmetic; with the impedance rounded to 17.84 ohm it is 356.8 V).
#[test]
fn the_sample_meets_5p20() {
    let assessed = with(P, SAMPLE);
    pass(&assessed, "composite-error");
    let finding = assessed.one("composite-error");
    assert!(finding.headline);
    assert_eq!(finding.conditions[0], Condition::Multiple(20.0));
    for words in [
        "e.m.f. 356.7 V",
        "at unity power factor",
        "368.0 V",
        "turns correction left out",
        "from the rating plate, none was measured",
    ] {
        assert!(remarks(finding, words), "{words}: {:?}", finding.remarks);
    }
    let factor = assessed.one("actual-factor-rated");
    assert!(
        matches!(factor.found, Found::AtLeast(value) if (value.si - 25.79).abs() < 0.02),
        "{:?}",
        factor.found
    );
    assert_eq!(factor.verdict, Verdict::NoLimit);
}

/// The four rows of one-sided truths on a rising curve.
#[test]
fn past_the_readings_a_limit_is_broken_or_not_shown() {
    // 10 % of 20 A is 2 A, 5 % is 1 A.
    let short: Vec<(f64, f64)> = SAMPLE.iter().copied().filter(|(v, _)| *v < 310.0).collect();
    not_shown(
        &with(P, &short),
        "composite-error",
        "needs readings up to 356.7 V",
    );
    let broken: Vec<(f64, f64)> = short.iter().map(|(v, i)| (*v, i * 300.0)).collect();
    let assessed = with(P, &broken);
    assert_eq!(assessed.one("composite-error").verdict, Verdict::NotMet);
    assert!(matches!(
        assessed.one("composite-error").found,
        Found::AtLeast(_)
    ));
    let high: Vec<(f64, f64)> = SAMPLE.iter().map(|(v, i)| (*v, i * 300.0)).collect();
    assert_eq!(
        with(P, &high).one("composite-error").verdict,
        Verdict::Word(Word::Fail)
    );
    let above: Vec<(f64, f64)> = SAMPLE.iter().copied().filter(|(v, _)| *v > 390.0).collect();
    let assessed = with(P, &above);
    pass(&assessed, "composite-error");
    assert!(matches!(
        assessed.one("composite-error").found,
        Found::AtMost(_)
    ));
    let below: Vec<(f64, f64)> = above.iter().map(|(v, i)| (*v, i * 100.0)).collect();
    not_shown(
        &with(P, &below),
        "composite-error",
        "needs readings down to 356.7 V",
    );
}

/// Where the power factor decides, it is said: 357 V is in the readings, 368 V is not.
#[test]
fn the_power_factor_is_told_where_it_decides() {
    let rows: Vec<(f64, f64)> = SAMPLE
        .iter()
        .copied()
        .take(6)
        .chain([(360.0, 16.0)])
        .collect();
    let assessed = with(P, &rows);
    pass(&assessed, "composite-error");
    let finding = assessed.one("composite-error");
    assert!(remarks(
        finding,
        "not shown; the manufacturer may have chosen it"
    ));
    let stated = with(&P.replace("15 VA", "15 VA at 0.80"), &rows);
    assert!(!remarks(stated.one("composite-error"), "manufacturer"));
}

#[test]
fn a_class_without_resistance_is_not_judged() {
    let assessed = with("class: 5P20\nburden: 15 VA\nratio: 600/1 A", SAMPLE);
    not_judged(assessed.one("composite-error"), "winding resistance");
    let assessed = with(
        "class: 5P20\nratio: 600/1 A\nresistance: 3.4 ohm at 75 C",
        SAMPLE,
    );
    not_judged(assessed.one("composite-error"), "burden");
}

#[test]
fn px_is_held_to_its_plate() {
    let px = |knee: &str, current: &str| {
        format!(
            "class: PX\nratio: 600/1 A\nresistance: 3.6 ohm at 75 C\nknee emf: {knee}\nexciting current: {current}"
        )
    };
    let good = with(&px("300 V", "30 mA at 300 V"), SAMPLE);
    pass(&good, "knee-emf");
    pass(&good, "exciting-current");
    assert!((good.value("exciting-current") - 7.4e-3).abs() < 0.1e-3);
    // The plate's knee heads the matrix then, not the bare one.
    assert!(good.one("knee-emf").headline && !good.one("knee-iec").headline);
    let bad = with(&px("330 V", "5 mA at 300 V"), SAMPLE);
    assert_eq!(
        (
            bad.one("knee-emf").grade(),
            bad.one("exciting-current").grade()
        ),
        (Grade::Fails, Grade::Fails)
    );
    let short = with(&px("300 V", "30 mA at 300 V"), &SAMPLE[..4]);
    not_shown(&short, "knee-emf", "needs readings up to 330.0 V");
    not_shown(&short, "exciting-current", "needs readings up to 300.0 V");
    // The knee is not reached and lies above the required one all the same.
    pass(
        &with(&px("150 V", "30 mA at 150 V"), &SAMPLE[..4]),
        "knee-emf",
    );
}

/// C800, 1200:5, 0.62 ohm: 832.7 V by phasors, 862 V arithmetic (the trade notes' own figures).
#[test]
fn c800_is_taken_at_the_phasor_sum() {
    let plate = "format: 1\n[ct]\nid: T1\nstandard: IEEE C57.13-2008\nfrequency: 60 Hz\n[core X]\nclass: C800\nratio: 1200:5\nresistance: 0.62 ohm at 75 C\n";
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
    let section = |n: usize| excitation(&rows[..n]).replace("S1-S2", "X1-X2");
    let assessed = Assessed::of(&format!("{plate}[visit 2026-01-10]\n{}", section(9)));
    pass(&assessed, "exciting-at-class");
    let finding = assessed.one("exciting-at-class");
    let what = crate::judge::words::what(finding).plain(|_| 0);
    assert_eq!(what, "exciting current at the class voltage, class C800");
    assert!(remarks(finding, "e.m.f. 832.7 V"), "{:?}", finding.remarks);
    assert!(
        remarks(finding, "862.0 V: at least 1.90 A"),
        "{:?}",
        finding.remarks
    );
    assert_eq!(
        finding.against.as_ref().unwrap().requirement.upper,
        Some(10.0)
    );
    // 800 V do not show it.
    not_shown(
        &Assessed::of(&format!("{plate}[visit 2026-01-10]\n{}", section(8))),
        "exciting-at-class",
        "needs readings up to 832.7 V",
    );
    // A T class is never shown by the curve.
    let t = Assessed::of(&format!(
        "{}[visit 2026-01-10]\n{}",
        plate.replace("C800", "T800"),
        section(9)
    ));
    not_judged(t.one("exciting-at-class"), "by test only");
    assert!(assessed.one("knee-45").headline && !assessed.one("knee-iec").headline);
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
    let core = |fs: &str| {
        format!("class: 0.5 {fs}\nburden: 10 VA\nratio: 600/1 A\nresistance: 2.9 ohm at 75 C")
    };
    let assessed = with(&core("FS10"), &rows);
    pass(&assessed, "security-factor");
    let fs = assessed.value("security-factor");
    // At 10 % of the current the readings at 88 V (8.2 % of 7.07 A) and 92 V (20.5 % of 7.40 A) lie around it.
    assert!((88.0 / 12.44..92.0 / 12.44).contains(&fs), "{fs}");
    assert_eq!(
        with(&core("FS5"), &rows).one("security-factor").verdict,
        Verdict::Word(Word::Fail)
    );
    // Readings that end too early: above 5 is enough to break FS5, not to show FS10.
    assert_eq!(
        with(&core("FS5"), &rows[..7])
            .one("security-factor")
            .verdict,
        Verdict::NotMet
    );
    not_shown(
        &with(&core("FS10"), &rows[..7]),
        "security-factor",
        "needs readings up to 124.4 V",
    );
    // Another frequency gives no verdict.
    let text = record(
        &core("FS10"),
        &format!("[visit 2026-01-10]\n{}", excitation(&rows)),
    )
    .replace("voltmeter: mean", "frequency: 10 Hz\nvoltmeter: mean");
    assert!(matches!(
        Assessed::of(&text).one("security-factor").verdict,
        Verdict::NotJudged(_)
    ));
}

const TPY: &str = "class: TPY\nratio: 8000/1 A\nburden: 5.0 ohm\nresistance: 22 ohm at 75 C\nkssc: 6\nktd: 10\nprimary time constant: 250 ms\naccuracy time: 40 ms\nloop time constant: 0.35 s";

/// Eal 1620 V and 0.849 A peak (the trade notes' own figures).
#[test]
fn tpy_is_held_to_its_peak() {
    let rows = "[excitation S1-S2]\nvoltmeter: mean\nvoltage/V current/mA peak/mA\n900 302 428\n1200 409 581\n1500 510 735\n1640 580 830\n";
    let remanence =
        "[remanence S1-S2]\nmethod: dc\nremanence factor: 6.1 %\nloop time constant: 0.352 s\n";
    let assessed = Assessed::of(&record(
        TPY,
        &format!("[visit 2026-01-10]\n{rows}{remanence}"),
    ));
    pass(&assessed, "peak-exciting-current");
    let finding = assessed.one("peak-exciting-current");
    assert!(remarks(finding, "Eal 1620 V"), "{:?}", finding.remarks);
    assert!((finding.against.as_ref().unwrap().requirement.upper.unwrap() - 0.849).abs() < 5e-4);
    pass(&assessed, "remanence-factor");
    pass(&assessed, "loop-time-constant");
    assert_eq!(assessed.one("transient-factor").verdict, Verdict::NoLimit);
    let no_peak = rows
        .replace(" peak/mA", "")
        .replace(" 428", "")
        .replace(" 581", "")
        .replace(" 735", "")
        .replace(" 830", "");
    let assessed = Assessed::of(&record(TPY, &format!("[visit 2026-01-10]\n{no_peak}")));
    not_judged(assessed.one("peak-exciting-current"), "not recorded");
    let bad = remanence
        .replace("6.1 %", "14 %")
        .replace("0.352 s", "0.6 s");
    let assessed = Assessed::of(&record(TPY, &format!("[visit 2026-01-10]\n{bad}")));
    assert_eq!(
        (
            assessed.one("remanence-factor").grade(),
            assessed.one("loop-time-constant").grade()
        ),
        (Grade::Fails, Grade::Fails)
    );
}

/// Connected burden by measurement; the proportion beside it.
#[test]
fn the_connected_burden_gives_the_actual_factor() {
    let burden =
        "[burden S1-S2]\nloop current/A voltage/V angle/deg\nphase-neutral 1.000 10.00 0\n";
    let assessed = Assessed::of(&record(
        P,
        &format!("[visit 2026-01-10]\n{}{burden}", excitation(SAMPLE)),
    ));
    let finding = assessed.one("actual-factor");
    // 460.1 V over 13.4 ohm and 1 A.
    assert!(
        matches!(finding.found, Found::AtLeast(value) if (value.si - 460.1 / 13.4).abs() < 1e-6),
        "{:?}",
        finding.found
    );
    assert!(finding.headline);
    // 20 x (15 + 3.4)/(10 + 3.4).
    assert!(
        remarks(finding, "textbook proportion 27.5"),
        "{:?}",
        finding.remarks
    );
    assert!(remarks(finding, "connected burden 10.00 ohm"));
}
