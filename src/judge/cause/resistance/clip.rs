//! A clip that sits badly: one pair reads high, which neither its sections nor a repetition confirm.

use super::truth::{Bench, leads, shifted};
use super::{name, of_size, per_cent, seat};
use crate::derive::kinds::resistance::Winding;
use crate::document::say;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::resistance as rules;

/// Rarer than what is the same for all readings of a day.
const RARER: f64 = 0.5;
/// What a clip usually adds, in natural logarithms.
const USUAL: f64 = 0.3;
/// What the scatter of each further reading costs.
const OF_A_REPETITION: f64 = 0.3;
/// A clip that moves scatters by such a part of what it adds; one that did not is unlikely.
const MOVES: f64 = 0.15;
const STANDS_STILL: f64 = 3.0;

pub(super) fn all(bench: &Bench<'_>) -> Vec<Hypothesis> {
    let all = bench.windings.iter();
    all.filter_map(|one| at_pair(bench, one)).collect()
}

fn at_pair(bench: &Bench<'_>, winding: &Winding) -> Option<Hypothesis> {
    let judged = winding.settling.judged(winding.each.len());
    let read = winding.each.get(judged)?;
    let count = read.len() as f64;
    let mean = winding.cold.si;
    let nets = read.iter().map(|one| one.si - leads(winding));
    let least = nets.fold(f64::INFINITY, f64::min);
    let asked = bench
        .items(winding)
        .map(|(_, item)| libm::exp(item.away) - 1.0);
    let starts = asked.chain([mean / least - 1.0, 1.05 * mean / least - 1.0]);
    let scatter = winding.scatter.unwrap_or(0.0) / 100.0;
    let still = |share: f64| {
        let moved = (scatter / (MOVES * share)).min(1.0);
        if count > 1.0 {
            STANDS_STILL * (1.0 - moved)
        } else {
            0.0
        }
    };
    let best = bench.sized(
        starts,
        |share| of_size(share, USUAL) + still(share),
        |share| {
            bench.shifts(
                |_, _| true,
                |one, _, read| {
                    let own = (one.test, one.pair) == (winding.test, winding.pair);
                    if own { mean / (1.0 + share) } else { read }
                },
            )
        },
    )?;
    // A joint stands still; one reading cannot tell.
    let mut others = bench.windings.iter();
    let others = others.any(|one| one.pair.core == winding.pair.core && one.pair != winding.pair);
    let observed = say!(
        "{} reads {} high, {}",
        name(bench.j, winding),
        per_cent(best.size),
        match others || read.len() > 1 {
            true => "and no other reading does",
            false => "and one reading cannot tell a clip from a joint",
        }
    );
    let made = Hypothesis::new(&rules::LOOSE_CLIP, seat(winding), observed)
        .price(price::OF_A_FREE_SIZE + RARER + OF_A_REPETITION * (count - 1.0) + best.price)
        .decide(
            "the same pair again, with the current and the voltage clips moved to clean metal: a joint stays, a clip \
             does not",
        );
    Some(shifted(made, best.shifts))
}
