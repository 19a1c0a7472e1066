//! Findings: derived values with what they are held against, and what was observed.

use super::{Quantity, conditions};
use crate::archive::head::{Head, OnCore, some};
use crate::derive::case::Case;
use crate::derive::outcome::Outcome;
use crate::derive::workings::Origin;
use crate::ground::ucum;
use crate::job::Compiled;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::requirement::Claims;
use crate::judge::verdict::{coverage_factor, expanded};
use crate::judge::words;

pub(super) fn rows(one: &Compiled, claims: &Claims<'_>, head: &Head) -> Vec<Quantity> {
    let (instruments, criteria) = one.setting.parts();
    let cases = Case::each(&one.record, instruments, criteria);
    let mut rows = Vec::new();
    for (case, assessed) in cases.zip(&one.assessment.visits) {
        let base = head.row(one, Some(case.visit));
        for finding in &assessed.findings {
            let mut row = base.clone();
            let test = finding.section.and_then(|at| case.visit.tests.get(at));
            match test {
                Some(test) => conditions::of_section(&mut row, &case, test),
                None => row.test = some(finding.rule.kind.name()),
            }
            OnCore::of(one, finding.core, finding.pair).put(&mut row);
            conditions::of_finding(&mut row, one, case.index, finding);
            put(&mut row, one, finding);
            row.stands = Some(claims.stands(case.index, finding));
            rows.push(row);
        }
    }
    rows
}

/// The value, what it is held against, and what came of it.
fn put(row: &mut Quantity, one: &Compiled, finding: &Finding) {
    let (w, criteria) = (&one.assessment.workings, &one.setting.criteria);
    let value = finding.value();
    let is_derived = finding.verdict == Verdict::NoLimit && value.is_some();
    row.kind = some(if is_derived { "derived" } else { "finding" });
    row.quantity = some(finding.rule.id);
    row.written = some(&one.plain(&words::found(w, criteria, finding)));
    row.bound = match finding.found {
        Some(Outcome::Known(_)) => some("exact"),
        Some(Outcome::AtLeast(_)) => some("at least"),
        Some(Outcome::AtMost(_)) => some("at most"),
        Some(Outcome::NotReached { .. }) => some("not reached"),
        Some(Outcome::Lacking(_)) | None => None,
    };
    let limits = finding.against.as_ref();
    if value.is_some() || limits.is_some() {
        let codes = ucum::by_word(finding.unit.word);
        row.written_ucum = codes.as_ref().and_then(|(shown, _)| some(shown));
        row.ucum = codes.as_ref().and_then(|(_, si)| some(si));
    }
    if let Some(value) = value {
        row.value = Some(value.si);
        row.uncertainty = expanded(w, value, criteria);
        let known = row.uncertainty.is_some();
        row.coverage = known.then(|| coverage_factor(criteria, &w.uncertainty(value)));
        let step = w.step_at(value.step);
        row.formula = step.and_then(|step| match &step.origin {
            Origin::Formula(about) => some(about.name),
            Origin::Reading { .. }
            | Origin::Plate { .. }
            | Origin::Constant { .. }
            | Origin::Row(_)
            | Origin::Given { .. }
            | Origin::Curve { .. } => None,
        });
    }
    if let Some(against) = limits {
        row.limit_low = against.requirement.lower;
        row.limit_high = against.requirement.upper;
        row.limit_of_size = Some(against.magnitude);
        row.limit_id = some(&against.cited.id);
        row.limit_source = some(&against.cited.source);
    }
    row.verdict = some(words::verdict(&finding.verdict));
    row.grade = some(finding.grade().word());
    let line = finding.points_at.first();
    row.line = line.and_then(|at| i64::try_from(one.source.line(at.start)).ok());
}
