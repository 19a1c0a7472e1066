//! Two cores that have each other's names in the terminal box: what is read on one is what the other should give.

use super::{cost_of, curves};
use crate::derive::curve::Curve;
use crate::derive::kinds::excitation::shape::Scatter;
use crate::derive::kinds::resistance::Winding;
use crate::derive::workings::Workings;
use crate::document::{Grade, Phrase, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence, Family, Item, LOUDEST, Of};
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, TIE};
use crate::judge::cause::resistance::truth::Bench;
use crate::judge::cause::turns::mostly;
use crate::judge::rules::inspection as rules;
use crate::record::alike::like_core;
use crate::trade::Pair;

pub(super) fn exchanged(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let cores = &j.case.record.cores;
    let ends = |core: usize| cores.get(core).map(|core| core.marks.len());
    let count = 0..cores.len();
    let pairs = count.flat_map(|one| (one + 1..cores.len()).map(move |other| (one, other)));
    let alike = pairs.filter(|(one, other)| ends(*one) == ends(*other));
    alike
        .filter_map(|both| exchange(j, evidence, both))
        .collect()
}

/// The same pair of the other core.
fn there((one, other): (usize, usize), pair: Pair) -> Option<Pair> {
    let core = match pair.core {
        core if core == one => other,
        core if core == other => one,
        _ => return None,
    };
    Some(Pair { core, ..pair })
}

fn exchange(j: &Judging<'_>, evidence: &Evidence<'_>, both: (usize, usize)) -> Option<Hypothesis> {
    let name = |core: usize| {
        let core = j.case.record.cores.get(core)?;
        Some(Phrase::terminals(core.name.clone()))
    };
    let observed = say!(
        "what is read on {} fits {}, and the other way round",
        name(both.0)?,
        name(both.1)?
    );
    let first = j
        .case
        .visit
        .tests
        .iter()
        .position(|test| test.touches(both.0) && !test.readings.is_empty());
    let seat = Seat {
        section: first,
        ..Seat::default()
    };
    let mut made = Hypothesis::new(&rules::CORES_EXCHANGED, seat, observed)
        .graded(Grade::Fails)
        .decide("which core each terminal leads to: a small voltage on one core, and its terminals looked for at the winding");
    // What each reading would be without it is what stands under the other core's name.
    let cold = |pair: Pair| {
        let mut all = j.derived.resistance.iter();
        all.find(|one| one.pair == pair).map(|one| one.cold.si)
    };
    let truly = |winding: &Winding, _, read: f64| {
        let other = there(both, winding.pair).and_then(cold);
        other.map_or(read, |other| read * other / winding.cold.si)
    };
    let resisted = Bench::new(j, evidence).shifts(|_, _| true, truly);
    let resisted = resisted.unwrap_or_default();
    for (at, family) in evidence.families.iter().enumerate() {
        let of_it = resisted.iter().find(|(of, _)| *of == at);
        let shift: Vec<f64> = match of_it {
            Some((_, shift)) => shift.clone(),
            None => family
                .items
                .iter()
                .map(|item| shift(j, family, both, item).unwrap_or(0.0))
                .collect(),
        };
        if shift.iter().any(|shift| *shift != 0.0) {
            made = made.shift_where_it_helps(at, family, shift);
        }
    }
    let mut by_sisters: Vec<(usize, f64)> = Vec::new();
    for (at, held) in evidence.curves.iter().enumerate() {
        let Some(pair) = there(both, held.pair()).filter(|_| held.is_open()) else {
            continue;
        };
        let on_site = matches!(held.by, By::Visit(_));
        let fit = fit(j, (j.w, held.curve), &held.by, pair).map(|fit| mostly(fit, held.same()));
        match fit {
            Some(fit) if !on_site || fit < held.same() => made = made.curve(at, fit),
            _ => {}
        }
        // The earlier visit on site may have had the same names: the sisters tell.
        if on_site {
            let own = beside_sisters(j, (j.w, held.curve), held.pair());
            let other = beside_sisters(j, (j.w, held.curve), pair);
            if let (Some(own), Some(other)) = (own, other) {
                let more = (own - other).clamp(-LOUDEST, LOUDEST);
                made = made.besides(more);
                by_sisters.push((held.pair().core, more));
            }
        }
    }
    // Each of the two has to read as the other: one alone that is off is no exchange.
    let gain = |core: usize| {
        let own = by_sisters.iter().filter(|(of, _)| *of == core);
        own.map(|(_, more)| more).sum::<f64>() + gain_of(evidence, &made, core)
    };
    if [both.0, both.1].into_iter().any(|core| gain(core) < TIE) {
        return None;
    }
    made.seat.at = read_on(evidence, &made);
    Some(made)
}

/// How much likelier the readings of one core are by a cause, in natural logarithms.
fn gain_of(evidence: &Evidence<'_>, made: &Hypothesis, core: usize) -> f64 {
    let families = made.shifts.iter().flat_map(|(at, shift)| {
        let family = evidence.families.get(*at);
        let weights = family.into_iter().flat_map(move |family| {
            let weights = family.weights(shift).into_iter().zip(shift);
            family.items.iter().zip(weights)
        });
        weights.filter(move |(item, (_, shift))| item.pair.core == core && **shift != 0.0)
    });
    let curves = made.curves.iter().filter_map(|(at, left)| {
        let held = evidence.curves.get(*at)?;
        (held.pair().core == core).then_some(held.same() - left)
    });
    families.map(|(_, (weight, _))| weight).chain(curves).sum()
}

/// The readings of both cores, each once, in the order of the record.
fn read_on(evidence: &Evidence<'_>, made: &Hypothesis) -> Vec<Span> {
    let items = made.shifts.iter().flat_map(|(at, shift)| {
        let family = evidence.families.get(*at);
        let items = family.into_iter().flat_map(|family| &family.items);
        items.zip(shift).filter(|(_, shift)| **shift != 0.0)
    });
    let items = items.filter_map(|(item, _)| item.at.first().copied());
    let curves = made.curves.iter();
    let curves = curves.filter_map(|(at, _)| evidence.curves.get(*at));
    let curves = curves.flat_map(Held::first_row);
    let mut all: Vec<Span> = items.chain(curves).collect();
    all.sort_by_key(|at| at.start);
    all.dedup();
    all
}

fn shift(j: &Judging<'_>, family: &Family, both: (usize, usize), item: &Item) -> Option<f64> {
    let pair = there(both, item.pair)?;
    let expected = match family.of {
        Of::Turns => j.case.ratio(pair)? / j.case.ratio(item.pair)?,
        _ => return None,
    };
    let shift = libm::log(expected);
    // Of a visit's turns only the change is known.
    let known = family.of != Of::Turns || item.by == By::Plate;
    (shift.is_finite() && known && shift.abs() > 1e-9).then_some(shift)
}

/// Half the misfit of a curve beside that of a pair, from where `by` says.
pub(in crate::judge::cause) fn fit(
    j: &Judging<'_>,
    (w, curve): (&Workings, &Curve),
    by: &By,
    pair: Pair,
) -> Option<f64> {
    let (By::Visit(name) | By::Certificate(name)) = by else {
        return beside_sisters(j, (w, curve), pair);
    };
    let mut earlier = j.earlier_visits().rev();
    let (_, then) = earlier.find(|(visit, _)| visit.name() == *name)?;
    let (excited, then) = curves(&then.derived.excitation).find(|(one, _)| one.pair == pair)?;
    let knee = excited.knee_or_end(&j.case)?;
    Some(cost_of(w, curve, (then, knee), Scatter::of_days()))
}

/// The same beside the sisters' curves, the nearest of them.
fn beside_sisters(j: &Judging<'_>, (w, now): (&Workings, &Curve), pair: Pair) -> Option<f64> {
    let core = j.case.core(pair)?;
    let all = j.sisters.iter().filter_map(|sister| {
        let core = like_core(core, &sister.cores)?;
        let pair = Pair { core, ..pair };
        let traced = sister.on_site().flat_map(|shown| &shown.curves);
        let mut traced = traced.filter(|one| one.pair == pair && one.other_frequency.is_none());
        let then = traced.next()?;
        Some(cost_of(
            w,
            now,
            (&then.curve, then.knee),
            Scatter::of_makes(),
        ))
    });
    all.min_by(f64::total_cmp)
}
