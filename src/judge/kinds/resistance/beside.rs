//! A winding resistance beside the last visit's and the sisters', where the job says how far is too far.

use super::unsettled;
use crate::derive::history::PERCENT;
use crate::derive::kinds::resistance::Winding;
use crate::derive::workings::{Value, Workings};
use crate::document::{Quantity, say};
use crate::ground::median::median;
use crate::judge::assess::{Judging, VisitAssessment};
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::resistance as rules;
use crate::judge::words;
use crate::record::criteria::Criteria;
use crate::record::kinds::Test;
use crate::record::occasion;
use crate::record::visit::Visit;
use crate::standards::Cited;
use crate::trade::Pair;

/// Against the last earlier visit that read the same; only what lies beyond the job's limit is told.
pub(super) fn of_last_visit(j: &mut Judging<'_>, value: &Finding) -> Option<Finding> {
    let limit = j.case.criteria.resistance_history?;
    let tells =
        |assessed: &VisitAssessment, other: &Finding| tells(&assessed.derived.resistance, other);
    let (then, visit) = last(j, value, tells)?;
    let read = j.number(then, unit::OHM);
    let made = beyond(
        j.w,
        &rules::WINDING_RESISTANCE_HISTORY,
        value,
        then,
        (
            limit,
            &by_job(
                value,
                "history",
                "winding resistance against earlier values",
            ),
        ),
    )?;
    Some(made.remark(say!("{} at the visit of {}", read, visit)))
}

/// The same value of the last earlier visit that has it and whose readings tell it, with the visit's name.
pub(in crate::judge::kinds) fn last(
    j: &Judging<'_>,
    value: &Finding,
    tells: impl Fn(&VisitAssessment, &Finding) -> bool,
) -> Option<(Value, String)> {
    // A visit that repeats a reading confirms a change, and does not take it back.
    let together = occasion::up_to(j.case.record, j.case.index);
    let visits = j
        .earlier
        .iter()
        .zip(&j.case.record.visits)
        .enumerate()
        .rev();
    let visits = visits.filter(|(at, _)| !together.contains(at));
    let mut before = visits.filter_map(|(_, (assessed, visit))| {
        let mut findings = assessed.findings.iter();
        let same = findings.find(|other| value.is_same(other) && tells(assessed, other))?;
        Some((same.known()?, visit.name()))
    });
    before.next()
}

/// Whether a finding rests on readings that had come to rest.
fn tells(windings: &[Winding], finding: &Finding) -> bool {
    let mut of = windings.iter();
    let own = of.find(|winding| {
        (Some(winding.test), Some(winding.pair)) == (finding.section, finding.pair)
    });
    own.is_some_and(|winding| unsettled(winding).is_none() && winding.doubtful.is_none())
}

/// Against the median of the phases, its own among them where there are more than two: a sick phase of three then
/// moves neither of its sound sisters. Only what lies beyond the job's limit is told.
pub(super) fn of_sisters(
    j: &mut Judging<'_>,
    value: &Finding,
    winding: &Winding,
) -> Option<Finding> {
    let limit = j.case.criteria.resistance_phases?;
    // A later reading speaks for itself.
    let mut later = j.case.record.visits.iter().skip(j.case.index + 1);
    if later.any(|visit| reads(visit, winding.pair)) {
        return None;
    }
    let own = winding.at_75?.si;
    let core = j.case.core(winding.pair)?;
    let sisters = j.sisters.iter();
    let sisters = sisters.filter_map(|sister| sister.resistance_at_75(core, winding.pair));
    let mut phases: Vec<f64> = sisters.collect();
    if phases.len() > 1 {
        phases.push(own);
    }
    let (median, count) = (median(&mut phases)?, phases.len());
    let source = "median of the phases that were read";
    let median =
        j.w.constant("winding resistance of the phases", "ohm", median, source);
    let made = beyond(
        j.w,
        &rules::WINDING_RESISTANCE_PHASES,
        value,
        median,
        (
            limit,
            &by_job(value, "phases", "winding resistance of the phases"),
        ),
    )?;
    Some(made.remark(say!(
        "median of the phases: {}, {} read",
        words::quantity(median.si, 4, unit::OHM),
        Quantity::new(count.to_string(), "")
    )))
}

fn reads(visit: &Visit, pair: Pair) -> bool {
    let rows = visit
        .of(Test::resistance)
        .flat_map(|(_, _, body)| &body.rows);
    let mut pairs = rows.filter_map(|row| row.on.map(|on| on.value.ascending()));
    pairs.any(|other| other == pair)
}

/// The job's own figure for what a test came to.
pub(in crate::judge::kinds) fn by_job(value: &Finding, key: &str, what: &str) -> Cited {
    Criteria::own(&format!("{}-{key}", value.rule.kind.name()), what)
}

/// One value beside another one, where it is further off than this many per cent.
pub(in crate::judge::kinds) fn beyond(
    w: &mut Workings,
    rule: &'static Rule,
    value: &Finding,
    other: Value,
    (limit, cited): (f64, &Cited),
) -> Option<Finding> {
    let inputs = [other, value.known()?];
    if PERCENT.at(inputs.map(|one| one.si))?.v.abs() <= limit {
        return None;
    }
    let away = w.step_as(rule.title, &PERCENT, inputs)?;
    let mut made = Finding::new(rule, away, unit::PERCENT);
    (made.section, made.core, made.pair) = (value.section, value.core, value.pair);
    made.points_at.clone_from(&value.points_at);
    Some(made.beyond(Against::within(limit, cited)))
}
