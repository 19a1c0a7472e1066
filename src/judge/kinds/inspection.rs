//! Inspection: every item as it was seen, for a person to weigh. Free words are never judged here.

use super::text;
use crate::document::Grade;
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::inspection as rules;
use crate::record::kinds::Test;
use crate::record::kinds::inspection::InspectionRow;

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
    let said = match (text(&row.state), text(&row.remark)) {
        ("", "") => return None,
        ("", _) => "state not stated",
        (state, _) => state,
    };
    let finding = Finding::observation(&rules::INSPECTION, said.to_owned(), Grade::Info);
    Some(finding.of_row(&row.item, &row.remark))
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
            "info"
        );
        assert_eq!(of("terminal box | - | -").told("inspection"), "");
    }
}
