//! A reading before the current has settled: all of a core is high, and nobody waited to see it fall.

use super::truth::{Bench, shifted};
use super::{of_size, per_cent, seat};
use crate::derive::kinds::resistance::{Settling, Winding};
use crate::document::{Phrase, say};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::resistance as rules;

/// Rarer than what is the same for all readings of a day.
const RARER: f64 = 1.0;
/// What a current that has not settled usually adds, in natural logarithms.
const USUAL: f64 = 0.2;

pub(super) fn all(bench: &Bench<'_>) -> Vec<Hypothesis> {
    let cores = 0..bench.j.case.record.cores.len();
    cores.filter_map(|core| of_core(bench, core)).collect()
}

fn of_core(bench: &Bench<'_>, core: usize) -> Option<Hypothesis> {
    let of_core = || bench.windings.iter().filter(|one| one.pair.core == core);
    let first: &Winding = of_core().next()?;
    if of_core().any(|one| one.settling != Settling::Single) {
        return None;
    }
    let asked = of_core().flat_map(|one| bench.items(one));
    let starts: Vec<f64> = asked.map(|(_, item)| libm::exp(item.away) - 1.0).collect();
    let best = bench.sized(
        starts,
        |share| of_size(share, USUAL),
        |share| {
            bench.shifts(
                |_, _| true,
                |one, _, read| {
                    let high = if one.pair.core == core {
                        1.0 + share
                    } else {
                        1.0
                    };
                    read / high
                },
            )
        },
    )?;
    let name = &bench.j.case.record.cores.get(core)?.name;
    let observed = say!(
        "core {} reads {} high in each of its readings, none of which was repeated",
        Phrase::terminals(name.clone()),
        per_cent(best.size)
    );
    let seat = Seat {
        pair: None,
        ..seat(first)
    };
    let made = Hypothesis::new(&rules::RESISTANCE_UNSETTLED, seat, observed)
        .price(price::OF_A_FREE_SIZE + RARER + best.price)
        .decide("the same pair read until it stands still, each reading with its time");
    Some(shifted(made, best.shifts))
}
