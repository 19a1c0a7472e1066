//! Current on load: as read. It is information; nothing is judged of it.

use super::doubt::withheld;
use super::state::text;
use crate::document::{self, Grade, Phrase, say};
use crate::ground::quantity::Quantity;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::rules;
use crate::record::kinds::Test;
use crate::record::kinds::load::LoadRow;

/// Shows all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    for (index, test, load) in j.case.visit.of(Test::load) {
        let primary = load.primary_current.value();
        let found = load.rows.iter().filter_map(|row| {
            let mut finding = observed(row)?.within(index, row.core, row.span);
            if let Some(primary) = primary {
                finding = finding.remark(say!("primary current {}", as_written(primary)));
            }
            Some(withheld(finding, test.doubtful))
        });
        j.findings.extend(found);
    }
}

fn observed(row: &LoadRow) -> Option<Finding> {
    let current = as_written(row.current.value()?);
    let observed = match row.angle.value() {
        Some(angle) => say!("{} at {}", current, as_written(angle)),
        None => Phrase::from(current),
    };
    let at = text(&row.at);
    let finding = Finding::observation(&rules::LOAD_CURRENT, observed, Grade::Info)
        .under((!at.is_empty()).then(|| Condition::Item(at.to_owned())));
    let remark = text(&row.remark);
    if remark.is_empty() {
        return Some(finding);
    }
    Some(finding.remark(remark.to_owned()))
}

fn as_written(quantity: &Quantity) -> document::Quantity {
    document::Quantity::new(quantity.written_number(), &quantity.unit.word)
}

#[cfg(test)]
mod tests {
    use crate::document::Grade;
    use crate::judge::kinds::bench::{assessed, of_rule};
    use crate::judge::words;

    #[test]
    fn a_current_on_load_is_shown_as_read() {
        let visit = "[load]\nprimary current: 300 A\ncore | at | current/A | angle/deg\n1S | X1:3 | 0.250 | 182\n2S | X2:3 | - | -\n";
        let found = of_rule(&assessed("", visit), "load-current");
        assert_eq!(found.len(), 1);
        let read = &found[0];
        assert_eq!((read.core, read.grade()), (Some(0), Grade::Info));
        assert_eq!(
            words::what(read).plain(|_| 0),
            "secondary current on load, X1:3"
        );
        assert_eq!(read.observed.plain(|_| 0), "0.250 A at 182 deg");
        assert_eq!(read.remarks[0].plain(|_| 0), "primary current 300 A");
    }
}
