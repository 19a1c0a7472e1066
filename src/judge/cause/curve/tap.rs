//! The leads on another pair of the same winding: the curve moves along both axes.

use super::seat;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::Hypothesis;
use crate::judge::cause::path::pairs;
use crate::judge::rules::excitation as rules;
use crate::trade::Pair;

pub(super) fn other(j: &Judging<'_>, (at, held): (usize, &Held<'_>)) -> Vec<Hypothesis> {
    let own = held.pair();
    let Some(core) = j.case.core(own) else {
        return Vec::new();
    };
    let Some(turns) = core.nominal_ratio(own.from, own.to) else {
        return Vec::new();
    };
    let of = |pair: Pair| {
        let share = core.nominal_ratio(pair.from, pair.to)? / turns;
        if share <= 0.0 || share.is_nan() {
            return None;
        }
        let name = Phrase::terminals(core.pair_text(pair.from, pair.to));
        let observed = say!("the curve is that of {}", name.clone());
        let made = Hypothesis::new(&rules::CURVE_OF_ANOTHER_TAP, seat(held), observed)
            .curve(at, held.fit(Shape::Turns(share)))
            .decide(say!(
                "the voltage across {} while {} is driven: the leads are where the higher one is",
                name,
                Phrase::terminals(core.pair_text(own.from, own.to))
            ));
        Some(made)
    };
    let others = pairs(core, own).filter(|pair| *pair != own);
    others.filter_map(of).collect()
}
