use crate::judge::finding::{Finding, Grade, Verdict, Whose};
use crate::judge::kinds::bench::{assessed, of_rule};

const DUTY: &str = "[duty 2S since 2020-01-01]\ntap in service: 2S1-2S3\n";

fn found(rule: &str, visit: &str) -> Vec<Finding> {
    of_rule(&assessed(DUTY, visit), rule)
}

#[test]
fn one_earth_per_circuit() {
    let earths = |count: &str| {
        let text = format!(
            "[restored]\ncore | links | earths counted\n2S | closed | {count}\nchecked by: E. Lund\n"
        );
        found("circuit-earths", &text).remove(0)
    };
    assert_eq!(earths("1").grade(), Grade::Plain);
    for count in ["0", "2"] {
        assert_eq!(
            (earths(count).grade(), earths(count).whose),
            (Grade::Bad, Whose::Circuit),
            "{count}"
        );
    }
    assert!(earths("0").next.unwrap().contains("float"));
}

#[test]
fn the_tap_found_is_held_against_the_duty() {
    let tap = |text: &str| {
        found(
            "tap-in-service",
            &format!("[state]\ncore | in service\n2S | {text}\n"),
        )
        .remove(0)
    };
    assert_eq!(tap("2S1-2S3").grade(), Grade::Plain);
    assert_eq!(tap("2S3-2S1").grade(), Grade::Plain);
    let other = tap("2S1-2S2");
    assert_eq!(
        (other.grade(), other.whose, other.points_at.len()),
        (Grade::Doubt, Whose::Circuit, 2)
    );
    let left = "[restored]\ncore | in service\n2S | 2S1-2S2\nchecked by: E. Lund\n";
    assert_eq!(found("tap-as-left", left).len(), 1);
}

#[test]
fn a_spare_core_must_be_shorted() {
    let spare = |remark: &str| {
        found(
            "spare-shorted",
            &format!("[state]\ncore | in service | remark\n1S | spare | {remark}\n"),
        )
        .len()
    };
    assert_eq!(
        (
            spare("1S1-1S2 shorted and earthed"),
            spare("not shorted"),
            spare("lid closed")
        ),
        (0, 1, 1)
    );
}

#[test]
fn what_was_opened_must_be_restored_and_checked() {
    let state = "[state]\ncore | in service | remark\n2S | 2S1-2S3 | links open, shorted\n";
    assert_eq!(found("not-restored", state).len(), 1);
    let restored = "\n[restored]\ncore | links\n2S | closed\n";
    assert!(found("not-restored", &format!("{state}{restored}")).is_empty());
    assert_eq!(
        found("restored-unchecked", &format!("{state}{restored}"))
            .remove(0)
            .grade(),
        Grade::Plain
    );
    assert!(
        found(
            "restored-unchecked",
            &format!("{state}{restored}checked by: E. Lund\n")
        )
        .is_empty()
    );
}

#[test]
fn a_doubtful_section_is_not_judged() {
    let text =
        "[restored]\nwhat is this # broken\n\ncore | earths counted\n2S | 2\nchecked by: E. Lund\n";
    assert!(matches!(
        found("circuit-earths", text).remove(0).verdict,
        Verdict::NotJudged(_)
    ));
}
