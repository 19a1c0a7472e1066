//! Withstand voltage: what held and what broke down, as the record says. Whether voltage and time
//! are those of a standard is not judged.

use crate::document::Grade;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::rules::withstand as rules;
use crate::judge::verdict::not_judged;
use crate::record::core::{Core, core_index};
use crate::record::kinds::Test;
use crate::record::kinds::withstand::{Outcome, WithstandRow};
use crate::trade::{Between, Item};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    let cores = &j.case.record.cores;
    for (index, test, withstand) in j.case.visit.of(Test::withstand) {
        out.extend(withstand.rows.iter().filter_map(|row| {
            let between = row.between.value();
            let core = between.and_then(|between| driven(cores, between));
            let finding = observed(row)?.within(index, core, row.span);
            Some(finding.withheld(test.doubtful))
        }));
    }
}

/// The core that was driven, when it was one alone.
fn driven(cores: &[Core], between: &Between) -> Option<usize> {
    match between.from.as_slice() {
        [Item::Core(name)] => core_index(cores, name),
        _ => None,
    }
}

/// What a row says; nothing while all of it waits to be filled in.
fn observed(row: &WithstandRow) -> Option<Finding> {
    let seen = |observed: &'static str, grade| {
        Finding::observation(&rules::WITHSTAND, observed, grade).headline()
    };
    let empty = row.result.is_missing() && row.voltage.is_missing() && row.time.is_missing();
    let finding = match row.result.value() {
        Some(Outcome::Held) => seen("held", Grade::Info),
        Some(Outcome::BrokeDown) => seen("broke down", Grade::Fails),
        None if empty => return None,
        None => seen("", Grade::Open).verdict(not_judged("the result is not stated")),
    };
    let si = |given: &Given<Quantity>| given.value().map(|value| value.si);
    let between = row.between.value().map(Between::text);
    let finding = finding
        .under(si(&row.voltage).map(Condition::Voltage))
        .under(si(&row.time).map(Condition::HeldFor))
        .under(between.map(Condition::Between));
    Some(finding)
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, table};

    #[test]
    fn what_broke_down_fails_and_without_a_result_nothing_is_judged() {
        let of = |row: &str| {
            Bench::visit(&format!(
                "[withstand]\nbetween | voltage/kV | time/s | result\n{row}\n"
            ))
        };
        table(
            "withstand",
            of,
            &[
                ("1S to primary and earth | 3 | 60 | held", "info"),
                ("2S to earth | 2 | 12 | broke-down", "fails"),
                (
                    "1S to primary and earth | 3 | 60 | -",
                    "not judged: the result is not stated",
                ),
                ("1S to primary and earth | - | - | -", ""),
            ],
        );
        let broken = of("2S to earth | 2 | 12 | broke-down");
        let said = "2S: withstand at 2000 V for 12 s, 2S to earth: broke down";
        assert_eq!(broken.says("withstand"), said);
        assert!(broken.one("withstand").action().is_some());
        let held = of("1S to primary and earth | 3 | 60 | held");
        assert!(held.one("withstand").action().is_none());
    }
}
