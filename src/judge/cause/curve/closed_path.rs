//! A closed path across the winding or round the core: the current grows by a part in proportion to the voltage.
//! How large it is tells which paths can be meant.

use super::{measured, pairs, seat};
use crate::derive::kinds::excitation::EmfBy;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::Evidence;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::finding::unit;
use crate::judge::kinds::excitation::primary_loop;
use crate::judge::rules::excitation as rules;
use crate::judge::words::{quantity, short};
use crate::trade::Pair;

/// Conductances that a closed path may have, siemens.
const CONDUCTANCES: (f64, f64) = (1e-7, 30.0);
/// A turn whose contact is good passes the most; how well its resistance is known.
const MORE_THAN_A_TURN: f64 = 1.5;
const OF_A_LOOP: f64 = 0.5;
/// The record says that an end of the primary was open: somebody may have closed it since.
const AGAINST_THE_RECORD: f64 = 5.0;

/// Paths across the driven winding, or a turn of it.
pub(super) fn across(j: &Judging<'_>, (at, held): (usize, &Held<'_>)) -> Vec<Hypothesis> {
    let pair = held.pair();
    let best = held.pairing.best(Shape::Leak, CONDUCTANCES);
    let Shape::Leak(conductance) = best.shape else {
        return Vec::new();
    };
    let size = say!(
        "a conductance of {} across the winding, all along the curve",
        siemens(conductance)
    );
    let made = |rule| Hypothesis::new(rule, seat(held), size.clone());
    let mut all = Vec::new();
    let turn = of_a_turn(j, pair);
    // Where both ends of the primary are said to be earthed, that is told of the unit as a whole.
    let closed = primary_loop::closed(j).is_some();
    if !closed && turn.is_none_or(|most| conductance < MORE_THAN_A_TURN * most) {
        let told = made(&rules::SHORTED_TURN_SUSPECTED)
            .curve(at, 0.5 * best.misfit)
            .price(price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER)
            .graded(Grade::Fails);
        all.push(match turn {
            Some(most) => told.remark(say!(
                "one shorted turn passes up to {}; how many there are cannot be read from the curve, the turns \
                 ratio bounds it",
                siemens(most)
            )),
            None => told,
        });
    }
    if turn.is_none_or(|most| conductance >= most / MORE_THAN_A_TURN) {
        all.push(
            made(&rules::SHORT_LEFT_ON)
                .curve(at, 0.5 * best.misfit)
                .price(price::OF_A_FREE_SIZE + price::OF_A_LIST),
        );
    }
    // Of a current that takes part of the voltage in the winding, an e.m.f. was made in quadrature.
    let ohm = measured(j, pair).filter(|_| held.now.emf == EmfBy::Quadrature);
    let seen = |through: f64| {
        let drop = ohm.map_or(0.0, |ohm| ohm * through);
        through / (1.0 - drop * drop).max(0.01).sqrt()
    };
    let burdens = j.derived.burden.iter();
    let burdens = burdens.filter(|one| one.pair.core == pair.core);
    all.extend(burdens.map(|burden| {
        let left = held.fit(Shape::Leak(seen(1.0 / burden.z.si)));
        made(&rules::BURDEN_LEFT_ON)
            .curve(at, left)
            .price(price::OF_A_KNOWN_SIZE)
            .remark(say!(
                "that of the circuit as measured, {}",
                quantity(burden.z.si, 3, unit::OHM)
            ))
            .decide("the curve again with the links of this core's circuit open")
    }));
    all.extend(links(j, pair).into_iter().map(|(through, name)| {
        let left = held.fit(Shape::Leak(seen(through)));
        let name = Phrase::terminals(name);
        made(&rules::SHORT_LEFT_ON)
            .curve(at, left)
            .price(price::OF_A_LIST)
            .remark(say!("that of a link across {}", name))
    }));
    all
}

/// A primary that is closed is seen on every core at once, by the square of its turns.
pub(super) fn round_the_core(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let open: Vec<(usize, &Held<'_>, f64)> = evidence
        .curves
        .iter()
        .enumerate()
        .filter(|(_, held)| held.is_open())
        .filter_map(|(at, held)| Some((at, held, j.case.turns(held.pair())?)))
        .collect();
    let contrary = j.case.visit.primary_ends().is_some() && primary_loop::closed(j).is_none();
    let price = price::OF_A_FREE_SIZE + OF_A_LOOP;
    let price = if contrary {
        price + AGAINST_THE_RECORD
    } else {
        price
    };
    // Seen at one core, it says what every other one has to show.
    let from = open.iter().filter(|(_, held, _)| held.is_off());
    let made = from.filter_map(|(_, held, own)| {
        let Shape::Leak(conductance) = held.pairing.best(Shape::Leak, CONDUCTANCES).shape else {
            return None;
        };
        let seat = Seat {
            core: None,
            pair: None,
            ..seat(held)
        };
        let observed = say!(
            "a conductance of {} round the cores, seen on {}",
            siemens(conductance * own * own),
            match open.len() {
                1 => "the only one that can be compared",
                _ => "all that can be compared",
            }
        );
        let made = Hypothesis::new(&rules::PRIMARY_LOOP_SUSPECTED, seat, observed).price(price);
        let made = open.iter().fold(made, |made, (at, other, turns)| {
            let there = conductance * (own / turns) * (own / turns);
            made.curve(*at, other.fit(Shape::Leak(there)))
        });
        Some(made.remark(match open.len() {
            1 => "no other core is held against an earlier curve, which would tell them apart",
            _ => "the cores show it by the square of their turns",
        }))
    });
    made.collect()
}

/// What one shorted turn of a winding passes at most, seen at its terminals: of N turns with R ohm in all, a turn
/// has R/N, which is N R at the terminals.
fn of_a_turn(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    let stated = || {
        let core = j.case.core(pair).filter(|core| core.is_full(pair))?;
        core.resistance.value().map(|stated| stated.value.si)
    };
    let ohm = measured(j, pair).or_else(stated)?;
    Some(1.0 / (j.case.turns(pair)? * ohm))
}

/// What a link across a part of the winding passes, seen at the pair, with the part's name.
fn links(j: &Judging<'_>, pair: Pair) -> Vec<(f64, String)> {
    let (Some(core), Some(turns)) = (j.case.core(pair), j.case.turns(pair)) else {
        return Vec::new();
    };
    let link = |part: Pair| {
        let share = j.case.turns(part)? / turns;
        let through = share * share / measured(j, part)?;
        Some((through, core.pair_text(part.from, part.to)))
    };
    let parts = pairs(core, pair).filter(|part| *part != pair);
    parts.filter_map(link).collect()
}

fn siemens(conductance: f64) -> Quantity {
    match conductance < 1.0 {
        true => Quantity::new(short(1e3 * conductance), "mS"),
        false => Quantity::new(short(conductance), "S"),
    }
}
