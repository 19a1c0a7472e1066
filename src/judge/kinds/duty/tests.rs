use crate::judge::decision::Word;
use crate::judge::finding::{Found, Grade, Verdict, Whose};
use crate::judge::kinds::excitation::tests::{Assessed, SAMPLE, excitation, record};

const P: &str = "class: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.4 ohm at 75 C";

fn with(duty: &str, rows: &[(f64, f64)]) -> Assessed {
    Assessed::of(&record(
        P,
        &format!(
            "[duty S since 2026-01-01]\n{duty}\n[visit 2026-01-10]\n{}",
            excitation(rows)
        ),
    ))
}

/// 41.7 A x 4.5 ohm: 187 V symmetrical, 2812 V with full offset (the trade notes' own figures).
#[test]
fn the_generic_rules_are_information() {
    let assessed = with(
        "fault current: 25 kA\nx/r: 14\nburden: 1.10 ohm\nrequired knee: 210 V",
        SAMPLE,
    );
    assert!((assessed.value("duty-emf") - 187.5).abs() < 0.05);
    assert!(
        assessed
            .one("duty-emf")
            .remarks
            .iter()
            .any(|remark| remark.contains("2812 V")),
        "{:?}",
        assessed.one("duty-emf").remarks
    );
    for rule in ["duty-emf", "time-to-saturation", "simulated-current"] {
        assert_eq!(
            (assessed.one(rule).grade(), assessed.one(rule).whose),
            (Grade::Plain, Whose::Circuit),
            "{rule}"
        );
    }
    assert_eq!(
        assessed.one("required-knee").verdict,
        Verdict::Word(Word::Pass)
    );
    assert!(
        assessed
            .one("required-knee")
            .remarks
            .iter()
            .any(|remark| remark == "1.51 times the requirement")
    );
}

#[test]
fn only_the_relays_own_rule_gives_a_verdict() {
    let none = with("fault current: 25 kA\nx/r: 14\nburden: 1.10 ohm", SAMPLE);
    assert!(none.all("required-knee").is_empty() && none.all("required-factor").is_empty());
    let assessed = with(
        "required knee: 400 V\nrule: twice the symmetrical e.m.f.",
        SAMPLE,
    );
    let finding = assessed.one("required-knee");
    assert_eq!(
        (finding.verdict.clone(), finding.whose),
        (Verdict::Word(Word::Fail), Whose::Circuit)
    );
    assert!(
        finding
            .against
            .as_ref()
            .unwrap()
            .cited
            .source
            .contains("twice the symmetrical")
    );
    let short = with("required knee: 400 V", &SAMPLE[..5]);
    assert_eq!(
        short.one("required-knee").verdict,
        Verdict::NotShown("needs readings up to 440.0 V".to_owned())
    );
}

#[test]
fn a_factor_past_the_readings_can_meet_and_never_break() {
    // 460.1 V over (3.4 + 1.1) ohm and 1 A: at least 102.2.
    let meets = with("burden: 1.10 ohm\nrequired factor: 100", SAMPLE);
    assert_eq!(
        meets.one("required-factor").verdict,
        Verdict::Word(Word::Pass)
    );
    assert!(
        matches!(meets.one("required-factor").found, Found::AtLeast(value) if (value.si - 460.1 / 4.5).abs() < 1e-6)
    );
    let open = with("burden: 1.10 ohm\nrequired factor: 110", SAMPLE);
    assert_eq!(
        open.one("required-factor").verdict,
        Verdict::NotShown("needs readings up to 495.0 V".to_owned())
    );
    assert!(
        open.one("required-factor").what.contains("(5 %)"),
        "{}",
        open.one("required-factor").what
    );
    let ten = Assessed::of(&record(
        &P.replace("5P20", "10P20"),
        &format!(
            "[duty S since 2026-01-01]\nburden: 1.10 ohm\nrequired factor: 100\n[visit 2026-01-10]\n{}",
            excitation(SAMPLE)
        ),
    ));
    assert!(
        ten.one("required-factor").what.contains("(10 %)"),
        "{}",
        ten.one("required-factor").what
    );
    let unknown = with("required factor: 110", SAMPLE);
    assert!(matches!(
        unknown.one("required-factor").verdict,
        Verdict::NotJudged(_)
    ));
}

/// 20 m of 4 mm2, go and return: 0.175 ohm (a relay maker's manual, lead resistance example).
#[test]
fn leads_are_computed_when_nobody_measured_them() {
    let duty = "fault current: 6 kA\nlead length: 20 m\nlead section: 4 mm2\nlead returns: full";
    let assessed = with(duty, SAMPLE);
    assert!((assessed.value("duty-emf") - 10.0 * (3.4 + 0.175)).abs() < 1e-9);
    let single = with(&duty.replace("full", "none"), SAMPLE);
    assert!((single.value("duty-emf") - 10.0 * (3.4 + 0.0875)).abs() < 1e-9);
    let relay = with(&format!("{duty}\nrelay burden: 0.1 VA"), SAMPLE);
    assert!((relay.value("duty-emf") - 10.0 * (3.4 + 0.275)).abs() < 1e-9);
}

#[test]
fn nothing_is_claimed_past_the_last_reading() {
    let assessed = with("fault current: 25 kA\nx/r: 14\nburden: 1.10 ohm", SAMPLE);
    let what = &assessed.one("simulated-current").what;
    assert!(
        what.contains("until the flux leaves the readings"),
        "{what}"
    );
    let mild = with("fault current: 600 A\nx/r: 2\nburden: 1.10 ohm", SAMPLE);
    assert!(
        mild.one("simulated-current")
            .what
            .contains("no 10 % error within"),
        "{}",
        mild.one("simulated-current").what
    );
}
