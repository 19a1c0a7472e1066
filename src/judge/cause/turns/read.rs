//! How a ratio was read: at the knee, where the exciting current takes part of the voltage, or with what the
//! mains induce in the leads of the primary.

use super::by_plate;
use super::marks::MOST_DROP;
use crate::derive::kinds::ratio::Turns;
use crate::derive::knee::Knee;
use crate::document::{Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Item};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::finding::unit;
use crate::judge::rules::ratio as rules;
use crate::judge::words::{quantity, rounded};
use crate::record::kinds::Test;
use crate::trade::Pair;
use std::collections::BTreeSet;

/// From this share of the knee on, the exciting current may take what a ratio is off by.
const NEAR_THE_KNEE: f64 = 0.75;
/// Millivolts that mains of a yard induce in the leads of a primary: common practice, no source.
const USUAL_PICK_UP: f64 = 0.005;
/// Where one core alone is off, its turns may be.
const OF_ONE_CORE: f64 = 1.5;

/// What an item was made of, with the voltage read on the primary.
fn read<'a>(j: &Judging<'a>, item: &Item) -> Option<(&'a Turns, f64)> {
    let mut turns = j.derived.ratio.turns.iter();
    let turns =
        turns.find(|one| one.pair == item.pair && one.readings.first() == item.at.first())?;
    let ratio = j.case.visit.tests.get(turns.test).and_then(Test::ratio)?;
    let factor = j.case.of_ratio(ratio).link_factor(j.case.core(item.pair)?);
    let connected = j.case.primary_turns() * j.case.passes() / factor;
    Some((turns, turns.per_turn?.si * connected))
}

fn knee(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    let curve = j.derived.any_curve(pair).map(|(excited, _)| excited);
    let curve = curve.filter(|excited| excited.doubtful.is_none());
    match curve.map(|excited| excited.iec) {
        Some(Knee::At(point)) => Some(point.voltage.si),
        _ => j.case.rated_knee(pair).map(|rated| rated.value.si),
    }
}

/// Near the knee the ratio reads too high, since part of the voltage drops in the winding.
pub(super) fn saturated(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let Some((at, family)) = by_plate(evidence) else {
        return Vec::new();
    };
    let high = |item: &Item| {
        let (turns, volts) = read(j, item)?;
        let share = volts * turns.ratio.si / knee(j, item.pair)?;
        let drops = (0.0..MOST_DROP).contains(&item.away);
        (share > NEAR_THE_KNEE && drops).then_some(share)
    };
    let cores = 0..j.case.record.cores.len();
    let made = cores.filter_map(|core| {
        let own = family.items.iter().filter(|item| item.pair.core == core);
        let seen: Vec<(&Item, f64)> = own.filter_map(|item| Some((item, high(item)?))).collect();
        let (first, share) = seen
            .iter()
            .max_by(|one, other| one.1.total_cmp(&other.1))
            .copied()?;
        let shift = family.items.iter().map(|item| {
            let known = seen.iter().any(|(seen, _)| std::ptr::eq(*seen, item));
            if known { item.away } else { 0.0 }
        });
        let seat = Seat::of(first);
        let observed = say!(
            "the ratio reads too high at {} of the knee, where the exciting current takes part of the voltage",
            quantity(100.0 * share, 2, unit::PERCENT)
        );
        Some(
            Hypothesis::new(&rules::VOLTS_PER_TURN, seat, observed)
                .shift(at, shift.collect())
                .price(price::OF_A_FREE_SIZE)
                .decide("the ratio once more at a third of this voltage"),
        )
    });
    made.collect()
}

/// The same millivolts on every reading of the primary, whatever was applied.
pub(super) fn pick_up(j: &Judging<'_>, evidence: &Evidence<'_>) -> Option<Hypothesis> {
    // One reading says nothing of what is on every one.
    let (at, family) = by_plate(evidence).filter(|(_, family)| family.items.len() > 1)?;
    let volts: Vec<Option<f64>> = family
        .items
        .iter()
        .map(|item| Some(read(j, item)?.1))
        .collect();
    // A reading that is high by h makes the ratio low.
    let (mut sum, mut all) = (0.0, 0.0);
    for (item, volts) in family.items.iter().zip(&volts) {
        let Some(volts) = volts else { continue };
        let weight = 1.0 / (volts * item.u * volts * item.u);
        sum += weight * volts * (1.0 - libm::exp(item.away));
        all += weight;
    }
    let common = sum / all;
    let shift = |volts: &Option<f64>| {
        let left = 1.0 - common / (*volts)?;
        (left > 0.3).then(|| libm::log(left))
    };
    let shift: Option<Vec<f64>> = volts.iter().map(shift).collect();
    let shift = shift.filter(|_| common.is_finite())?;
    let moved = family.items.iter().zip(&shift);
    let moved = moved.filter(|(item, shift)| shift.abs() > 2.0 * item.u);
    let cores: BTreeSet<usize> = moved.map(|(item, _)| item.pair.core).collect();
    let alone = if cores.len() < 2 { OF_ONE_CORE } else { 0.0 };
    let first = family.items.first()?;
    let seat = Seat::of(first).of_the_unit();
    let usual = 0.5 * (common / USUAL_PICK_UP) * (common / USUAL_PICK_UP);
    let observed = say!(
        "{} are on every reading of the primary, whatever was applied",
        Quantity::new(rounded(1e3 * common, 2), "mV")
    );
    let made = Hypothesis::new(&rules::PICK_UP, seat, observed)
        .shift(at, shift)
        .price(price::OF_A_FREE_SIZE + usual + alone)
        .decide("the voltage of the primary's leads with nothing applied");
    Some(made)
}
