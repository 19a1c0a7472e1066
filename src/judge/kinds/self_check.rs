//! The instrument's own check, and its leads.

use crate::derive::kinds::self_check::Checked;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::self_check as rules;
use crate::standards;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for checked in &j.derived.self_check {
        let leads = checked
            .leads
            .map(|leads| Finding::new(&rules::LEAD_RESISTANCE, leads, unit::MILLIOHM));
        for mut finding in deviation(j, checked).into_iter().chain(leads) {
            finding.section = Some(checked.test);
            finding.points_at.clone_from(&checked.readings);
            out.push(finding.withheld(checked.doubtful));
        }
    }
}

fn deviation(j: &Judging<'_>, checked: &Checked) -> Option<Finding> {
    let mut made = Finding::new(&rules::SELF_CHECK, checked.deviation?, unit::PERCENT).headline();
    if let Some(limit) = standards::threshold("self-check") {
        made = made.against(j, Against::within(limit.limit, &limit.cited));
    }
    let visit = j.case.visit;
    let test = visit.tests.get(checked.test);
    let used = test.and_then(|test| test.instrument.value().or(visit.instrument.value()));
    Some(made.under(used.cloned().map(Condition::Item)))
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, table};

    #[test]
    fn one_to_one_within_a_thousandth() {
        let of = |ratio: &str| {
            Bench::visit(&format!(
                "[self-check]\nratio of 1: {ratio}\nleads: 0.012 ohm\n"
            ))
        };
        let rows = [("1.0002", "pass"), ("0.9985", "fail"), ("1.0015", "fail")];
        table("self-check", of, &rows);
    }
}
