//! As left: earths of the circuit, tap in service, the second person.

use super::doubt::withheld;
use super::state::{in_service, text};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules;
use crate::judge::words::short;
use crate::record::kinds::Test;
use crate::record::kinds::restored::{CoreRestored, Restored};

/// Judges how a visit left the cores.
pub fn judge(j: &mut Judging<'_>) {
    let visit = j.case.visit;
    let mut found = Vec::new();
    for (index, test, restored) in visit.of(Test::restored) {
        let mut of_section = as_left(j, index, restored);
        if text(&restored.checked_by).is_empty() && !restored.checked_by.is_unreadable() {
            let observed = "no second person is named";
            let unchecked = Finding::observation(&rules::RESTORED_UNCHECKED, observed, Grade::Info);
            of_section.push(unchecked.within(index, None, test.span));
        }
        let withheld = |finding| withheld(finding, test.doubtful);
        found.extend(of_section.into_iter().map(withheld));
    }
    j.findings.extend(found);
}

fn as_left(j: &Judging<'_>, index: usize, restored: &Restored) -> Vec<Finding> {
    let mut found = Vec::new();
    for row in &restored.cores {
        let Some(core) = row.core else { continue };
        found.extend(earths(index, core, row));
        let tap = in_service(j, &rules::TAP_AS_LEFT, index, core, &row.in_service);
        found.extend(tap.filter(|tap| tap.grade() == Grade::Review));
    }
    found
}

/// One earth per circuit: none leaves it floating, two pass fault current through the relay.
fn earths(index: usize, core: usize, row: &CoreRestored) -> Option<Finding> {
    let counted = row.earths.get()?;
    let one = (counted.value - 1.0).abs() < 1e-9;
    let none = counted.value < 0.5;
    let grade = if one { Grade::Info } else { Grade::Fails };
    let number = if none {
        Phrase::from("none")
    } else {
        Quantity::new(short(counted.value), "").into()
    };
    let finding = Finding::observation(&rules::CIRCUIT_EARTHS, say!("{} counted", number), grade)
        .within(index, Some(core), counted.span)
        .headline();
    if none {
        return Some(finding.next(
            "the secondary may float to primary voltage: keep it shorted and earth it at one point before anything else",
        ));
    }
    Some(finding)
}

#[cfg(test)]
mod tests {
    use crate::document::Grade;
    use crate::judge::finding::{Finding, Verdict};
    use crate::judge::kinds::bench::{assessed, of_rule};
    use crate::judge::rules::Whose;

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
        assert_eq!(earths("1").grade(), Grade::Info);
        for count in ["0", "2"] {
            let finding = earths(count);
            assert_eq!(finding.grade(), Grade::Fails, "{count}");
            assert_eq!(finding.rule.whose, Whose::Circuit);
        }
        // Without an earth another step comes first.
        assert!(earths("0").next.is_some() && earths("2").next.is_none());
    }

    #[test]
    fn the_tap_left_is_held_against_the_duty() {
        let left = |tap: &str| {
            let text = format!("[restored]\ncore | in service\n2S | {tap}\nchecked by: E. Lund\n");
            found("tap-as-left", &text).len()
        };
        assert_eq!((left("2S1-2S2"), left("2S1-2S3")), (1, 0));
    }

    #[test]
    fn a_second_person_is_asked_for() {
        let restored = "[restored]\ncore | links\n2S | closed\n";
        let unchecked = found("restored-unchecked", restored).remove(0);
        assert_eq!(unchecked.grade(), Grade::Info);
        let checked = format!("{restored}checked by: E. Lund\n");
        assert!(found("restored-unchecked", &checked).is_empty());
    }

    #[test]
    fn a_doubtful_section_is_not_judged() {
        let text = "[restored]\nwhat is this # broken\n\ncore | earths counted\n2S | 2\nchecked by: E. Lund\n";
        let finding = found("circuit-earths", text).remove(0);
        assert!(matches!(finding.verdict, Verdict::NotJudged(_)));
    }
}
