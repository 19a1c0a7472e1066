use super::*;
use crate::judge::rules::{self, Whose};
use crate::trade::Purpose;

#[test]
fn names_are_told_once() {
    let mut names: Vec<&str> = ALL.iter().map(|one| one.id).collect();
    names.sort_unstable();
    let all = names.len();
    names.dedup();
    assert_eq!(names.len(), all);
}

/// A rule that holds a value of transformer or circuit against a limit of the class or the relay is
/// evidence for a requirement, so that no class can pass without it.
#[test]
fn a_limit_of_the_class_belongs_to_a_requirement() {
    let counted = |rule: &rules::Rule| ALL.iter().any(|one| one.evidence.contains(&rule));
    for rule in [
        &rules::protection::COMPOSITE_ERROR,
        &rules::protection::SECURITY_FACTOR,
        &rules::protection::EXCITING_AT_CLASS,
        &rules::protection::PEAK_EXCITING_CURRENT,
        &rules::protection::EXCITING_CURRENT,
        &rules::protection::KNEE_EMF,
        &rules::protection::REMANENCE_FACTOR,
        &rules::protection::LOOP_TIME_CONSTANT,
        &rules::ratio::CLASS_SHOWN,
        &rules::ratio::TURNS_RATIO,
        &rules::resistance::WINDING_RESISTANCE,
        &rules::burden::CIRCUIT_BURDEN,
        &rules::duty::REQUIRED_KNEE,
        &rules::duty::REQUIRED_FACTOR,
        &rules::continuity::LOOP_CONTINUITY,
        &rules::single_earth::SINGLE_EARTH,
        &rules::test_links::TEST_LINK,
        &rules::restored::CIRCUIT_AS_LEFT,
        &rules::restored::CIRCUIT_EARTHS,
    ] {
        assert!(counted(rule), "{}", rule.id);
    }
}

#[test]
fn the_order_of_verdicts_is_from_good_to_bad() {
    assert!(Overall::ALL.is_sorted());
    assert!(Overall::Pass < Overall::Unasked && Overall::Unasked < Overall::Incomplete);
    assert!(Overall::Incomplete < Overall::Open && Overall::Open < Overall::Fails);
}

#[test]
fn a_measurement_asks_for_nothing_of_its_own() {
    assert!(ALL.iter().all(|one| one.whose != Whose::Measurement));
    assert!(ALL.iter().all(|one| !one.due.contains(&Purpose::Retest)));
}
