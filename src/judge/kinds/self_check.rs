//! The instrument's own check, and its leads.

use super::doubt::withheld;
use crate::derive::kinds::self_check::Checked;
use crate::derive::workings::Value;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, Unit, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::cited_limit;
use crate::standards;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for checked in &derived.self_check {
        let found: Vec<Finding> = deviation(j, checked)
            .into_iter()
            .chain(leads(checked))
            .collect();
        j.findings.extend(found);
    }
}

fn finding(checked: &Checked, rule: &'static Rule, value: Value, unit: Unit) -> Finding {
    let mut made = Finding::new(rule, Found::Known(value), unit);
    made.section = Some(checked.test);
    made.points_at.clone_from(&checked.readings);
    made
}

fn deviation(j: &Judging<'_>, checked: &Checked) -> Option<Finding> {
    let value = checked.deviation?;
    let mut made = finding(checked, &rules::SELF_CHECK, value, unit::PERCENT);
    if let Some(limit) = standards::threshold("self-check") {
        made = made.against(
            j.w,
            j.case.criteria,
            cited_limit(Requirement::at_most(limit.limit), &limit.cited).magnitude(),
        );
    }
    let instrument = j
        .case
        .visit
        .tests
        .get(checked.test)
        .and_then(|test| test.instrument.value().or(j.case.visit.instrument.value()));
    if let Some(id) = instrument {
        made = made.remark(say!("instrument {}", id.clone()));
    }
    Some(withheld(made.headline(), checked.doubtful))
}

fn leads(checked: &Checked) -> Option<Finding> {
    let value = checked.leads?;
    let made = finding(checked, &rules::LEAD_RESISTANCE, value, unit::MILLIOHM);
    Some(withheld(made, checked.doubtful))
}

#[cfg(test)]
mod tests {
    use crate::document::Grade;
    use crate::judge::kinds::bench::assessed;

    #[test]
    fn one_to_one_within_a_thousandth() {
        let grade = |ratio: &str| {
            let findings = assessed(
                "",
                &format!("[self-check]\nratio of 1: {ratio}\nleads: 0.012 ohm\n"),
            );
            findings
                .iter()
                .find(|finding| finding.rule.id == "self-check")
                .map(crate::judge::finding::Finding::grade)
        };
        assert_eq!(grade("1.0002"), Some(Grade::Pass));
        assert_eq!(grade("0.9985"), Some(Grade::Fails));
        assert_eq!(grade("1.0015"), Some(Grade::Fails));
    }
}
