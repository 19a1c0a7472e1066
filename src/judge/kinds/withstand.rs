//! Withstand voltage: what held and what broke down, as the record says. Whether voltage and time
//! are those of a standard is not judged.

use super::doubt::withheld;
use crate::document::Grade;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::rules;
use crate::record::core::{Core, core_index};
use crate::record::kinds::Test;
use crate::record::kinds::withstand::Outcome;
use crate::record::kinds::withstand::WithstandRow;
use crate::trade::{Between, Item};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let cores = &j.case.record.cores;
    for (index, test, withstand) in j.case.visit.of(Test::withstand) {
        let found = withstand.rows.iter().filter_map(|row| {
            let core = row
                .between
                .value()
                .and_then(|between| driven(cores, between));
            let finding = observed(row)?.within(index, core, row.span);
            Some(withheld(finding, test.doubtful))
        });
        j.findings.extend(found);
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
    let finding = match (&row.result, row.result.value()) {
        (_, Some(Outcome::Held)) => seen("held", Grade::Info),
        (_, Some(Outcome::BrokeDown)) => seen("broke down", Grade::Fails),
        (Given::Missing, _) if row.voltage.is_missing() && row.time.is_missing() => return None,
        _ => {
            let mut finding = seen("", Grade::Open);
            finding.verdict = Verdict::NotJudged("the result is not stated".into());
            finding
        }
    };
    let si = |given: &Given<crate::ground::quantity::Quantity>| given.value().map(|value| value.si);
    let between = row
        .between
        .value()
        .map(|between| Condition::Between(between.text()));
    Some(
        finding
            .under(si(&row.voltage).map(Condition::Voltage))
            .under(si(&row.time).map(Condition::HeldFor))
            .under(between),
    )
}

#[cfg(test)]
mod tests {
    use crate::document::Grade;
    use crate::judge::finding::{Finding, Verdict};
    use crate::judge::kinds::bench::{assessed, of_rule};
    use crate::judge::rules::Whose;
    use crate::judge::words;

    fn found(rows: &str) -> Vec<Finding> {
        let visit = format!("[withstand]\nbetween | voltage/kV | time/s | result\n{rows}\n");
        of_rule(&assessed("", &visit), "withstand")
    }

    #[test]
    fn what_broke_down_fails() {
        let found =
            found("1S to primary and earth | 3 | 60 | held\n2S to earth | 2 | 12 | broke-down");
        let grades: Vec<Grade> = found.iter().map(Finding::grade).collect();
        assert_eq!(grades, [Grade::Info, Grade::Fails]);
        let broken = &found[1];
        assert_eq!(
            (broken.core, broken.rule.whose),
            (Some(1), Whose::Transformer)
        );
        assert_eq!(
            words::what(broken).plain(|_| 0),
            "withstand at 2000 V for 12 s, 2S to earth"
        );
        assert!(broken.action().is_some() && found[0].action().is_none());
    }

    #[test]
    fn without_a_result_nothing_is_judged() {
        let open = found("1S to primary and earth | 3 | 60 | -").remove(0);
        assert!(matches!(open.verdict, Verdict::NotJudged(_)));
        assert!(found("1S to primary and earth | - | - | -").is_empty());
    }
}
