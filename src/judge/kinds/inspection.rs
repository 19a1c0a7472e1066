//! Inspection: every item as it was seen, for a person to weigh. Free words are never judged here.

use super::doubt::withheld;
use super::state::text;
use crate::document::Grade;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::rules;
use crate::record::kinds::Test;
use crate::record::kinds::inspection::InspectionRow;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    for (index, test, inspection) in j.case.visit.of(Test::inspection) {
        let pair = test.pair.map(|pair| pair.value);
        let found = inspection.rows.iter().filter_map(|row| {
            let core = pair.map(|pair| pair.core);
            let mut finding = observed(row)?.within(index, core, row.span);
            finding.pair = pair;
            Some(withheld(finding, test.doubtful))
        });
        j.findings.extend(found);
    }
}

/// What a row says; nothing while its state waits to be filled in.
fn observed(row: &InspectionRow) -> Option<Finding> {
    let (state, remark) = (text(&row.state), text(&row.remark));
    if state.is_empty() && remark.is_empty() {
        return None;
    }
    let said = if state.is_empty() {
        "state not stated"
    } else {
        state
    };
    let item = text(&row.item);
    let finding = Finding::observation(&rules::INSPECTION, said.to_owned(), Grade::Info)
        .under((!item.is_empty()).then(|| Condition::Item(item.to_owned())));
    if remark.is_empty() {
        return Some(finding);
    }
    Some(finding.remark(remark.to_owned()))
}

#[cfg(test)]
mod tests {
    use crate::document::Grade;
    use crate::judge::finding::Finding;
    use crate::judge::kinds::bench::{assessed, of_rule};
    use crate::judge::words;

    fn found(rows: &str) -> Vec<Finding> {
        let visit = format!("[inspection]\nitem | state | remark\n{rows}\n");
        of_rule(&assessed("", &visit), "inspection")
    }

    #[test]
    fn item_and_remark_stand_beside_it() {
        let told = found("terminal box | wet | seal missing").remove(0);
        assert_eq!(words::what(&told).plain(|_| 0), "inspection, terminal box");
        assert_eq!(told.observed.plain(|_| 0), "wet");
        assert_eq!(told.remarks.len(), 1);
        // A remark alone is still something that was seen; an empty row is not.
        let remark = found("terminal box | - | seal missing").remove(0);
        assert_eq!(remark.grade(), Grade::Info);
        assert!(found("terminal box | - | -").is_empty());
    }
}
