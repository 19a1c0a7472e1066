//! A closed path across the winding or round the core: the current grows by a part in proportion to the voltage.
//! How large it is tells which paths can be meant.

use super::{measured, pairs, seat};
use crate::derive::kinds::excitation::EmfBy;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::Evidence;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::finding::unit;
use crate::judge::kinds::excitation::primary_loop;
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::{quantity, short};
use crate::trade::{Burden, Pair};

/// Conductances that a closed path may have, siemens.
const CONDUCTANCES: (f64, f64) = (1e-7, 30.0);
/// A turn whose contact is good passes the most; how well its resistance is known.
const MORE_THAN_A_TURN: f64 = 1.5;
/// Leads and earth grid have some milliohm at least: a loop passes no more, siemens. Common practice, no source.
const MOST_OF_A_LOOP: f64 = 1000.0;
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
    let closed = primary_loop::closed(j, held.now.test).is_some();
    if !closed && turn.is_none_or(|most| conductance < MORE_THAN_A_TURN * most) {
        let told = made(&rules::SHORTED_TURN_SUSPECTED)
            .curve(at, 0.5 * best.misfit)
            .price(price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER)
            .graded(Grade::Fails)
            .decide("the curve again with every wire off this secondary, and the primary open at one end");
        all.push(match turn {
            Some(most) => told.remark(say!(
                "one shorted turn passes up to {}; how many there are cannot be read from the curve, the turns \
                 ratio bounds it",
                siemens(most)
            )),
            None => told,
        });
    }
    all.extend(loads(j, (at, held), conductance, 0.5 * best.misfit, &made));
    let links = links(j, pair);
    let of_a_link = of_so_many(links.len());
    all.extend(links.into_iter().filter_map(|(least, most, name)| {
        // The link's own resistance is free: how far it takes the path from a bare one.
        let range = (seen(j, held, least)[2], seen(j, held, most)[0]);
        let fit = held.pairing.best(Shape::Leak, range);
        let left = 0.5 * fit.misfit;
        let name = Phrase::terminals(name);
        let told = made(&rules::SHORT_LEFT_ON)
            .curve(at, left)
            .price(of_a_link)
            .remark(say!("that of a link across {}", name.clone()))
            .decide(say!(
                "the curve again after a look at the links of {}",
                name
            ));
        left.is_finite().then_some(told)
    }));
    all
}

/// The circuit, or a part of it, still on the winding.
fn loads(
    j: &Judging<'_>,
    (at, held): (usize, &Held<'_>),
    conductance: f64,
    left: f64,
    made: &impl Fn(&'static Rule) -> Hypothesis,
) -> Vec<Hypothesis> {
    let pair = held.pair();
    let told = || {
        made(&rules::BURDEN_LEFT_ON)
            .decide("the curve again with the links of this core's circuit open")
    };
    let burdens = j.derived.burden.iter();
    let burdens = burdens.filter(|one| one.pair.core == pair.core);
    let known: Vec<f64> = burdens.map(|one| one.z.si).collect();
    let mut all: Vec<Hypothesis> = known
        .iter()
        .map(|z| {
            let fits = seen(j, held, 1.0 / z).map(|seen| held.fit(Shape::Leak(seen)));
            let left = fits.into_iter().fold(f64::INFINITY, f64::min);
            told()
                .curve(at, left)
                .price(price::OF_A_KNOWN_SIZE)
                .remark(say!(
                    "that of the circuit as measured, {}",
                    quantity(*z, 3, unit::OHM)
                ))
        })
        .collect();
    let rated = || {
        let amperes = j.case.rated_secondary(pair)?;
        match j.case.core(pair)?.burden.value()? {
            Burden::Power { va, .. } | Burden::Range { va, .. } => {
                Some(va.si / (amperes * amperes))
            }
            Burden::Impedance { ohm, .. } => Some(ohm.si),
            Burden::Designation(_) | Burden::Connected | Burden::Shorted => None,
        }
    };
    let usual = || {
        let amperes = j.case.rated_secondary(pair)?;
        Some(USUAL_BURDEN / (amperes * amperes))
    };
    let Some(whole) = known.first().copied().or_else(rated).or_else(usual) else {
        return all;
    };
    // What nobody measured is a part of the rated burden; what an input of high impedance, or an open star point,
    // leaves of a circuit may be far less than it.
    let share = 1.0 / (conductance * whole);
    let off = match known.is_empty() {
        true => libm::log(share / USUAL_SHARE) / SPREAD_OF_SHARES,
        false => 0.0,
    };
    let (size, remark) = match share < LEFT_OVER {
        true if known.is_empty() => (
            price::OF_A_FREE_SIZE + 0.5 * off * off,
            "a part of the rated burden, or of a usual one, as a circuit has it",
        ),
        true => return all,
        false => (
            price::OF_A_FREE_SIZE + 2.0 * price::OF_A_LIST,
            "what an input of high impedance, or an open star point, leaves of a circuit",
        ),
    };
    all.push(told().curve(at, left).price(size).remark(remark));
    all
}

/// What a core without a rated burden serves, VA: a guess.
const USUAL_BURDEN: f64 = 5.0;
/// What is seen of a conductance across the terminals. Of a current that takes part of the voltage in the winding, an
/// e.m.f. was made in quadrature: how it shows depends on whether the source stands on the side of the circuit or of
/// the winding.
fn seen(j: &Judging<'_>, held: &Held<'_>, through: f64) -> [f64; 3] {
    let ohm = measured(j, held.pair()).filter(|_| held.now.emf == EmfBy::Quadrature);
    let drop = ohm.map_or(0.0, |ohm| ohm * through);
    let beside = through / (1.0 - drop * drop).max(0.01).sqrt();
    [beside, through, through / (1.0 + 2.0 * drop).sqrt()]
}

/// A circuit is most often so much of the rated burden, and scatters by so much in natural logarithms.
const USUAL_SHARE: f64 = 0.4;
const SPREAD_OF_SHARES: f64 = 0.9;
/// From so many times the circuit's impedance on, what is on the winding is no whole circuit.
const LEFT_OVER: f64 = 4.0;
/// What a link with its terminals has at most, ohm. Common practice, no source.
const OF_A_LINK: f64 = 0.5;

/// A primary that is closed is seen on every core at once, by the square of its turns.
pub(super) fn round_the_core(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let open: Vec<(usize, &Held<'_>, f64)> = evidence
        .curves
        .iter()
        .enumerate()
        .filter(|(_, held)| held.is_open())
        .filter_map(|(at, held)| Some((at, held, j.case.turns(held.pair())?)))
        .collect();
    let contrary = |held: &Held<'_>| {
        let test = j.case.visit.tests.get(held.now.test);
        let said = test.and_then(|test| j.case.visit.primary_ends_in(test));
        said.is_some() && primary_loop::closed(j, held.now.test).is_none()
    };
    let price = |held: &Held<'_>| {
        let free = price::OF_A_FREE_SIZE + OF_A_LOOP;
        match contrary(held) {
            true => free + AGAINST_THE_RECORD,
            false => free,
        }
    };
    // Seen at one core, it says what every other one has to show.
    let from = open.iter();
    let from = from.filter(|(_, held, _)| held.is_off() && held.takes_more().0);
    let made = from.filter_map(|(_, held, own)| {
        let square = own * own;
        let range = (CONDUCTANCES.0, MOST_OF_A_LOOP / square);
        let Shape::Leak(conductance) = held.pairing.best(Shape::Leak, range).shape else {
            return None;
        };
        let seat = seat(held).of_the_unit();
        let observed = say!(
            "a conductance of {} round the cores, seen on {}",
            siemens(conductance * square),
            match open.len() {
                1 => "the only one that can be compared",
                _ => "all that can be compared",
            }
        );
        let made =
            Hypothesis::new(&rules::PRIMARY_LOOP_SUSPECTED, seat, observed).price(price(held));
        let made = open.iter().fold(made, |made, (at, other, turns)| {
            let there = conductance * (own / turns) * (own / turns);
            made.curve(*at, other.fit(Shape::Leak(there)))
        });
        let made = made.decide("one core's curve again with one earth of the primary lifted under the site's safety rules");
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

/// What a link across a part of the winding, or across the whole of it, passes at least and at most, seen at the
/// pair; with the part's name. Across the whole it is met at the terminals, without the winding's own resistance.
fn links(j: &Judging<'_>, pair: Pair) -> Vec<(f64, f64, String)> {
    let (Some(core), Some(turns)) = (j.case.core(pair), j.case.turns(pair)) else {
        return Vec::new();
    };
    let link = |part: Pair| {
        let share = Some(j.case.turns(part)? / turns).filter(|share| *share > 0.0)?;
        let ohm = match part == pair {
            true => LEAST_OF_A_LINK,
            false => measured(j, part).or_else(|| Some(share * measured(j, pair)?))?,
        };
        let name = core.pair_text(part.from, part.to);
        let square = share * share;
        Some((square / (ohm + OF_A_LINK), square / ohm, name))
    };
    pairs(core, pair).filter_map(link).collect()
}

/// What one of so many may have been costs.
fn of_so_many(count: usize) -> f64 {
    price::OF_A_KNOWN_SIZE + libm::log(count.max(1) as f64)
}

const LEAST_OF_A_LINK: f64 = 0.002;

fn siemens(conductance: f64) -> Quantity {
    match conductance < 1.0 {
        true => Quantity::new(short(1e3 * conductance), "mS"),
        false => Quantity::new(short(conductance), "S"),
    }
}
