//! Sums of sections, and errors to be expected from turns and exciting current.

use crate::derive::kinds::ratio::{Burdened, Estimate, Sum};
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Found, Unit, Verdict, unit};
use crate::judge::kinds::doubt::withheld;
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::expanded;
use crate::judge::words::brief;

/// Sections further off than this, per cent, and than U, are for review. Common practice, no source.
const OPEN: f64 = 0.5;

pub(super) fn judge(j: &mut Judging<'_>) {
    let sums = j.derived.ratio.sums.iter();
    let findings: Vec<Finding> = sums.filter_map(|sum| closed(j, sum)).collect();
    j.findings.extend(findings);
}

fn closed(j: &Judging<'_>, sum: &Sum) -> Option<Finding> {
    let core = j.case.core(sum.pair)?;
    let sections = sum.sections.iter();
    let sections = sections.map(|pair| core.pair_text(pair.from, pair.to));
    let finding = Finding::new(&rules::TAP_SUM, Found::Known(sum.closure), unit::PERCENT)
        .at(sum.test, sum.pair, sum.readings.clone())
        .under(Condition::Sections(sections.collect()));
    let off = sum.closure.si.abs();
    let u = expanded(j.w, sum.closure, j.case.criteria);
    let (mut finding, grade) = if u.is_some_and(|u| off <= u) {
        (finding.remark("closes within its uncertainty"), Grade::Info)
    } else if off <= OPEN {
        let within = say!("within {} (common practice, no source)", brief(OPEN, "%"));
        (finding.remark(within), Grade::Info)
    } else {
        (finding, Grade::Review)
    };
    finding.verdict = Verdict::Observed(grade);
    Some(withheld(finding, sum.doubtful))
}

pub(super) fn estimates(j: &mut Judging<'_>) {
    let estimates = j.derived.ratio.estimates.iter();
    let findings: Vec<Finding> = estimates
        .flat_map(|estimate| expected(j, estimate))
        .collect();
    j.findings.extend(findings);
}

fn expected(j: &Judging<'_>, estimate: &Estimate) -> Vec<Finding> {
    let Some((ratio, phase)) = estimate.errors else {
        return outside(estimate).into_iter().collect();
    };
    let turns = &j.derived.ratio.turns;
    let section = turns.iter().find(|turns| turns.pair == estimate.pair);
    let rows = [
        (&rules::EXPECTED_RATIO_ERROR, ratio, unit::PERCENT),
        (&rules::EXPECTED_PHASE, phase, unit::MINUTE_OF_ARC),
    ];
    let findings = rows.map(|(rule, value, unit)| {
        let found = if estimate.bound {
            Found::AtMost(value)
        } else {
            Found::Known(value)
        };
        let mut finding = finding(estimate, rule, found, unit)
            .remark("from turns ratio and exciting current; not measured, so no verdict");
        finding.section = section.map(|turns| turns.test);
        if estimate.bound {
            finding = finding
                .remark("a bound of the magnitude: the angle of the exciting current was not read");
        }
        if estimate.plate_resistance {
            finding = finding.remark("with the plate's winding resistance: none was measured");
        }
        withheld(finding, estimate.doubtful)
    });
    findings.into()
}

fn finding(estimate: &Estimate, rule: &'static Rule, found: Found, unit: Unit) -> Finding {
    let burden = Burdened::Stated {
        va: estimate.burden,
        power_factor: None,
    };
    let mut finding = Finding::new(rule, found, unit)
        .under(Condition::Percent(estimate.percent))
        .under(Condition::Burden(burden));
    finding.core = Some(estimate.pair.core);
    finding.pair = Some(estimate.pair);
    finding.points_at.clone_from(&estimate.readings);
    finding
}

/// The curve ends before: nothing is drawn on past it. Said once, at rated current.
fn outside(estimate: &Estimate) -> Option<Finding> {
    let why = "the excitation readings do not hold this e.m.f.; nothing is drawn on past them";
    let rule = &rules::EXPECTED_RATIO_ERROR;
    ((estimate.percent - 100.0).abs() <= 1e-9)
        .then(|| finding(estimate, rule, Found::Nothing, unit::PERCENT).remark(why))
}
