//! Another batch of iron than that of the sisters: the curve of a core, or those of all cores of the unit, along the axis
//! of voltage by no more than sections of iron differ by. It is odd, and no fault.

use super::seat;
use crate::derive::kinds::excitation::shape::{Shape, least};
use crate::document::{Grade, say};
use crate::judge::cause::evidence::{By, Evidence};
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::cause::told::beside;
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::rules::Whose;
use crate::judge::rules::excitation as rules;
use crate::judge::rules::protection::KNEE_EMF;
use crate::judge::travel;
use crate::judge::words::quantity;

/// What the knees of cores of one type differ by from batch to batch, in natural logarithms. Common practice, no source.
const USUAL: f64 = 0.05;
/// And nothing more than so much of the misfit is left: a curve that is bent otherwise is another thing. A
/// convention of this project.
const LEFT: f64 = 0.3;
/// No more than this is one of a batch, and so far it is looked for. Common practice, no source.
const MOST: f64 = 1.1;
const FURTHEST: f64 = 1.3;

pub(super) fn another(evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let held = evidence.curves.iter().enumerate();
    let by_sisters: Vec<(usize, &Held<'_>)> = held
        .filter(|(_, held)| held.is_open() && matches!(held.by, By::Sisters(_)))
        .collect();
    let off = by_sisters.iter().filter(|(_, held)| held.is_off());
    let alone = off.clone().filter_map(|one| made(&[*one]));
    let all = (off.count() > 1).then(|| made(&by_sisters)).flatten();
    alone.chain(all).collect()
}

/// By how many times all voltages lie off those of the sisters, and half the misfit that is left.
fn off(curves: &[(usize, &Held<'_>)]) -> (f64, f64) {
    let left = |times: f64| -> f64 {
        let each = curves.iter().map(|(_, held)| held.fit(Shape::Volts(times)));
        each.sum()
    };
    let times = least(left, (1.0 / FURTHEST, FURTHEST));
    (times, left(times))
}

/// A batch that may be a scale of the voltage as well passes no knee that is none with the scale put right.
pub(in crate::judge::cause) fn settle(
    evidence: &Evidence<'_>,
    named: &Hypothesis,
    made: &mut Finding,
    findings: &mut [Finding],
) {
    let next = made.because.as_ref().and_then(|because| because.next);
    let rival = next.is_some_and(|(rule, _)| rule.whose == Whose::Measurement);
    if named.rule != &rules::ANOTHER_IRON || !rival {
        return;
    }
    let curves = named.curves.iter();
    let curves = curves.filter_map(|(at, _)| Some((*at, evidence.curves.get(*at)?)));
    let curves: Vec<(usize, &Held<'_>)> = curves.collect();
    let (times, _) = off(&curves);
    for one in findings {
        let own = curves
            .iter()
            .any(|(_, held)| one.core == Some(held.pair().core));
        let least = one.against.as_ref().and_then(|it| it.requirement.lower);
        let both = one.value().zip(least);
        let misses = both.is_some_and(|(value, least)| value.si / times < least);
        if own && misses && one.rule == &KNEE_EMF && one.grade() == Grade::Pass {
            // What withholds is told.
            made.verdict = Verdict::Observed(Grade::Review);
            travel::withhold_by(one, made);
        }
    }
}

fn made(curves: &[(usize, &Held<'_>)]) -> Option<Hypothesis> {
    let (_, first) = curves.first()?;
    let (times, left) = off(curves);
    let same: f64 = curves.iter().map(|(_, held)| held.same()).sum();
    if left > LEFT * same || !(1.0 / MOST..=MOST).contains(&times) {
        return None;
    }
    let (seat, whose) = match curves {
        [_] => (seat(first), "its curve lies"),
        _ => (seat(first).of_the_unit(), "all curves lie"),
    };
    let observed = say!(
        "{} {} {} {} along the voltage, as by another section of iron",
        whose,
        quantity(100.0 * (times - 1.0).abs(), 2, unit::PERCENT),
        if times > 1.0 { "above" } else { "below" },
        beside(&first.by)
    );
    let off = libm::log(times) / USUAL;
    let made = Hypothesis::new(&rules::ANOTHER_IRON, seat, observed)
        .graded(Grade::Info)
        .price(price::OF_A_FREE_SIZE + 0.5 * off * off)
        .decide("the maker's curve of this unit");
    let curves = curves.iter();
    Some(curves.fold(made, |made, (at, held)| {
        made.curve(*at, held.fit(Shape::Volts(times)))
    }))
}
