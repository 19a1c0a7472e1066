use crate::document::Grade;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Found, Verdict};
use crate::judge::kinds::excitation::tests::{Assessed, SAMPLE, excitation, record};
use crate::judge::rules::Whose;

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

fn remarks(finding: &Finding, words: &str) -> bool {
    let mut all = finding.remarks.iter().map(|remark| remark.plain(|_| 0));
    all.any(|remark| remark.contains(words))
}

fn not_shown(finding: &Finding, needs: &str) {
    match &finding.verdict {
        Verdict::NotShown(told) => assert_eq!(told.plain(|_| 0), needs),
        other => panic!("{other:?}"),
    }
}

/// 41.7 A x 4.5 ohm: 187 V symmetrical, 2812 V with full offset (the trade notes' own figures).
#[test]
fn the_generic_rules_are_information() {
    let assessed = with(
        "fault current: 25 kA\nx/r: 14\nburden: 1.10 ohm\nrequired knee: 210 V",
        SAMPLE,
    );
    assert!((assessed.value("duty-emf") - 187.5).abs() < 0.05);
    let emf = assessed.one("duty-emf");
    assert!(remarks(emf, "2812 V"), "{:?}", emf.remarks);
    for rule in ["duty-emf", "time-to-saturation", "simulated-current"] {
        assert_eq!(
            (assessed.one(rule).grade(), assessed.one(rule).rule.whose),
            (Grade::Info, Whose::Circuit),
            "{rule}"
        );
    }
    let knee = assessed.one("required-knee");
    assert_eq!(knee.verdict, Verdict::Word(Word::Pass));
    assert!(remarks(knee, "1.51 times the requirement"));
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
        (finding.verdict.clone(), finding.rule.whose),
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
    not_shown(short.one("required-knee"), "needs readings up to 440.0 V");
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
    let finding = open.one("required-factor");
    not_shown(finding, "needs readings up to 495.0 V");
    assert_eq!(finding.conditions, [Condition::ErrorOf(5.0)]);
    let ten = Assessed::of(&record(
        &P.replace("5P20", "10P20"),
        &format!(
            "[duty S since 2026-01-01]\nburden: 1.10 ohm\nrequired factor: 100\n[visit 2026-01-10]\n{}",
            excitation(SAMPLE)
        ),
    ));
    let finding = ten.one("required-factor");
    assert_eq!(finding.conditions, [Condition::ErrorOf(10.0)]);
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
    let told = |fault: &str| {
        let assessed = with(&format!("{fault}\nburden: 1.10 ohm"), SAMPLE);
        assessed.one("simulated-current").observed.plain(|_| 0)
    };
    let hard = told("fault current: 25 kA\nx/r: 14");
    assert!(
        hard.contains("until the flux leaves the readings"),
        "{hard}"
    );
    let mild = told("fault current: 600 A\nx/r: 2");
    assert!(mild.contains("no 10 % error within"), "{mild}");
}
