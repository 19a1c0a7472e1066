//! Inspection: every item as it was seen. Free words cannot be judged: a state in a few plain good words
//! is no objection, and any other is for a person to look at, so that it stands beside no pass.

use super::text;
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::inspection as rules;
use crate::record::kinds::Test;
use crate::record::kinds::inspection::InspectionRow;
use crate::record::value::YesNo;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, inspection) in j.case.visit.of(Test::inspection) {
        let pair = test.pair.map(|pair| pair.value);
        out.extend(inspection.rows.iter().filter_map(|row| {
            let core = pair.map(|pair| pair.core);
            let mut finding = observed(row)?.within(index, core, row.span);
            finding.pair = pair;
            Some(finding.withheld(test.doubtful))
        }));
    }
}

/// What a row says; nothing while its state waits to be filled in.
fn observed(row: &InspectionRow) -> Option<Finding> {
    let (said, grade) = match (text(&row.state), text(&row.remark)) {
        ("", "") if row.serves.value().is_none() => return None,
        ("", _) => ("state not stated", Grade::Review),
        (state, _) if is_good(state) => (state, Grade::Info),
        (state, _) => (state, Grade::Review),
    };
    // Words of a person stand above what a list of words says of theirs.
    let (grade, told) = match (row.serves.value(), row.serves.is_unreadable()) {
        (Some(YesNo::No), _) => (Grade::Fails, Some("it may not serve with it")),
        (Some(YesNo::Yes), _) => (
            Grade::Info,
            Some("it may serve with it, by who looked at it"),
        ),
        (None, true) => (grade.max(Grade::Review), None),
        (None, false) => (grade, None),
    };
    let said = match told {
        Some(told) if !said.is_empty() => say!("{}; {}", said.to_owned(), told),
        Some(told) => told.into(),
        None => said.to_owned().into(),
    };
    let finding = Finding::observation(&rules::INSPECTION, said, grade);
    let finding = finding.of_row(&row.item, &row.remark);
    // What somebody answered for is what a reader has to see.
    Some(match told {
        Some(_) => finding.headline(),
        None => finding,
    })
}

/// States without objection. Common practice, no source.
const GOOD: [&str; 16] = [
    "as drawn",
    "clean",
    "closed",
    "complete",
    "dry",
    "good",
    "held",
    "in order",
    "intact",
    "legible",
    "no damage",
    "normal",
    "ok",
    "present",
    "sound",
    "tight",
];

/// Whether a state is made of good words and nothing else.
fn is_good(state: &str) -> bool {
    let mut parts = state.split([',', ';']);
    parts.all(|part| {
        GOOD.iter()
            .any(|good| part.trim().eq_ignore_ascii_case(good))
    })
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::Bench;

    #[test]
    fn item_and_remark_stand_beside_it() {
        let of = |row: &str| Bench::visit(&format!("[inspection]\nitem | state | remark\n{row}\n"));
        let told = of("terminal box | wet | seal missing").says("inspection");
        assert_eq!(told, "T1: inspection, terminal box: wet; seal missing");
        // A remark alone is still something that was seen; an empty row is not.
        assert_eq!(
            of("terminal box | - | seal missing").told("inspection"),
            "review"
        );
        assert_eq!(of("terminal box | - | -").told("inspection"), "");
    }

    #[test]
    fn who_looked_at_it_answers() {
        let of = |row: &str| {
            Bench::visit(&format!(
                "[inspection]\nitem | state | may serve | remark\nterminal box | {row}\n"
            ))
        };
        crate::judge::kinds::bench::table(
            "inspection",
            of,
            &[
                ("gland missing | - | A1", "review"),
                ("gland missing | yes | A1", "info"),
                ("gland missing | no | A1", "fails"),
                ("sound | no | -", "fails"),
                ("- | no | -", "fails"),
            ],
        );
        of("gland missing | yes | A1").holds("inspection", &["it may serve with it"]);
    }

    /// What is not plainly good is for a person, "not cracked" as well.
    #[test]
    fn only_plain_good_words_are_no_objection() {
        let of =
            |state: &str| Bench::visit(&format!("[inspection]\nitem | state\nhousing | {state}\n"));
        crate::judge::kinds::bench::table(
            "inspection",
            of,
            &[
                ("sound", "info"),
                ("Sound, dry", "info"),
                ("clean; tight", "info"),
                ("cracked, water inside", "review"),
                ("sound, cracked", "review"),
                ("not cracked", "review"),
                ("unsound", "review"),
                ("sound,", "review"),
            ],
        );
    }
}
