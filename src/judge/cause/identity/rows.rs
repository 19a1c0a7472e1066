//! Two rows of one table, or two curves, that stand in each other's place, while all other tests stand right: a slip
//! at the desk or of the leads, and nothing of the transformer.

use super::cores;
use crate::derive::kinds::burden::Loop;
use crate::derive::kinds::ratio::Turns;
use crate::derive::kinds::resistance::Winding;
use crate::document::{Phrase, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Item, Of};
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::resistance::truth::{Bench, shifted};
use crate::judge::cause::turns::mostly;
use crate::judge::rules::{Rule, burden, excitation, ratio, resistance};
use crate::trade::Pair;

/// Rows that differ by less, in natural logarithms, tell nothing of their order.
const UNLIKE: f64 = 0.01;

/// Each of two circuits agrees in the other's place within so many scatters. A convention of this project.
const AGREES: f64 = 3.0;
/// In longer tables no rows are tried.
const MOST_ROWS: usize = 40;
/// Where no other test tells, wires that are exchanged in the box are named first, since more rests on them: in natural
/// logarithms.
const ALONE: f64 = 1.0;

pub(super) fn exchanged(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let mut all = resistances(j, evidence);
    all.extend(ratios(j, evidence));
    all.extend(curves(j, evidence));
    all.extend(circuits(j, evidence));
    all
}

/// One after the other with each that stands behind it.
fn pairs<T>(all: &[T]) -> impl Iterator<Item = (&T, &T)> {
    let one = all.iter().enumerate();
    one.flat_map(|(at, one)| all.iter().skip(at + 1).map(move |other| (one, other)))
}

/// A reading of a pair in a section.
type Place = (usize, Pair, Vec<Span>);

fn made(
    j: &Judging<'_>,
    rule: &'static Rule,
    (one, other): (&Place, &Place),
    decide: &'static str,
) -> Hypothesis {
    let name = |pair: Pair| Phrase::terminals(j.case.record.pair_text(pair));
    let of_one_core = one.1.core == other.1.core;
    let seat = Seat {
        section: Some(one.0),
        core: of_one_core.then_some(one.1.core),
        pair: None,
        at: one.2.iter().chain(&other.2).copied().collect(),
    };
    let observed = say!(
        "{} and {}: each agrees in the other's place",
        name(one.1),
        name(other.1)
    );
    Hypothesis::new(rule, seat, observed)
        .price(price::OF_A_LIST + ALONE)
        .decide(decide)
}

const OF_A_SHEET: &str = "the sheet that was written at the test, or one of the two again";

fn resistances(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let bench = Bench::new(j, evidence);
    if bench.windings.len() > MOST_ROWS {
        return Vec::new();
    }
    let off = |(_, item): (usize, &Item)| item.away.abs() > 2.0 * item.u;
    // Where nothing is known of one of the two, the other tells what stands in its row.
    let both = pairs(&bench.windings).filter(|(one, other)| {
        let unlike = libm::log(one.cold.si / other.cold.si).abs();
        let told = bench.items(one).any(off) || bench.items(other).any(off);
        told && one.test == other.test && one.pair != other.pair && unlike > UNLIKE
    });
    let made = both.filter_map(|(one, other)| {
        let own = |winding: &Winding| (winding.test, winding.pair);
        let shifts = bench.shifts(
            |_, _| true,
            |winding, _, read| {
                let times = match own(winding) {
                    this if this == own(one) => other.cold.si / one.cold.si,
                    this if this == own(other) => one.cold.si / other.cold.si,
                    _ => 1.0,
                };
                read * times
            },
        )?;
        let place = |one: &Winding| (one.test, one.pair, one.readings.clone());
        let rule = &resistance::RESISTANCE_ROWS_EXCHANGED;
        let made = made(j, rule, (&place(one), &place(other)), OF_A_SHEET);
        Some(shifted(made, shifts))
    });
    made.collect()
}

fn ratios(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let families = evidence.families_of(Of::Turns);
    let off: Vec<&Item> = families
        .flat_map(|(_, family)| &family.items)
        .filter(|item| item.away.abs() > 2.0 * item.u)
        .collect();
    let turns = j.derived.ratio.turns.iter();
    let suspects = turns.filter(|one| {
        let first = one.readings.first();
        one.doubtful.is_none() && off.iter().any(|item| item.at.first() == first)
    });
    let suspects: Vec<_> = suspects.collect();
    let both = pairs(&suspects).filter(|(one, other)| {
        let unlike = libm::log(one.ratio.si / other.ratio.si).abs();
        one.test == other.test && one.pair != other.pair && unlike > UNLIKE
    });
    let made = both.map(|(one, other)| {
        let size = libm::log(one.ratio.si / other.ratio.si);
        let by = |item: &Item| match item.at.first() {
            at if at == one.readings.first() => size,
            at if at == other.readings.first() => -size,
            _ => 0.0,
        };
        let rule = &ratio::RATIO_ROWS_EXCHANGED;
        let place = |one: &Turns| (one.test, one.pair, one.readings.clone());
        made(j, rule, (&place(one), &place(other)), OF_A_SHEET).moves(evidence, Of::Turns, by)
    });
    made.collect()
}

fn curves(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let open = evidence.curves.iter().enumerate();
    let open: Vec<_> = open.filter(|(_, held)| held.is_off()).collect();
    let both = pairs(&open).filter(|(one, other)| one.1.pair() != other.1.pair());
    let made = both.filter_map(|((at, one), (other_at, other))| {
        let fit = |held: &Held<'_>, pair| cores::fit(j, (j.w, held.curve), &held.by, pair);
        let (left, right) = (fit(one, other.pair())?, fit(other, one.pair())?);
        let place = |held: &Held<'_>| (held.now.test, held.pair(), held.first_row());
        let decide = "one of the two curves again, up to a third of its knee";
        let rule = &excitation::CURVES_EXCHANGED;
        let made = made(j, rule, (&place(one), &place(other)), decide);
        let left = mostly(left, one.same());
        let right = mostly(right, other.same());
        Some(made.curve(*at, left).curve(*other_at, right))
    });
    made.collect()
}

fn circuits(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let of = [Of::Circuit, Of::Reactance];
    let families = of.into_iter().flat_map(|of| evidence.families_of(of));
    let off: Vec<&Item> = families
        .flat_map(|(_, family)| &family.items)
        .filter(|item| item.away.abs() > 2.0 * item.u)
        .collect();
    let suspects = j.derived.burden.iter();
    let suspects = suspects.filter(|one| off.iter().any(|item| item.at == one.readings));
    let suspects: Vec<&Loop> = suspects.take(MOST_ROWS).collect();
    let both = pairs(&suspects).filter(|(one, other)| {
        let unlike = libm::log(one.z.si / other.z.si).abs();
        one.test == other.test && one.pair != other.pair && unlike > UNLIKE
    });
    let made = both.filter_map(|(one, other)| {
        let shift = |item: &Item, part: fn(&Loop) -> f64| {
            let size = libm::log(part(one) / part(other));
            match &item.at {
                at if *at == one.readings => size,
                at if *at == other.readings => -size,
                _ => 0.0,
            }
        };
        // Without an angle on both their impedances stand for them.
        let r: fn(&Loop) -> f64 = |one| one.r.map_or(one.z.si, |r| r.si);
        let x: fn(&Loop) -> f64 = |one| one.x.map_or(one.z.si, |x| x.si);
        let agrees = |of: Of, part: fn(&Loop) -> f64| {
            let items = evidence
                .families_of(of)
                .flat_map(|(_, family)| &family.items);
            let mut moved = items.map(|item| (item, shift(item, part)));
            moved.all(|(item, shift)| shift == 0.0 || (item.away - shift).abs() < AGREES * item.u)
        };
        if !agrees(Of::Circuit, r) || !agrees(Of::Reactance, x) {
            return None;
        }
        let rule = &burden::CIRCUIT_ROWS_EXCHANGED;
        let place = |one: &Loop| (one.test, one.pair, one.readings.clone());
        let beyond = |item: &Item| shift(item, |one| one.z.si).clamp(0.0, item.away.max(0.0));
        let made = made(j, rule, (&place(one), &place(other)), OF_A_SHEET)
            .moves(evidence, Of::Circuit, |item| shift(item, r))
            .moves(evidence, Of::Reactance, |item| shift(item, x))
            .moves(evidence, Of::Burden, beyond);
        Some(made)
    });
    made.collect()
}
