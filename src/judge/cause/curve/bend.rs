//! Less iron, or fewer turns that the ratio does not show: the core saturates at a lower voltage.

use super::seat;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::say;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::finding::unit;
use crate::judge::rules::excitation as rules;
use crate::judge::words::quantity;

/// How much more worse iron may take in the weak field.
const MORE: (f64, f64) = (1.0, 1.8);
/// Shares of the voltage of then that a worn core may saturate at.
const SATURATES: (f64, f64) = (0.5, 0.99);
/// By how much a knee becomes lower, in natural logarithms: no core loses half of its iron. Common practice, no source.
const BY_AS_MUCH: f64 = 0.25;

pub(super) fn lower((at, held): (usize, &Held<'_>)) -> Vec<Hypothesis> {
    // Beside a sister it is another make of core, and no change.
    if !held.is_of_this_core() {
        return Vec::new();
    }
    let best = held.pairing.best(Shape::Bend, SATURATES);
    let Shape::Bend(times) = best.shape else {
        return Vec::new();
    };
    let observed = say!(
        "the core saturates at {} of the voltage of then, and takes the same current below",
        quantity(100.0 * times, 3, unit::PERCENT)
    );
    let lower = |observed, (times, left): (f64, f64), numbers: f64| {
        let off = libm::log(times) / BY_AS_MUCH;
        Hypothesis::new(&rules::KNEE_LOWER, seat(held), observed)
            .curve(at, left)
            .price(numbers * price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER + 0.5 * off * off)
            .decide("the curve again, up to two readings above the knee, with a second voltmeter beside")
    };
    let mut all = vec![lower(observed, (times, 0.5 * best.misfit), 1.0)];
    if let Some((times, misfit)) = worn(held, times) {
        let observed = say!(
            "the core saturates at {} of the voltage of then, and takes more current below",
            quantity(100.0 * times, 3, unit::PERCENT)
        );
        all.push(lower(observed, (times, 0.5 * misfit), 1.5));
    }
    all
}

/// The voltage that a worn core saturates at, in shares of that of then, and the misfit. The low end tells how much
/// more it takes and the bend where it lies, so that each is looked for in turn.
fn worn(held: &Held<'_>, bend: f64) -> Option<(f64, f64)> {
    let pairing = &held.pairing;
    let mut at = bend;
    let mut found = None;
    for _ in 0..ROUNDS {
        let Shape::Worn(_, more) = pairing.best(|more| Shape::Worn(at, more), MORE).shape else {
            return None;
        };
        let best = pairing.best(|times| Shape::Worn(times, more), SATURATES);
        let Shape::Worn(times, _) = best.shape else {
            return None;
        };
        at = times;
        found = Some((times, best.misfit));
    }
    found
}

const ROUNDS: u32 = 2;
