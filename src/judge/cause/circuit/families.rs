//! Connected circuits beside those of an earlier visit, of the sisters, and what the core is rated for.

use crate::derive::kindred::Looped;
use crate::derive::kinds::burden::Loop;
use crate::derive::workings::Value;
use crate::judge::assess::Judging;
use crate::judge::cause::beside::{Seen, beside_sisters};
use crate::judge::cause::evidence::{By, Family, Item, Of};
use crate::judge::cause::resistance::by_visit;
use crate::judge::finding::unit;
use crate::judge::kinds::burden::rated_ohm;
use crate::record::alike::like_core;
use crate::trade::Pair;

/// Between two visits nothing of a circuit changes but its temperature, which all circuits share.
const BETWEEN_VISITS: (f64, f64) = (0.04, 0.04);
/// Between the phases of a bay the relays are the same, and the leads differ in length. Common practice, no source.
const BETWEEN_PHASES: (f64, f64) = (0.13, 0.05);
/// Above the rated burden: what a circuit may be over it before that asks why.
const ABOVE_RATED: f64 = 0.1;
/// The share of its rated burden that a core is loaded with as a rule. Common practice, no source.
const SHARE: f64 = 0.4;
/// What a circuit takes at rated current as a rule, where the plate rates none, VA; and what that scatters by.
const USUAL: f64 = 5.0;
const BETWEEN_CIRCUITS: f64 = 1.2;
/// A circuit beside what it was designed for: less by so much, in natural logarithms, is a design on the safe side. Common
/// practice, no source.
const BESIDE_A_DUTY: f64 = 0.4;
/// What a few metres of lead and their terminals have at least, ohm, and what that scatters by: no circuit that is
/// connected has less by far. Common practice, no source.
const LEAST: f64 = 0.02;
const OF_LEAST: f64 = 0.5;

/// What makes an item of a loop beside another one.
type Part = fn(&Judging<'_>, &Loop, (&Looped, &Looped), f64, By) -> Option<Item>;

/// Families of circuits.
pub(in crate::judge::cause) fn families(j: &Judging<'_>) -> Vec<Family> {
    let mut all = [const { Vec::new() }; 6];
    let [r_before, x_before, r_sisters, x_sisters, rated, duties] = &mut all;
    for one in &j.derived.burden {
        let Some(own) = Looped::of(one) else { continue };
        let limit = limit(j, own.pair);
        let usual = usual(j, own.pair).unwrap_or(own.z);
        if let Some((by, then)) = earlier(j, own.pair) {
            let (each, _) = BETWEEN_VISITS;
            r_before.extend(resistance(j, one, (&own, &then), each, by.clone()));
            x_before.extend(reactance(j, one, (&own, &then), each, by));
        }
        let sisters: Vec<Looped> = sisters(j, own.pair);
        let (each, by) = (BETWEEN_PHASES.0, By::Sisters(sisters.len()));
        let seen = |made: Part| {
            let all = sisters.iter().filter_map(|other| {
                Some(Seen {
                    off: libm::log(other.z / usual),
                    own: libm::log(own.z / usual),
                    item: made(j, one, (&own, other), each, by.clone())?,
                })
            });
            beside_sisters(all.collect())
        };
        r_sisters.extend(seen(resistance));
        x_sisters.extend(seen(reactance));
        // What it was designed for is known where no circuit like it is; more than that is told beside the duty itself.
        if earlier(j, own.pair).is_none() && sisters.is_empty() {
            let stated = of_duty(j, own.pair);
            let made = stated.and_then(|ohm| item(j, one, (one.z, ohm), BESIDE_A_DUTY, By::Duty));
            duties.extend(made.filter(|made| made.away < 0.0));
        }
        rated.extend(limit.and_then(|(limit, on_plate)| {
            let (u, by) = match on_plate {
                true => (ABOVE_RATED, By::Plate),
                false => (BETWEEN_CIRCUITS, By::Usual),
            };
            if one.z.si < LEAST {
                return item(j, one, (one.z, LEAST), OF_LEAST, By::Usual);
            }
            // Below the limit there is nothing odd.
            item(j, one, (one.z, limit), u, by).map(|item| Item {
                away: item.away.max(0.0),
                ..item
            })
        }));
    }
    let [r_before, x_before, r_sisters, x_sisters, rated, duties] = all;
    let family = |of, items, shared| Family { of, items, shared };
    vec![
        family(Of::Circuit, r_before, BETWEEN_VISITS.1),
        family(Of::Reactance, x_before, 0.0),
        family(Of::Circuit, r_sisters, BETWEEN_PHASES.1),
        family(Of::Reactance, x_sisters, 0.0),
        family(Of::Burden, rated, 0.0),
        family(Of::Circuit, duties, 0.0),
    ]
}

/// What the duty of a core states of its circuit, ohm.
fn of_duty(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    let mut duties = j.derived.duty.iter();
    let own = duties.find(|served| served.pair.core == pair.core);
    Some(own?.load.as_ref()?.stated?.si).filter(|ohm| *ohm > 0.0)
}

/// What a circuit may have, ohm, and whether the plate says so.
fn limit(j: &Judging<'_>, pair: Pair) -> Option<(f64, bool)> {
    let rated = rated_ohm(j, pair).map(|rated| (rated, true));
    rated.or_else(|| {
        let amperes = j.case.rated_secondary(pair)?;
        Some((USUAL / (amperes * amperes), false))
    })
}

/// What a circuit has as a rule, ohm.
pub(super) fn usual(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    limit(j, pair).map(|(limit, on_plate)| match on_plate {
        true => SHARE * limit,
        false => limit,
    })
}

/// The last earlier visit that read the same circuit.
fn earlier(j: &Judging<'_>, pair: Pair) -> Option<(By, Looped)> {
    let visits = j.earlier_visits().rev();
    let mut then = visits.filter_map(|(visit, assessed)| {
        let mut all = assessed.derived.burden.iter().filter_map(Looped::of);
        Some((by_visit(visit), all.rfind(|one| one.pair == pair)?))
    });
    then.next()
}

fn sisters(j: &Judging<'_>, pair: Pair) -> Vec<Looped> {
    let name = j.case.visit.name();
    let all = j.sisters.iter().filter_map(|sister| {
        let core = like_core(j.case.core(pair)?, &sister.cores)?;
        let pair = Pair { core, ..pair };
        let mut shown = sister.at(&name);
        shown.find_map(|shown| shown.burdens.iter().rfind(|one| one.pair == pair).copied())
    });
    all.collect()
}

/// The resistance beside the other's; the impedances where one of them has no angle.
fn resistance(
    j: &Judging<'_>,
    one: &Loop,
    (own, other): (&Looped, &Looped),
    each: f64,
    by: By,
) -> Option<Item> {
    match (one.r, own.parts.zip(other.parts)) {
        (Some(r), Some((_, (expected, _)))) => item(j, one, (r, expected), each, by),
        _ => item(j, one, (one.z, other.z), each, by),
    }
}

fn reactance(
    j: &Judging<'_>,
    one: &Loop,
    (_, other): (&Looped, &Looped),
    each: f64,
    by: By,
) -> Option<Item> {
    let (_, expected) = other.parts?;
    let made = item(j, one, (one.x?, expected), each, by)?;
    // One that is lost beside its resistance says nothing.
    (made.u < 0.4).then_some(made)
}

fn item(
    j: &Judging<'_>,
    one: &Loop,
    (observed, expected): (Value, f64),
    scatter: f64,
    by: By,
) -> Option<Item> {
    let away = libm::log(observed.si / expected);
    let u = j.w.uncertainty(observed);
    let read = if u.known { u.u / observed.si } else { 0.01 };
    away.is_finite().then(|| Item {
        pair: one.pair.ascending(),
        section: one.test,
        at: one.readings.clone(),
        observed: observed.si,
        expected,
        unit: unit::OHM,
        away,
        u: libm::hypot(scatter, read),
        by,
    })
}
