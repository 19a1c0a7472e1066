//! A curve against an earlier one of the same pair: residual magnetism, shorted turn.

use super::primary_loop;
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::excitation::against::{Against, Compared, compare};
use crate::derive::knee::Knee;
use crate::document::{Grade, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{self, Finding, Verdict, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::quantity;
use crate::record::kinds::Flux;
use crate::record::visit::Visit;
use crate::standards::{Family, Threshold, threshold};
use crate::trade::Purpose;

pub(super) fn judge(j: &mut Judging<'_>, excited: &Excited, out: &mut Vec<Finding>) {
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
    let name = Condition::Against(visit.name());
    let compared = compare(j.w, curve, then, knee);
    let below = below(j, excited, &compared, most, &name);
    let grade = below.as_ref().map(Finding::grade);
    out.extend(below);
    if grade == Some(Grade::Review) {
        out.extend(diagnose(j, excited, &compared, most.limit, name.clone()));
    }
    out.extend(above(j, excited, &compared, least, name));
}

/// The curve to compare with: the maker's if there is one, else the oldest.
fn reference<'a>(j: &Judging<'a>, excited: &Excited) -> Option<(&'a Visit, &'a Excited)> {
    let visits = j.case.record.visits.iter().zip(j.earlier);
    let mut found: Option<(&'a Visit, &'a Excited)> = None;
    for (visit, assessed) in visits {
        let mut of_visit = assessed.derived.excitation.iter();
        let fits = |other: &&Excited| {
            let usable = other.curve.is_some() && other.doubtful.is_none();
            usable && other.pair == excited.pair && same_frequency(other, excited)
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
    let near = threshold("curve-frequency").map_or(0.0, |row| row.limit / 100.0);
    match (a.other_frequency, b.other_frequency) {
        (None, None) => true,
        (Some(a), Some(b)) => (a - b).abs() <= near * a.abs(),
        _ => false,
    }
}

fn at(excited: &Excited, one: &Against) -> Vec<Span> {
    excited.rows.get(one.at).copied().into_iter().collect()
}

/// A reading of the curve beside another curve. A tolerance that is exceeded asks for a look; it is no
/// limit of the transformer.
fn beside(
    j: &Judging<'_>,
    (rule, conditions): (&'static Rule, Vec<Condition>),
    limit: finding::Against,
    excited: &Excited,
    one: &Against,
) -> Finding {
    let mut finding = Finding::new(rule, one.ratio, unit::PERCENT)
        .at(excited.test, excited.pair, at(excited, one))
        .against(j, limit);
    finding.conditions = conditions;
    match finding.verdict {
        Verdict::Word(Word::Fail) => finding.graded(Grade::Review),
        _ => finding,
    }
    .withheld(excited.doubtful)
}

fn below(
    j: &Judging<'_>,
    excited: &Excited,
    compared: &Compared,
    row: &Threshold,
    name: &Condition,
) -> Option<Finding> {
    let all = &compared.below;
    let (low, high) = all.first().zip(all.last())?;
    let worst = all
        .iter()
        .max_by(|a, b| a.ratio.si.total_cmp(&b.ratio.si))?;
    let conditions = vec![name.clone(), Condition::Voltage(worst.v)];
    let rule = (&rules::CURVE_ABOVE_REFERENCE, conditions);
    let limit = finding::Against::at_most(row.limit, &j.after(Family::Ieee, &row.cited));
    let finding = beside(j, rule, limit, excited, worst);
    Some(finding.remark(say!(
        "{} at {}, {} at {} near the knee",
        quantity(low.ratio.si, 3, unit::PERCENT),
        quantity(low.v, 3, unit::VOLT),
        quantity(high.ratio.si, 3, unit::PERCENT),
        quantity(high.v, 3, unit::VOLT)
    )))
}

/// What a raised curve looks like: raised at its low end only, or all along.
fn diagnose(
    j: &Judging<'_>,
    excited: &Excited,
    compared: &Compared,
    limit: f64,
    name: Condition,
) -> Option<Finding> {
    let (low, high) = compared.below.first().zip(compared.below.last())?;
    let magnetised = after_dc(j, excited);
    let share = threshold(if magnetised {
        "residual-shrinks-after-dc"
    } else {
        "residual-shrinks"
    })?;
    let shrinks = high.ratio.si - 100.0 < share.limit * (low.ratio.si - 100.0);
    let over_the_whole = compared.below.iter().all(|one| one.ratio.si > limit);
    let finding = if shrinks {
        residual(magnetised)
    } else if over_the_whole {
        shorted(primary_loop::closed(j).is_some(), low, high)
    } else {
        return None;
    };
    let finding = finding.at(excited.test, excited.pair, at(excited, low));
    Some(finding.under(name))
}

fn residual(magnetised: bool) -> Finding {
    let observed = "the current is higher at the low end and not at the knee";
    let finding = Finding::observation(&rules::RESIDUAL_MAGNETISM, observed, Grade::Review);
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
    let before = j.case.visit.tests.iter().take(excited.test);
    let mut dc = false;
    for test in before.filter(|test| test.touches(core)) {
        match test.flux_on(core) {
            Flux::Remains => dc = true,
            Flux::Cleared => dc = false,
            Flux::Measured | Flux::Untouched => {}
        }
    }
    dc
}

fn above(
    j: &Judging<'_>,
    excited: &Excited,
    compared: &Compared,
    row: &Threshold,
    name: Condition,
) -> Option<Finding> {
    let all = compared.above.iter();
    let worst = all.min_by(|a, b| a.ratio.si.total_cmp(&b.ratio.si))?;
    let rule = (&rules::CURVE_BELOW_REFERENCE, vec![name]);
    let limit = finding::Against::at_least(row.limit, &j.after(Family::Ieee, &row.cited));
    Some(beside(j, rule, limit, excited, worst))
}
