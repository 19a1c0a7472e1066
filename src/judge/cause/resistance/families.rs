//! Winding resistances beside those of an earlier visit, of the sisters, and of each other.

use crate::derive::kinds::Derived;
use crate::derive::kinds::resistance::Winding;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Family, Item, Of};
use crate::judge::cause::median;
use crate::judge::finding::unit;
use crate::record::alike::like_core;
use crate::record::visit::Visit;
use crate::trade::{Pair, Purpose};

/// Between two visits: repeatability, and the temperatures of both days, of which all windings have the same.
const BETWEEN_DAYS: (f64, f64) = (0.002, 0.004);
/// Between sisters: wire and length of turn, and what their temperatures differ by.
const BETWEEN_SISTERS: (f64, f64) = (0.025, 0.01);
/// Of sections beside the whole: wire of one drum on one core, turns of about one length.
const BETWEEN_SECTIONS: f64 = 0.02;

/// Families of winding resistances.
pub(in crate::judge::cause) fn families(j: &Judging<'_>) -> Vec<Family> {
    vec![before(j), sisters(j), sections(j)]
}

fn sound(derived: &Derived) -> impl Iterator<Item = &Winding> {
    let all = derived.resistance.iter();
    all.filter(|one| one.doubtful.is_none() && one.settling.is_at_rest())
}

fn item(
    j: &Judging<'_>,
    winding: &Winding,
    observed: crate::derive::workings::Value,
    expected: f64,
    scatter: f64,
    by: By,
) -> Option<Item> {
    let away = libm::log(observed.si / expected);
    let u = j.w.uncertainty(observed);
    let read = if u.known { u.u / observed.si } else { 0.003 };
    away.is_finite().then(|| Item {
        pair: winding.pair,
        section: winding.test,
        at: winding.readings.clone(),
        observed: observed.si,
        expected,
        unit: unit::OHM,
        away,
        u: libm::hypot(scatter, read),
        by,
    })
}

/// At 75 °C beside the last earlier visit that read the same.
fn before(j: &Judging<'_>) -> Family {
    let (each, shared) = BETWEEN_DAYS;
    let items = sound(j.derived).filter_map(|winding| {
        let at_75 = winding.at_75?;
        let visits = j.case.record.visits.iter().zip(j.earlier).rev();
        let mut then = visits.filter_map(|(visit, assessed)| {
            let same = sound(&assessed.derived).find(|one| one.pair == winding.pair)?;
            Some((visit, same.at_75?.si))
        });
        let (visit, then) = then.next()?;
        item(j, winding, at_75, then, each, by_visit(visit))
    });
    Family {
        of: Of::Resistance,
        items: items.collect(),
        shared,
    }
}

pub(in crate::judge::cause) fn by_visit(visit: &Visit) -> By {
    match visit.purpose() {
        Purpose::Factory => By::Certificate(visit.name()),
        _ => By::Visit(visit.name()),
    }
}

/// At 75 °C beside the median of the sisters.
fn sisters(j: &Judging<'_>) -> Family {
    let (each, shared) = BETWEEN_SISTERS;
    let items = sound(j.derived).filter_map(|winding| {
        let at_75 = winding.at_75?;
        let core = j.case.core(winding.pair)?;
        let values = j.sisters.iter().filter_map(|sister| {
            let core = like_core(core, &sister.cores)?;
            let pair = Pair {
                core,
                ..winding.pair
            };
            let mut shown = sister.on_site();
            shown.find_map(|shown| shown.resistance(pair)?.at_75)
        });
        let mut values: Vec<f64> = values.collect();
        let count = values.len();
        item(
            j,
            winding,
            at_75,
            median(&mut values)?,
            each,
            By::Sisters(count),
        )
    });
    Family {
        of: Of::Resistance,
        items: items.collect(),
        shared,
    }
}

/// Sections of a core beside each other, by their turns: each against what the others make of it.
fn sections(j: &Judging<'_>) -> Family {
    let all: Vec<&Winding> = sound(j.derived).collect();
    let items = all.iter().filter_map(|winding| {
        let per_turn = |one: &Winding| Some(one.cold.si / j.case.turns(one.pair)?);
        let of_core = all
            .iter()
            .filter(|one| one.pair.core == winding.pair.core && one.pair != winding.pair);
        let mut others: Vec<f64> = of_core.filter_map(|one| per_turn(one)).collect();
        let turns = j.case.turns(winding.pair)?;
        let expected = median(&mut others)? * turns;
        item(
            j,
            winding,
            winding.cold,
            expected,
            BETWEEN_SECTIONS,
            By::Readings,
        )
    });
    Family {
        of: Of::Resistance,
        items: items.collect(),
        shared: 0.0,
    }
}
