//! Less iron, or fewer turns that the ratio does not show: the core saturates at a lower voltage.

use super::seat;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::say;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::finding::unit;
use crate::judge::rules::excitation as rules;
use crate::judge::words::quantity;

pub(super) fn lower((at, held): (usize, &Held<'_>)) -> Option<Hypothesis> {
    let best = held.pairing.best(Shape::Bend, (0.7, 0.985));
    let Shape::Bend(times) = best.shape else {
        return None;
    };
    let observed = say!(
        "the core saturates at {} of the voltage of then, and takes the same current below",
        quantity(100.0 * times, 3, unit::PERCENT)
    );
    let made = Hypothesis::new(&rules::KNEE_LOWER, seat(held), observed)
        .curve(at, 0.5 * best.misfit)
        .price(price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER)
        .decide(
            "the curve again, up to two readings above the knee, with a second voltmeter beside",
        );
    // Beside a sister it is another make of core, and no change.
    held.is_of_this_core().then_some(made)
}
