//! A curve against an earlier one of the same pair: residual magnetism, shorted turn.

use super::{DOUBTFUL, not_judged, primary_loop};
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::excitation::against::{Against, Compared, compare};
use crate::derive::knee::Knee;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Finding, Found, Verdict, Weight, Whose, unit};
use crate::judge::say::rounded;
use crate::judge::verdict::cited_limit;
use crate::record::due::touches;
use crate::record::kinds::{Flux, TestKind};
use crate::record::visit::{Purpose, Visit};
use crate::standards::{Threshold, threshold};

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
    let what = format!(
        "exciting current at {} V against the curve of {name}",
        rounded(worst.v, 4)
    );
    let mut finding = Finding::new(
        "curve-above-reference",
        TestKind::Excitation,
        Whose::Ct,
        what,
        Found::Known(worst.ratio),
        unit::PERCENT,
    )
    .at(excited.test, excited.pair, at(excited, worst))
    .against(
        j.w,
        j.case.criteria,
        cited_limit(Requirement::at_most(row.limit), &row.cited),
    )
    .remark(format!(
        "{} % at {} V, {} % at {} V near the knee",
        rounded(low.ratio.si, 3),
        rounded(low.v, 3),
        rounded(high.ratio.si, 3),
        rounded(high.v, 3)
    ));
    let raised = finding.verdict == Verdict::Word(Word::Fail);
    if excited.doubtful.is_some() {
        finding.verdict = not_judged(DOUBTFUL);
    } else if raised {
        finding.verdict = Verdict::Observed(Weight::Doubt);
    }
    j.findings.push(finding);
    if raised && excited.doubtful.is_none() {
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
    let all_along = compared.below.iter().all(|one| one.ratio.si > limit);
    if shrinks {
        residual(j, excited, low, magnetised, name);
    } else if all_along {
        shorted(j, excited, low, high, name);
    }
}

fn residual(j: &mut Judging<'_>, excited: &Excited, low: &Against, magnetised: bool, name: &str) {
    let what = format!(
        "residual magnetism: against the curve of {name} the current is raised at the low end and not at the knee"
    );
    let mut finding = Finding::new(
        "residual-magnetism",
        TestKind::Excitation,
        Whose::Ct,
        what,
        Found::Nothing,
        unit::ONE,
    )
    .at(excited.test, excited.pair, at(excited, low))
    .next("demagnetise from above the knee down to zero, then repeat the excitation");
    finding.verdict = Verdict::Observed(Weight::Defect);
    if magnetised {
        finding = finding
            .remark("direct current was on this core before, and it was not demagnetised after");
    }
    j.findings.push(finding);
}

fn shorted(j: &mut Judging<'_>, excited: &Excited, low: &Against, high: &Against, name: &str) {
    let what = format!(
        "shorted turn suspected: against the curve of {name} the current is raised all along"
    );
    let closed = primary_loop::closed(j).is_some();
    let mut finding = Finding::new("shorted-turn-suspected", TestKind::Excitation, Whose::Ct, what, Found::Nothing, unit::ONE)
        .at(excited.test, excited.pair, at(excited, low))
        .remark(format!("{} times at {} V, {} times at {} V", times(low), rounded(low.v, 3), times(high), rounded(high.v, 3)))
        .remark("how many turns cannot be read from the curve; the turns ratio bounds it")
        .next("rule out a closed primary loop and a short on the winding's own leads, then repeat; if it stays, out of service");
    finding.verdict = Verdict::Observed(if closed {
        Weight::Doubt
    } else {
        Weight::Defect
    });
    j.findings.push(finding);
}

fn times(one: &Against) -> String {
    rounded(one.ratio.si / 100.0, 2)
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
        .filter(|test| touches(j.case.record, test, core));
    let mut dc = false;
    for test in before {
        match test.flux() {
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
    let what =
        format!("voltage above the knee at one exciting current against the curve of {name}");
    let mut finding = Finding::new(
        "curve-below-reference",
        TestKind::Excitation,
        Whose::Ct,
        what,
        Found::Known(worst.ratio),
        unit::PERCENT,
    )
    .at(excited.test, excited.pair, at(excited, worst))
    .against(
        j.w,
        j.case.criteria,
        cited_limit(Requirement::at_least(row.limit), &row.cited),
    );
    if excited.doubtful.is_some() {
        finding.verdict = not_judged(DOUBTFUL);
    } else if finding.verdict == Verdict::Word(Word::Fail) {
        finding.verdict = Verdict::Observed(Weight::Doubt);
    }
    j.findings.push(finding);
}
