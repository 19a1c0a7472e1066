//! Resistances of an earlier visit that stand alone: today's agree with the sisters, and those of then with neither.

use super::by_visit;
use super::families::level;
use super::truth::Bench;
use crate::derive::kindred::Kindred;
use crate::document::{Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Family, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::told::beside;
use crate::judge::rules::resistance as rules;
use crate::judge::words::rounded;
use std::collections::BTreeMap;

/// A core agrees with its sisters within so many scatters, and would not if what is off were today's by so many.
/// Conventions of this project.
const AGREES: f64 = 2.0;
const CONTRADICTS: f64 = 3.0;

pub(super) fn all(bench: &Bench<'_>) -> Vec<Hypothesis> {
    let families = bench.evidence.families_of(Of::Resistance);
    let of_then = families.filter(|(_, family)| {
        let mut items = family.items.iter();
        items.all(|item| item.by.is_of_the_unit())
    });
    let made = of_then.filter_map(|(at, family)| of_visit(bench.j, (at, family)));
    made.collect()
}

fn of_visit(j: &Judging<'_>, (at, family): (usize, &Family)) -> Option<Hypothesis> {
    let levels: BTreeMap<usize, Item> = (0..j.case.record.cores.len())
        .filter_map(|core| Some((core, level(j, core)?)))
        .collect();
    // What all units are off by since then is of the day.
    let of_the_day = |item: &Item| {
        let core = j.case.core(item.pair);
        let moved = |sister: &&Kindred| Some(libm::log(sister.moved(core?, item.pair)?));
        let mut sisters = j.sisters.iter().filter_map(moved);
        sisters.any(|moved| moved / item.away > 0.5)
    };
    let stands = |item: &Item| {
        !of_the_day(item)
            && levels.get(&item.pair.core).is_some_and(|level| {
                let agrees = level.away.abs() < AGREES * level.u;
                agrees && (level.away - item.away).abs() > CONTRADICTS * level.u
            })
    };
    let alone = family.items.iter().filter(|item| stands(item));
    let furthest = alone.max_by(|one, other| one.away.abs().total_cmp(&other.away.abs()))?;
    let level = levels.get(&furthest.pair.core)?;
    let shift = |item: &Item| if stands(item) { item.away } else { 0.0 };
    let off = 100.0 * (libm::exp(furthest.away) - 1.0);
    let observed = say!(
        "{} agrees today with {}, and lies {} off {}",
        Phrase::terminals(j.case.record.pair_text(furthest.pair)),
        beside(&level.by),
        Quantity::new(rounded(off.abs(), 2), "%"),
        beside(&furthest.by)
    );
    let mut seat = Seat::of(furthest).of_the_unit();
    seat.at.splice(0..0, read_then(j, furthest));
    let made = Hypothesis::new(&rules::EARLIER_RESISTANCE_OFF, seat, observed)
        .shift(at, family.items.iter().map(shift).collect())
        .price(price::OF_A_FREE_SIZE + price::OF_A_LIST)
        .decide("the sheet of that visit: its readings, their unit, leads and temperature");
    Some(made)
}

/// Where the reading of then stands.
fn read_then(j: &Judging<'_>, item: &Item) -> Vec<Span> {
    let mut visits = j.earlier_visits();
    let then = visits.find(|(visit, _)| by_visit(visit) == item.by);
    let windings = then
        .into_iter()
        .flat_map(|(_, assessed)| &assessed.derived.resistance);
    let mut own = windings.filter(|one| one.pair == item.pair);
    own.next()
        .map(|one| one.readings.clone())
        .unwrap_or_default()
}
