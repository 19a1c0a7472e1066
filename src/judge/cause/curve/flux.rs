//! Flux left in the core: the low end is raised, the knee is not.

use super::{after_dc, seat};
use crate::derive::kinds::excitation::shape::Shape;
use crate::judge::assess::Judging;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::excitation as rules;

pub(super) fn left(j: &Judging<'_>, (at, held): (usize, &Held<'_>)) -> Hypothesis {
    // How far up it shows depends on iron and history.
    let best = |power: f64| {
        let of = |times| Shape::Offset(times, power);
        0.5 * held.pairing.best(of, (1.03, 20.0)).misfit
    };
    let left = [1.5, 2.5, 3.5].map(best);
    let left = left.into_iter().fold(f64::INFINITY, f64::min);
    let observed = "the current is higher at the low end and not at the knee";
    let made = Hypothesis::new(&rules::RESIDUAL_MAGNETISM, seat(held), observed)
        .curve(at, left)
        .decide("the curve again after demagnetisation: of flux alone nothing is left then");
    match after_dc(j, held.now) {
        Some(remark) => made.price(price::OF_A_KNOWN_SIZE).remark(remark),
        None => made.price(price::OF_A_FREE_SIZE),
    }
}
