//! Less iron, or fewer turns that the ratio does not show: the core saturates at a lower voltage.

use super::seat;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::say;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::finding::unit;
use crate::judge::rules::excitation as rules;
use crate::judge::words::quantity;

/// Steps of the current that worse iron takes more of.
const MORE: [f64; 8] = [1.0, 1.06, 1.13, 1.2, 1.3, 1.4, 1.55, 1.8];
/// Shares of the voltage of then that a worn core may saturate at.
const SATURATES: (f64, f64) = (0.5, 0.99);

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
    let lower = |observed, left: f64, numbers: f64| {
        Hypothesis::new(&rules::KNEE_LOWER, seat(held), observed)
            .curve(at, left)
            .price(numbers * price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER)
            .decide("the curve again, up to two readings above the knee, with a second voltmeter beside")
    };
    let mut all = vec![lower(observed, 0.5 * best.misfit, 1.0)];
    let worn = MORE.map(|more| {
        held.pairing
            .best(|times| Shape::Worn(times, more), SATURATES)
    });
    let worn = worn
        .into_iter()
        .min_by(|one, other| one.misfit.total_cmp(&other.misfit));
    if let Some((Shape::Worn(times, _), misfit)) = worn.map(|fit| (fit.shape, fit.misfit)) {
        let observed = say!(
            "the core saturates at {} of the voltage of then, and takes more current below",
            quantity(100.0 * times, 3, unit::PERCENT)
        );
        all.push(lower(observed, 0.5 * misfit, 1.5));
    }
    all
}
