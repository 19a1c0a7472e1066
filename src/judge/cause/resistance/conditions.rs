//! All windings off by the same per cent: the temperature that is written is not theirs, or the values were at 75 °C
//! already.

use super::truth::{Bench, shifted};
use super::{per_cent, seat};
use crate::derive::conductor;
use crate::derive::kinds::resistance::Winding;
use crate::document::{Quantity, say};
use crate::ground::median::median;
use crate::judge::cause::evidence::{By, Family, cost};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::resistance as rules;
use crate::judge::words::short;

/// What a temperature that was not read at the winding is off by, kelvin.
const USUAL: f64 = 10.0;
/// What two units of a bay differ by in temperature on one day, as a share of their resistance: two kelvin.
pub(super) const AS_THEY: f64 = 0.008;
/// The same of a winding and the air or the insulation beside it: three kelvin. Both common practice, no source.
const AS_THE_AIR: f64 = 0.012;
/// A winding that was in service, or stood in the sun, is warmer than what is beside it by so much, kelvin; and the most
/// that this says, in natural logarithms. Common practice, no source.
const WARMER: f64 = 6.0;
const MOST_BY_OTHERS: f64 = 6.0;
/// Few instruments correct by themselves.
const RARER: f64 = 0.5;
/// Nothing that stands in the open is as cold or as warm as this, degree Celsius.
const POSSIBLE: std::ops::RangeInclusive<f64> = -45.0..=90.0;

pub(super) fn temperature(bench: &Bench<'_>) -> Vec<Hypothesis> {
    let j = bench.j;
    let known = bench.windings.iter().find(|one| one.at_75.is_some());
    let Some((first, stated)) = known.and_then(|one| Some((one, one.temperature?))) else {
        return Vec::new();
    };
    let core = j.case.core(first.pair);
    let Some(k) = core.and_then(|core| conductor::constant(&j.case, core.metal())) else {
        return Vec::new();
    };
    let seat = Seat {
        core: None,
        pair: None,
        ..seat(first)
    };
    // Of one visit it says nothing of the readings among each other.
    let at_75 = |_: usize, family: &Family| {
        let mut items = family.items.iter();
        items.all(|item| item.by != By::Readings)
    };
    let times = |times: f64| bench.shifts(at_75, |_, _, read| read / times);
    let to_75 = (75.0 + k.k) / (stated.si + k.k);
    let mut all = Vec::new();
    let asked: Vec<f64> = bench
        .families()
        .filter(|(at, family)| at_75(*at, family))
        .flat_map(|(_, family)| &family.items)
        .map(|item| libm::exp(item.away))
        .collect();
    let measured = median(&mut asked.clone());
    let truly = |times: f64| (stated.si + k.k) * times - k.k;
    let sisters = as_the_sisters(bench, first);
    // Another temperature of the visit says what it may have been as well.
    let beside = written_beside(bench, first).map(|other| (other + k.k) / (stated.si + k.k));
    let beside = beside.filter(|times| libm::log(*times).abs() > 2.0 * AS_THE_AIR);
    let beside = beside.map(|times| (times, AS_THE_AIR));
    let known = sisters.map(|times| (times, AS_THEY)).into_iter();
    let known: Vec<(f64, f64)> = known.chain(beside).collect();
    let price_of = |times: f64| {
        let off = (truly(times) - stated.si) / USUAL;
        let free = price::OF_A_FREE_SIZE + 0.5 * off * off;
        let all = known.iter().map(|(known, scatter)| {
            let off = libm::log(times / known) / scatter;
            price::OF_A_KNOWN_SIZE + 0.5 * off * off
        });
        all.fold(free, f64::min)
    };
    let starts = asked
        .into_iter()
        .chain(known.iter().map(|(times, _)| *times));
    let best = bench.sized(starts, price_of, times);
    if let Some(best) = best.filter(|best| POSSIBLE.contains(&truly(best.size))) {
        let way = if best.size > 1.0 { "high" } else { "low" };
        let observed = say!(
            "all windings are {} {}, as if they were at {} and not at {}",
            per_cent((best.size - 1.0).abs()),
            way,
            celsius(truly(best.size)),
            Quantity::new(short(stated.si), "°C")
        );
        let mut others: Vec<f64> = written_beside(bench, first).collect();
        let unlike = |t: f64, other: f64| cost(t - other, WARMER).min(MOST_BY_OTHERS);
        let beside = median(&mut others);
        let by_others = beside.map_or(0.0, |other| {
            unlike(stated.si, other) - unlike(truly(best.size), other)
        });
        let beside = beside.filter(|_| by_others > 1.0);
        let made = Hypothesis::new(&rules::TEMPERATURE_WRONG, seat.clone(), observed)
            .price(best.price)
            .besides(by_others)
            .decide(DECIDE);
        let made = match sisters {
            Some(known) => made.remark(say!("the sisters were at {}", celsius(truly(known)))),
            None => made,
        };
        let made = match beside {
            Some(other) => made.remark(say!("beside it {} is written", celsius(other))),
            None => made,
        };
        all.push(shifted(made, best.shifts));
    }
    let Some(measured) = measured.filter(|times| *times > 1.0) else {
        return all;
    };
    let observed = say!(
        "all windings are {} high; a correction to 75 °C that is made twice makes them {} high",
        per_cent(measured - 1.0),
        per_cent(to_75 - 1.0)
    );
    let made = Hypothesis::new(&rules::ALREADY_AT_75, seat, observed)
        .price(price::OF_A_KNOWN_SIZE + RARER)
        .decide("whether the instrument shows the reading as it is, or corrected to 75 °C");
    all.extend(times(to_75).map(|shifts| shifted(made, shifts)));
    all
}

pub(super) const DECIDE: &str =
    "the temperature of the winding itself: by contact, after it has stood without current";

/// What all windings would be high by, had they been as warm as the sisters on that day; where all of these were
/// equally warm, and this unit is said to have been warmer or colder.
pub(super) fn as_the_sisters(bench: &Bench<'_>, first: &Winding) -> Option<f64> {
    let j = bench.j;
    let (core, visit) = (j.case.core(first.pair)?, j.case.visit.name());
    let sisters = j.sisters.iter();
    let each = sisters.filter_map(|one| one.to_75(core, first.pair, &visit));
    let mut each: Vec<f64> = each.collect();
    let middle = median(&mut each)?;
    let alike = |one: &f64| libm::log(one / middle).abs() < AS_THEY;
    let times = first.at_75?.si / first.cold.si / middle;
    (each.iter().all(alike) && libm::log(times).abs() > 2.0 * AS_THEY).then_some(times)
}

/// What else is written of temperature at the visit, degree Celsius: of the air, of the insulation.
fn written_beside<'a>(
    bench: &Bench<'a>,
    winding: &'a Winding,
) -> impl Iterator<Item = f64> + use<'a> {
    let visit = bench.j.case.visit;
    let tests = visit.tests.iter().enumerate();
    let tests = tests.filter(move |(at, _)| *at != winding.test);
    let of_tests = tests.filter_map(|(_, test)| test.temperature.value());
    let air = visit.ambient.value();
    air.into_iter().chain(of_tests).map(|reading| reading.si)
}

fn celsius(t: f64) -> Quantity {
    Quantity::new(short(t.round()), "°C")
}
