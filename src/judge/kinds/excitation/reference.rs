//! A curve against an earlier one of the same pair: residual magnetism, shorted turn.

use super::{DOUBTFUL, not_judged, primary_loop};
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::excitation::against::{Against, Compared, compare};
use crate::derive::knee::Knee;
use crate::document::{Grade, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Finding, Found, Verdict, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::cited_limit;
use crate::judge::words::quantity;
use crate::record::kinds::Flux;
use crate::record::visit::Visit;
use crate::standards::{Threshold, threshold};
use crate::trade::Purpose;

/// The excess near the knee over that at the low end, below which the curve counts as raised at its
/// low end only. Own convention.
const SHRINKS: f64 = 0.3;

/// The same where a direct current was left on the core without demagnetisation.
const SHRINKS_AFTER_DC: f64 = 0.5;

pub(super) fn judge(j: &mut Judging<'_>, excited: &Excited) {
    let (Some(curve), Some(most), Some(least)) = (
        &excited.curve,
        threshold("ieee-excitation-current"),
        threshold("ieee-excitation-voltage"),
    ) else {
        return;
    };
    let Some((visit, earlier)) = reference(j, excited) else {
        return;
    };
    let Some(then) = &earlier.curve else { return };
    let knee = match earlier.deciding(&j.case) {
        Knee::At(point) => point.voltage.si,
        Knee::NotReached { .. } | Knee::Lacking(_) => then.last().v.si,
    };
    let name = visit.name();
    let compared = compare(j.w, curve, then, knee);
    below(j, excited, &compared, most, &name);
    above(j, excited, &compared, least, &name);
}

/// The curve to compare with: the maker's if there is one, else the oldest.
fn reference<'a>(j: &Judging<'a>, excited: &Excited) -> Option<(&'a Visit, &'a Excited)> {
    let visits = j.case.record.visits.iter().zip(j.earlier);
    let mut found: Option<(&'a Visit, &'a Excited)> = None;
    for (visit, assessed) in visits {
        let mut of_visit = assessed.derived.excitation.iter();
        let fits = |other: &&Excited| {
            let usable =
                other.pair == excited.pair && other.curve.is_some() && other.doubtful.is_none();
            usable && same_frequency(other, excited)
        };
        let Some(last) = of_visit.rfind(fits) else {
            continue;
        };
        if visit.purpose() == Purpose::Factory {
            return Some((visit, last));
        }
        found = found.or(Some((visit, last)));
    }
    found
}

fn same_frequency(a: &Excited, b: &Excited) -> bool {
    match (a.other_frequency, b.other_frequency) {
        (None, None) => true,
        (Some(a), Some(b)) => (a - b).abs() <= 0.01 * a.abs(),
        _ => false,
    }
}

fn at(excited: &Excited, one: &Against) -> Vec<Span> {
    excited.rows.get(one.at).copied().into_iter().collect()
}

/// A finding of the curve beside that of another visit.
fn beside(rule: &'static Rule, found: Found, excited: &Excited, one: &Against) -> Finding {
    Finding::new(rule, found, unit::PERCENT).at(excited.test, excited.pair, at(excited, one))
}

/// A tolerance that is exceeded asks for a look; it is no limit of the transformer.
fn softened(mut finding: Finding, excited: &Excited) -> Finding {
    if excited.doubtful.is_some() {
        finding.verdict = not_judged(DOUBTFUL);
    } else if finding.verdict == Verdict::Word(Word::Fail) {
        finding.verdict = Verdict::Observed(Grade::Review);
    }
    finding
}

fn below(j: &mut Judging<'_>, excited: &Excited, compared: &Compared, row: &Threshold, name: &str) {
    let worst = compared
        .below
        .iter()
        .max_by(|a, b| a.ratio.si.total_cmp(&b.ratio.si));
    let (Some(worst), Some(low), Some(high)) =
        (worst, compared.below.first(), compared.below.last())
    else {
        return;
    };
    let limit = cited_limit(Requirement::at_most(row.limit), &row.cited);
    let found = Found::Known(worst.ratio);
    let finding = beside(&rules::CURVE_ABOVE_REFERENCE, found, excited, worst)
        .under(Condition::Against(name.to_owned()))
        .under(Condition::Voltage(worst.v))
        .against(j.w, j.case.criteria, limit)
        .remark(say!(
            "{} at {}, {} at {} near the knee",
            quantity(low.ratio.si, 3, unit::PERCENT),
            quantity(low.v, 3, unit::VOLT),
            quantity(high.ratio.si, 3, unit::PERCENT),
            quantity(high.v, 3, unit::VOLT)
        ));
    let finding = softened(finding, excited);
    let raised = finding.grade() == Grade::Review;
    j.findings.push(finding);
    if raised {
        diagnose(j, excited, compared, row.limit, name);
    }
}

fn diagnose(j: &mut Judging<'_>, excited: &Excited, compared: &Compared, limit: f64, name: &str) {
    let (Some(low), Some(high)) = (compared.below.first(), compared.below.last()) else {
        return;
    };
    let magnetised = after_dc(j, excited);
    let share = if magnetised {
        SHRINKS_AFTER_DC
    } else {
        SHRINKS
    };
    let shrinks = high.ratio.si - 100.0 < share * (low.ratio.si - 100.0);
    let over_the_whole = compared.below.iter().all(|one| one.ratio.si > limit);
    let finding = if shrinks {
        residual(magnetised)
    } else if over_the_whole {
        shorted(primary_loop::closed(j).is_some(), low, high)
    } else {
        return;
    };
    let finding = finding.under(Condition::Against(name.to_owned()));
    j.findings
        .push(finding.at(excited.test, excited.pair, at(excited, low)));
}

fn residual(magnetised: bool) -> Finding {
    let observed = "the current is higher at the low end and not at the knee";
    let finding = Finding::observation(&rules::RESIDUAL_MAGNETISM, observed, Grade::Fails);
    if !magnetised {
        return finding;
    }
    finding.remark("direct current was on this core before, and it was not demagnetised after")
}

fn shorted(primary_closed: bool, low: &Against, high: &Against) -> Finding {
    let grade = if primary_closed {
        Grade::Review
    } else {
        Grade::Fails
    };
    let observed = "the current is higher over the whole curve";
    let times = |one: &Against| quantity(one.ratio.si / 100.0, 2, unit::ONE);
    Finding::observation(&rules::SHORTED_TURN_SUSPECTED, observed, grade)
        .remark(say!(
            "{} times at {}, {} times at {}",
            times(low),
            quantity(low.v, 3, unit::VOLT),
            times(high),
            quantity(high.v, 3, unit::VOLT)
        ))
        .remark("how many turns cannot be read from the curve; the turns ratio bounds it")
}

/// Whether the last thing before this curve that touched the core's flux was a direct current.
fn after_dc(j: &Judging<'_>, excited: &Excited) -> bool {
    let core = excited.pair.core;
    let before = j
        .case
        .visit
        .tests
        .iter()
        .take(excited.test)
        .filter(|test| test.touches(core));
    let mut dc = false;
    for test in before {
        match test.flux {
            Flux::Remains => dc = true,
            Flux::Cleared => dc = false,
            Flux::Measured | Flux::Untouched => {}
        }
    }
    dc
}

fn above(j: &mut Judging<'_>, excited: &Excited, compared: &Compared, row: &Threshold, name: &str) {
    let Some(worst) = compared
        .above
        .iter()
        .min_by(|a, b| a.ratio.si.total_cmp(&b.ratio.si))
    else {
        return;
    };
    let limit = cited_limit(Requirement::at_least(row.limit), &row.cited);
    let found = Found::Known(worst.ratio);
    let finding = beside(&rules::CURVE_BELOW_REFERENCE, found, excited, worst)
        .under(Condition::Against(name.to_owned()))
        .against(j.w, j.case.criteria, limit);
    j.findings.push(softened(finding, excited));
}
