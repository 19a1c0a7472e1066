use super::TWO_LOOPS;
use crate::document::Grade;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::kinds::bench::{judged, of_rule, record_of};
use crate::judge::rules::Whose;
use crate::record::criteria::Criteria;

fn plate(standard: &str, core: &str) -> String {
    format!(
        "format: 1\n\n[ct]\nid: T1\nstandard: {standard}\nfrequency: 50 Hz\n\n[core S]\nmarks: S1 S2\n{core}\n"
    )
}

fn found(core: &str, rows: &str) -> Vec<Finding> {
    of("IEC 61869-2:2012", core, rows)
}

fn of(standard: &str, core: &str, rows: &str) -> Vec<Finding> {
    judged(
        &record_of(&plate(standard, core), &format!("[burden S1-S2]\n{rows}\n")),
        &Criteria::default(),
    )
}

fn loop_of(path: &str, volts: &str) -> String {
    format!("loop current/A voltage/V angle/deg\n{path} 1.000 {volts} 10.0")
}

#[test]
fn over_the_rating_is_the_circuits_fault() {
    let core = "class: 5P20\nburden: 15 VA\nratio: 600/1 A\n";
    let one = |volts: &str| {
        of_rule(
            &found(core, &loop_of("phase-neutral", volts)),
            "circuit-burden",
        )
        .remove(0)
    };
    let over = one("24.10");
    assert_eq!(
        (over.grade(), over.rule.whose),
        (Grade::Fails, Whose::Circuit)
    );
    assert!(over.headline && over.action().is_some());
    assert_eq!(
        over.conditions,
        [Condition::Loop("phase-neutral".to_owned())]
    );
    assert_eq!(one("1.10").grade(), Grade::Pass);
    // A protection class has no lower end.
    assert!(
        of_rule(
            &found(core, &loop_of("phase-neutral", "1.10")),
            "circuit-burden-below-range"
        )
        .is_empty()
    );
}

/// IEC 61869-2: from 25 % of the rated burden in classes 0.1 to 1, from 50 % in 3 and 5 (from memory).
#[test]
fn below_the_range_of_a_measuring_class_is_its_own_finding() {
    let below = |class: &str, volts: &str| {
        let core = format!("class: {class}\nburden: 10 VA\nratio: 600/1 A\n");
        of_rule(
            &found(&core, &loop_of("phase-neutral", volts)),
            "circuit-burden-below-range",
        )
    };
    let one = below("0.5 FS10", "2.00").remove(0);
    assert_eq!(one.grade(), Grade::Review);
    assert!(one.conditions.contains(&Condition::Class("0.5".to_owned())));
    assert!(below("0.5 FS10", "4.00").is_empty());
    assert_eq!(below("3", "4.00").remove(0).grade(), Grade::Review);
    let range = "class: 0.2S\nburden: 1-10 VA\nratio: 600/1 A\n";
    assert!(
        of_rule(
            &found(range, &loop_of("phase-neutral", "2.00")),
            "circuit-burden-below-range"
        )
        .is_empty()
    );
    assert_eq!(
        of_rule(
            &found(range, &loop_of("phase-neutral", "0.50")),
            "circuit-burden-below-range"
        )
        .len(),
        1
    );
}

#[test]
fn another_loop_gets_no_verdict() {
    let core = "class: 5P20\nburden: 15 VA\nratio: 600/1 A\n";
    let one = of_rule(
        &found(core, &loop_of("phase-phase", "24.10")),
        "circuit-burden",
    )
    .remove(0);
    assert_eq!(one.verdict, Verdict::NoLimit);
    assert_eq!(one.next, Some(TWO_LOOPS.into()));
}

#[test]
fn a_burden_in_ohm_is_compared_in_ohm() {
    let core = "class: TPY\nburden: 5.0 ohm\nratio: 8000/1 A\n";
    let one = |volts: &str| {
        of_rule(
            &found(core, &loop_of("phase-neutral", volts)),
            "circuit-burden",
        )
        .remove(0)
    };
    assert_eq!(
        (one("3.40").grade(), one("3.40").unit.word),
        (Grade::Pass, "ohm")
    );
    assert_eq!(one("5.60").grade(), Grade::Fails);
}

/// IEEE C57.13: B-0.5 is 12.5 VA at 5 A, B-8.0 is 200 VA.
#[test]
fn designations_and_relaying_classes_name_their_burden() {
    let one = |core: &str, volts: &str| {
        of_rule(
            &of("IEEE C57.13-2008", core, &loop_of("phase-neutral", volts)),
            "circuit-burden",
        )
        .remove(0)
    };
    let upper = |finding: &Finding| {
        finding
            .against
            .as_ref()
            .and_then(|against| against.requirement.upper)
    };
    let metering = one("class: 0.3B-0.5\nratio: 600:5\n", "0.30");
    assert_eq!(
        (metering.grade(), upper(&metering)),
        (Grade::Pass, Some(12.5))
    );
    let relaying = one("class: C800\nratio: 1200:5\n", "9.00");
    assert_eq!(
        (relaying.grade(), upper(&relaying)),
        (Grade::Fails, Some(200.0))
    );
}

#[test]
fn no_rating_no_verdict() {
    let one = of_rule(
        &found(
            "class: PX\nratio: 600/1 A\n",
            &loop_of("phase-neutral", "1.10"),
        ),
        "circuit-burden",
    )
    .remove(0);
    assert_eq!(one.verdict, Verdict::NoLimit);
    let bound = of_rule(
        &found(
            "class: PX\nratio: 600/1 A\n",
            &loop_of("phase-neutral", "<0.1"),
        ),
        "circuit-burden",
    )
    .remove(0);
    assert!(matches!(bound.verdict, Verdict::NotJudged(_)));
}
