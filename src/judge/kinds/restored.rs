//! As left: earths of the circuit, tap in service, the second person.

use super::state::in_service;
use super::text;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::restored as rules;
use crate::judge::words::short;
use crate::record::kinds::Test;
use crate::record::kinds::restored::{CoreRestored, Restored};

/// Judges how a visit left the cores.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, restored) in j.case.visit.of(Test::restored) {
        let mut found = as_left(j, index, restored);
        if text(&restored.checked_by).is_empty() && !restored.checked_by.is_unreadable() {
            let observed = "no second person is named";
            let unchecked = Finding::observation(&rules::RESTORED_UNCHECKED, observed, Grade::Info);
            found.push(unchecked.within(index, None, test.span));
        }
        out.extend(
            found
                .into_iter()
                .map(|finding| finding.withheld(test.doubtful)),
        );
    }
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
    use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table, visit};

    fn left(section: &str) -> Bench {
        let duty = "[duty 2S since 2020-01-01]\ntap in service: 2S1-2S3\n";
        Bench::of(&visit(
            &format!("{PLATE}{duty}"),
            &format!("[restored]\n{section}\n"),
        ))
    }

    #[test]
    fn one_earth_per_circuit() {
        let earths = |count: &str| {
            left(&format!(
                "core | links | earths counted\n2S | closed | {count}\nchecked by: E. Lund"
            ))
        };
        table(
            "circuit-earths",
            earths,
            &[("1", "info"), ("0", "fails"), ("2", "fails")],
        );
        // Without an earth another step comes first.
        let next = |count| earths(count).one("circuit-earths").next.is_some();
        assert!(next("0") && !next("2"));
        let broken = "what is this # broken\n\ncore | earths counted\n2S | 2\nchecked by: E. Lund";
        table("circuit-earths", left, &[(broken, BROKEN)]);
    }

    #[test]
    fn the_tap_left_and_the_second_person_are_asked_for() {
        table(
            "tap-as-left",
            left,
            &[
                (
                    "core | in service\n2S | 2S1-2S2\nchecked by: E. Lund",
                    "review",
                ),
                ("core | in service\n2S | 2S1-2S3\nchecked by: E. Lund", ""),
            ],
        );
        table(
            "restored-unchecked",
            left,
            &[
                ("core | links\n2S | closed", "info"),
                ("core | links\n2S | closed\nchecked by: E. Lund", ""),
            ],
        );
    }
}
