//! Leads that are in the readings, or that were taken off twice: the same ohms everywhere, much of a small winding
//! and little of a large one.

use super::truth::{Bench, shifted};
use super::{ohms, seat};
use crate::derive::kinds::resistance::{Winding, Wires};
use crate::document::say;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::resistance as rules;

/// How near leads are to what the self-check found, in natural logarithms: clips are part of them.
const NEAR: f64 = 0.1;
/// What a pair of leads usually has, ohm, and how widely that is spread, in natural logarithms.
const USUAL: (f64, f64) = (0.1, 1.0);

/// A winding that has less than nothing without its leads, in natural logarithms.
const IMPOSSIBLE: f64 = 5.0;

pub(super) fn all(bench: &Bench<'_>) -> Vec<Hypothesis> {
    left_in(bench).into_iter().chain(off_twice(bench)).collect()
}

fn everywhere(winding: &Winding) -> Seat {
    Seat {
        core: None,
        pair: None,
        ..seat(winding)
    }
}

/// What the instrument that was used found of its leads.
fn by_self_check(bench: &Bench<'_>) -> Option<f64> {
    let mut checks = bench.j.derived.self_check.iter().rev();
    checks.find_map(|check| Some(check.leads.filter(|_| check.doubtful.is_none())?.si))
}

fn left_in(bench: &Bench<'_>) -> Option<Hypothesis> {
    let may_hold = |one: &Winding| one.wires != Wires::Two;
    let first = bench.windings.iter().find(|one| may_hold(one))?;
    let own = bench.windings.iter().filter(|one| may_hold(one));
    let known = by_self_check(bench).filter(|ohm| *ohm > 0.0);
    let asked = own.flat_map(|one| {
        let items = bench.items(one);
        items.map(|(_, item)| one.cold.si * (1.0 - libm::exp(-item.away)))
    });
    let (about, spread) = known.map_or(USUAL, |known| (known, NEAR));
    let best = bench.sized(
        asked.chain(known),
        |ohm| {
            let z = libm::log(ohm / about) / spread;
            0.5 * z * z
        },
        |ohm| {
            bench.shifts(
                |_, _| true,
                |one, _, read| {
                    if may_hold(one) { read - ohm } else { read }
                },
            )
        },
    )?;
    let told = match known {
        Some(known) => say!("; the self-check found {} of leads", ohms(known)),
        None => "".into(),
    };
    let observed = say!(
        "all windings read {} high, large or small{}",
        ohms(best.size),
        told
    );
    let size = known.map_or(price::OF_A_FREE_SIZE, |_| price::OF_A_KNOWN_SIZE);
    let made = Hypothesis::new(&rules::LEADS_IN_READING, everywhere(first), observed)
        .price(size + best.price)
        .decide(
            "one winding with four wires, the voltage clips on the terminals themselves and inside the current clips",
        );
    Some(shifted(made, best.shifts))
}

fn off_twice(bench: &Bench<'_>) -> Option<Hypothesis> {
    let first = bench.windings.iter().find(|one| one.leads.is_some())?;
    let shifts = bench.shifts(
        |_, _| true,
        |one, _, read| read + one.leads.map_or(0.0, |leads| leads.si),
    )?;
    let all = bench.j.derived.resistance.iter();
    let mut own = all.filter(|one| one.leads.is_some() && one.doubtful.is_none());
    let below_nothing = own.any(|one| one.cold.si <= 0.0);
    let observed = say!(
        "all windings are {} low, large or small: the leads were taken off before they were written, and are once more \
         here",
        ohms(first.leads?.si)
    );
    let made = Hypothesis::new(&rules::LEADS_SUBTRACTED_TWICE, everywhere(first), observed)
        .price(price::OF_A_KNOWN_SIZE)
        .besides(if below_nothing { IMPOSSIBLE } else { 0.0 })
        .decide(
            "whether the instrument takes its leads off by itself before it shows a resistance",
        );
    Some(shifted(made, shifts))
}
