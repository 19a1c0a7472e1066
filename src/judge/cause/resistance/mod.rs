//! Why winding resistances are as they are.

mod batch;
mod clip;
mod conditions;
mod families;
mod joint;
mod leads;
mod slip;
mod then;
pub(super) mod truth;
mod unsettled;

pub(super) use batch::settle;
pub(super) use families::{by_visit, families};

use self::truth::Bench;
use super::evidence::{By, Evidence};
use super::hypothesis::{Hypothesis, Seat};
use super::told::beside;
use crate::derive::kinds::resistance::Winding;
use crate::document::{Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::unit;
use crate::judge::words::{quantity, rounded};

/// So many readings of a visit are looked at.
const MOST_READINGS: usize = 200;

/// All that is known to move winding resistances.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let bench = Bench::new(j, evidence);
    // Of a table longer than anybody reads nothing is looked for: each cause tries every reading of it.
    let readings: usize = bench.windings.iter().map(|one| one.each.len()).sum();
    if !(1..=MOST_READINGS).contains(&readings) {
        return Vec::new();
    }
    let mut all = conditions::temperature(&bench);
    all.extend(batch::all(&bench));
    all.extend(joint::all(&bench));
    all.extend(clip::all(&bench));
    all.extend(unsettled::all(&bench));
    all.extend(leads::all(&bench));
    all.extend(slip::all(&bench));
    all.extend(then::all(&bench));
    all
}

fn seat(winding: &Winding) -> Seat {
    Seat {
        section: Some(winding.test),
        core: Some(winding.pair.core),
        pair: Some(winding.pair),
        at: winding.readings.clone(),
    }
}

/// What a size is unlikely by, in natural logarithms: of a winding that it adds so much to.
fn of_size(share: f64, usual: f64) -> f64 {
    let z = libm::log1p(share) / usual;
    0.5 * z * z
}

fn name(j: &Judging<'_>, winding: &Winding) -> Phrase {
    Phrase::terminals(j.case.record.pair_text(winding.pair))
}

/// In ohm or milliohm, to two digits.
fn ohms(ohm: f64) -> Quantity {
    let unit = if ohm < 0.1 { unit::MILLIOHM } else { unit::OHM };
    quantity(ohm, 2, unit)
}

fn per_cent(share: f64) -> Quantity {
    Quantity::new(rounded(100.0 * share, 2), "%")
}

/// ` since the certificate`, ` since the visit of 2020-05-12`.
fn since(by: &By) -> Phrase {
    match by.is_of_the_unit() {
        true => say!(" since {}", beside(by)),
        false => Phrase::default(),
    }
}

#[cfg(test)]
mod tests;
