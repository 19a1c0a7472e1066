//! Current on load: as read. It is information; nothing is judged of it.

use crate::document::{self, Grade, Phrase, say};
use crate::ground::quantity::Quantity;
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::load as rules;
use crate::record::kinds::Test;
use crate::record::kinds::load::LoadRow;

/// Shows all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, load) in j.case.visit.of(Test::load) {
        let primary = load.primary_current.value();
        out.extend(load.rows.iter().filter_map(|row| {
            let mut finding = observed(row)?.within(index, row.core, row.span);
            if let Some(primary) = primary {
                finding = finding.remark(say!("primary current {}", as_written(primary)));
            }
            Some(finding.withheld(test.doubtful))
        }));
    }
}

fn observed(row: &LoadRow) -> Option<Finding> {
    let current = as_written(row.current.value()?);
    let observed = match row.angle.value() {
        Some(angle) => say!("{} at {}", current, as_written(angle)),
        None => Phrase::from(current),
    };
    let finding = Finding::observation(&rules::LOAD_CURRENT, observed, Grade::Info);
    Some(finding.of_row(&row.at, &row.remark))
}

fn as_written(quantity: &Quantity) -> document::Quantity {
    document::Quantity::new(quantity.written_number(), &quantity.unit.word)
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::Bench;

    #[test]
    fn a_current_on_load_is_shown_as_read() {
        let rows =
            "core | at | current/A | angle/deg\n1S | X1:3 | 0.250 | 182\n2S | X2:3 | - | -\n";
        let bench = Bench::visit(&format!("[load]\nprimary current: 300 A\n{rows}"));
        let said = "1S: secondary current on load, X1:3: 0.250 A at 182 deg; primary current 300 A";
        assert_eq!(bench.says("load-current"), said);
        assert_eq!(bench.told("load-current"), "info");
    }
}
