use crate::document::Grade;
use crate::judge::finding::Finding;
use crate::judge::kinds::bench::{assessed, of_rule};
use crate::judge::rules::Whose;

const DUTY: &str = "[duty 2S since 2020-01-01]\ntap in service: 2S1-2S3\n";

fn found(rule: &str, visit: &str) -> Vec<Finding> {
    of_rule(&assessed(DUTY, visit), rule)
}

#[test]
fn the_tap_found_is_held_against_the_duty() {
    let tap = |text: &str| {
        let state = format!("[state]\ncore | in service\n2S | {text}\n");
        found("tap-in-service", &state).remove(0)
    };
    assert_eq!(tap("2S1-2S3").grade(), Grade::Info);
    assert_eq!(tap("2S3-2S1").grade(), Grade::Info);
    let other = tap("2S1-2S2");
    assert_eq!(other.grade(), Grade::Review);
    assert_eq!(other.rule.whose, Whose::Circuit);
    assert_eq!(other.points_at.len(), 2);
}

#[test]
fn a_spare_core_must_be_shorted() {
    let spare = |remark: &str| {
        let state = format!("[state]\ncore | in service | remark\n1S | spare | {remark}\n");
        found("spare-shorted", &state).len()
    };
    assert_eq!(spare("1S1-1S2 shorted and earthed"), 0);
    assert_eq!((spare("not shorted"), spare("lid closed")), (1, 1));
}

#[test]
fn what_was_opened_must_be_restored() {
    let state = "[state]\ncore | in service | remark\n2S | 2S1-2S3 | links open, shorted\n";
    let missing = found("not-restored", state).remove(0);
    // Information that still says what to do.
    assert_eq!(missing.grade(), Grade::Info);
    assert!(missing.action().is_some());
    let restored = format!("{state}\n[restored]\ncore | links\n2S | closed\n");
    assert!(found("not-restored", &restored).is_empty());
}
