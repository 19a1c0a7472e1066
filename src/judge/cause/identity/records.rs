//! Readings that belong to a sister: they fit her earlier ones, and hers fit those of this record.

use super::{cost_of, curves, of_the_make};
use crate::derive::kindred::{Kindred, Shown};
use crate::derive::kinds::excitation::shape::Scatter;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence, LOUDEST, Of, cost};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::told::beside;
use crate::judge::rules::inspection as rules;
use crate::trade::{Pair, Purpose};

/// Resistances at 75 °C of one winding on two days: of each, and what all of a day share.
const BETWEEN_DAYS: (f64, f64) = (0.004, 0.005);
/// What the other's readings say again of the same exchange is not all new.
const SAID_AGAIN: f64 = 0.5;
/// Two units of a bay are seldom taken for each other.
const SELDOM: f64 = 2.0;

pub(super) fn exchanged(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    if j.earlier.is_empty() {
        return Vec::new();
    }
    let all = of_the_make(j).filter_map(|sister| with(j, evidence, sister));
    all.collect()
}

fn at<'k>(sister: &'k Kindred, by: &By) -> Option<&'k Shown> {
    let (By::Visit(name) | By::Certificate(name)) = by else {
        return None;
    };
    let mut visits = sister.visits.iter();
    visits.find(|shown| shown.name == *name)
}

fn with(j: &Judging<'_>, evidence: &Evidence<'_>, sister: &Kindred) -> Option<Hypothesis> {
    let count = of_the_make(j).count() as f64;
    let mut held = None;
    let mut shifts = Vec::new();
    for (place, family) in evidence.families_of(Of::Resistance) {
        let hers = family.items.iter().map(|item| {
            let shown = at(sister, &item.by)?;
            held = held.take().or(Some((item.by.clone(), item.section)));
            let then = shown.resistance(item.pair)?.at_75?;
            Some(libm::log(then / item.expected))
        });
        let hers: Option<Vec<f64>> = hers.collect();
        shifts.extend(hers.map(|shift| (place, shift)));
    }
    let mut fits = Vec::new();
    for (place, one) in evidence.curves.iter().enumerate() {
        let Some(shown) = at(sister, &one.by).filter(|_| one.is_open()) else {
            continue;
        };
        let mut traced = shown.curves.iter();
        let traced =
            traced.find(|then| then.pair == one.now.pair && then.other_frequency.is_none());
        let Some(then) = traced else { continue };
        held = held.take().or(Some((one.by.clone(), one.now.test)));
        let fit = cost_of(j.w, one.curve, (&then.curve, then.knee), Scatter::of_days());
        fits.push((place, fit));
    }
    let (by, section) = held?;
    let seat = Seat {
        section: Some(section),
        ..Seat::default()
    };
    let of = by.is_of_the_unit().then(|| beside(&by))?;
    let observed = say!(
        "the readings fit {} of {} and not that of this record",
        of,
        sister.id.clone()
    );
    let again = hers(j, sister, &by);
    let made = Hypothesis::new(&rules::RECORDS_EXCHANGED, seat, observed)
        .price(price::OF_A_LIST + SELDOM + libm::log(count.max(1.0)))
        .besides(SAID_AGAIN * again)
        .decide(
            "the serial numbers on the unit, on the certificate and on the sheet of each visit",
        );
    let made = match again > 2.0 {
        true => made.remark("and those of that unit fit this record"),
        false => made,
    };
    let made = shifts
        .into_iter()
        .fold(made, |made, (place, shift)| made.shift(place, shift));
    Some(
        fits.into_iter()
            .fold(made, |made, (place, fit)| made.curve(place, fit)),
    )
}

/// How much better the sister's readings of now fit this record's of then than her own.
fn hers(j: &Judging<'_>, sister: &Kindred, by: &By) -> f64 {
    let (By::Visit(name) | By::Certificate(name)) = by else {
        return 0.0;
    };
    let own = j
        .earlier_visits()
        .rev()
        .find(|(visit, _)| visit.name() == *name);
    let now = sister.visits.iter();
    let mut now = now.filter(|shown| shown.purpose != Purpose::Factory);
    let now = now.find(|shown| shown.name == j.case.visit.name());
    let (Some((_, mine)), Some(now), Some(then)) = (own, now, at(sister, by)) else {
        return 0.0;
    };
    let (mut as_hers, mut as_mine) = (Vec::new(), Vec::new());
    // The sections of a core say what the whole says.
    let whole = |pair: Pair| j.case.full(pair.core) == Some(pair);
    for one in now.resistance.iter().filter(|one| whole(one.pair)) {
        let of_mine = mine.derived.resistance.iter();
        let mut of_mine = of_mine.filter(|own| own.pair == one.pair);
        let of_mine = of_mine.find_map(|own| own.at_75);
        let of_hers = then.resistance(one.pair).and_then(|then| then.at_75);
        if let (Some(now), Some(mine), Some(hers)) = (one.at_75, of_mine, of_hers) {
            as_hers.push(libm::log(now / hers));
            as_mine.push(libm::log(now / mine.si));
        }
    }
    let mut sum = of_one_day(&as_hers) - of_one_day(&as_mine);
    for one in &now.curves {
        let mine = curves(&mine.derived.excitation).find(|(own, _)| own.pair == one.pair);
        let hers = then.curves.iter().find(|then| then.pair == one.pair);
        let knee = mine.and_then(|(excited, _)| excited.knee_or_end(&j.case));
        if let (Some((_, mine)), Some(knee), Some(hers)) = (mine, knee, hers) {
            let scatter = Scatter::of_days();
            // Of a sister that is sick herself neither fits.
            let fit = |then| cost_of(j.w, &one.curve, then, scatter).min(LOUDEST);
            sum += fit((&hers.curve, hers.knee)) - fit((mine, knee));
        }
    }
    sum.clamp(-2.0 * LOUDEST, 2.0 * LOUDEST)
}

/// How unlikely differences of resistances are that share what all of a day share.
fn of_one_day(all: &[f64]) -> f64 {
    let (each, shared) = BETWEEN_DAYS;
    let weight = 1.0 / (each * each);
    let sum: f64 = all.iter().map(|away| away * weight).sum();
    let common = sum / (weight * all.len() as f64 + 1.0 / (shared * shared));
    let of_each = all.iter().map(|away| cost(away - common, each));
    of_each.sum::<f64>() + cost(common, shared)
}
