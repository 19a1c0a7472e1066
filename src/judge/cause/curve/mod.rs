//! Why a curve differs from one that it should be like.

mod bend;
mod closed_path;
mod flux;
mod iron;
mod room;
mod scale;
mod slip;
mod tap;

pub(super) use iron::settle;
pub(super) use slip::families;

use super::evidence::Evidence;
use super::held::Held;
use super::hypothesis::{Hypothesis, Seat};
use crate::derive::kinds::excitation::Excited;
use crate::judge::assess::Judging;
use crate::record::kinds::Flux;

/// All that is known to move a curve.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    let open = evidence.curves.iter().enumerate();
    for (at, held) in open.filter(|(_, held)| held.is_off()) {
        all.extend(tap::other(j, (at, held)));
        let (low, high) = held.takes_more();
        if low {
            all.extend(closed_path::across(j, evidence, (at, held)));
            all.push(flux::left(j, (at, held)));
        }
        if high {
            all.extend(bend::lower((at, held)));
        }
    }
    all.extend(iron::another(evidence));
    all.extend(scale::of_volts(j, evidence));
    all.extend(closed_path::round_the_core(j, evidence));
    all.extend(slip::all(j, evidence));
    all
}

fn seat(held: &Held<'_>) -> Seat {
    Seat {
        section: Some(held.now.test),
        core: Some(held.now.pair.core),
        pair: Some(held.now.pair),
        at: held.first_row(),
    }
}

/// What left the core magnetised before this curve, where that was the last thing that touched its flux.
fn after_dc(j: &Judging<'_>, excited: &Excited) -> Option<&'static str> {
    let core = excited.pair.core;
    let own = j.case.visit.tests.get(excited.test)?;
    let before = j.case.record.worked_before(j.case.index, own);
    let mut left = None;
    for test in before {
        match test.flux_on(core) {
            Flux::Remains => {
                left = Some(
                    "direct current was on this core before, and it was not demagnetised after",
                );
            }
            Flux::Tripped => {
                left = Some(
                    "a run of this core was cut off at voltage before, and it was not demagnetised after",
                );
            }
            Flux::Cleared => left = None,
            Flux::Measured | Flux::Untouched => {}
        }
    }
    left
}
