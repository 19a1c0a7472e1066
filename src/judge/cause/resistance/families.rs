//! Winding resistances beside those of earlier visits, of the sisters, and of each other.

use crate::derive::kindred::Kindred;
use crate::derive::kinds::Derived;
use crate::derive::kinds::resistance::{Settling, Winding, Wires};
use crate::derive::sections::chain;
use crate::derive::workings::Value;
use crate::ground::median::median;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Family, Item, Of};
use crate::judge::finding::unit;
use crate::judge::kinds::resistance::is_limit;
use crate::record::alike::like_core;
use crate::record::visit::Visit;
use crate::trade::{Pair, Purpose};

/// Standard deviations, as shares. All of them common practice, no source.
mod scatter {
    /// Of a reading that is repeated: clips, current, what the temperature moves meanwhile.
    pub const REPEATED: f64 = 0.0015;
    /// Of leads, from one pair to the next: their clips.
    pub const OF_LEADS: f64 = 0.02;
    /// Of a temperature that was read at the winding, as all windings of a day share it: one kelvin and a half.
    pub const OF_A_DAY: f64 = 0.006;
    /// Of a core among sisters: the wire of its drum, the length of its turns.
    pub const OF_A_CORE: f64 = 0.025;
    /// Of a section's share in its core among sisters: one drum of wire and the same places on the core.
    pub const OF_A_SHARE: f64 = 0.006;
    /// Of sections by their turns: the outer ones have longer turns.
    pub const BY_TURNS: f64 = 0.02;
    /// What nothing is known of: it may be anything.
    pub const FREE: f64 = 3.0;
}

/// The same of two days.
const OF_TWO_DAYS: f64 = std::f64::consts::SQRT_2 * scatter::OF_A_DAY;

/// So many earlier visits are looked at.
const VISITS: usize = 4;

/// Families of winding resistances.
pub(in crate::judge::cause) fn families(j: &Judging<'_>) -> Vec<Family> {
    let mut all: Vec<Family> = before(j).collect();
    all.push(levels(j));
    all.push(limit(j));
    for core in 0..j.case.record.cores.len() {
        let read: Vec<&Winding> = of_core(j.derived, core).collect();
        if read.len() > 1 {
            all.extend(shares(j, core, &read));
            all.push(by_turns(j, &read));
            all.push(sums(j, core, &read));
        }
    }
    all.extend(j.derived.resistance.iter().map(|one| repeats(j, one)));
    all
}

/// Windings whose resistance is told by their readings.
pub(super) fn sound(derived: &Derived) -> impl Iterator<Item = &Winding> {
    let all = derived.resistance.iter();
    let told =
        |one: &&Winding| one.doubtful.is_none() && one.settling.is_at_rest() && one.cold.si > 0.0;
    all.filter(told).filter(|one| !has_leads(one))
}

/// Two wires and nothing known of the leads: that is told of each reading, and explains all of it.
fn has_leads(one: &Winding) -> bool {
    one.leads_unknown && one.wires == Wires::Two
}

fn of_core(derived: &Derived, core: usize) -> impl Iterator<Item = &Winding> {
    sound(derived).filter(move |one| one.pair.core == core)
}

/// Relative standard uncertainty of a winding; leads that are taken off are not the same twice.
fn read(j: &Judging<'_>, winding: &Winding) -> f64 {
    let leads = winding
        .leads
        .map_or(0.0, |leads| leads.si / winding.cold.si);
    libm::hypot(shown(j, winding.cold), scatter::OF_LEADS * leads)
}

/// Relative standard uncertainty of a reading; some where its instrument is not known.
fn shown(j: &Judging<'_>, value: Value) -> f64 {
    let u = j.w.uncertainty(value);
    if u.known { u.u / value.si } else { 0.002 }
}

fn item(
    winding: &Winding,
    (observed, expected): (f64, f64),
    u: impl IntoIterator<Item = f64>,
    by: By,
) -> Option<Item> {
    let away = libm::log(observed / expected);
    let u = u.into_iter().fold(0.0, libm::hypot);
    away.is_finite().then(|| Item {
        pair: winding.pair,
        section: winding.test,
        at: winding.readings.clone(),
        observed,
        expected,
        unit: unit::OHM,
        away,
        u,
        by,
    })
}

/// At 75 °C beside each earlier visit, oldest first. What is common to a day is its temperature.
///
/// Of many visits the first and the last ones are taken. They all are held against the same readings of today, so
/// that more than two of them count for no more than two.
fn before(j: &Judging<'_>) -> impl Iterator<Item = Family> {
    let visits = j.earlier_visits();
    let told: Vec<_> = visits
        .filter(|(_, assessed)| sound(&assessed.derived).next().is_some())
        .collect();
    let (count, last) = (
        told.len().min(VISITS),
        told.len().saturating_sub(VISITS - 1),
    );
    let wider = libm::sqrt((count as f64 / 2.0).max(1.0));
    let chosen = told.into_iter().enumerate();
    let chosen = chosen.filter(move |(at, _)| *at == 0 || *at >= last);
    chosen.map(move |(_, (visit, assessed))| {
        let items = sound(j.derived).filter_map(|now| {
            let then = sound(&assessed.derived).filter(|one| one.pair == now.pair);
            let then = then.last()?;
            let values = (now.at_75?.si, then.at_75?.si);
            let each = [scatter::REPEATED, read(j, now), read(j, then)];
            let item = item(now, values, each, by_visit(visit))?;
            Some(Item {
                u: item.u * wider,
                ..item
            })
        });
        Family {
            of: Of::Resistance,
            items: items.collect(),
            shared: wider * OF_TWO_DAYS,
        }
    })
}

pub(in crate::judge::cause) fn by_visit(visit: &Visit) -> By {
    match visit.purpose() {
        Purpose::Factory => By::Certificate(visit.name()),
        _ => By::Visit(visit.name()),
    }
}

/// What a sister shows of a pair at 75 °C.
fn of_sister(j: &Judging<'_>, sister: &Kindred, pair: Pair) -> Option<f64> {
    sister.resistance_at_75(j.case.core(pair)?, pair)
}

/// One winding of each core beside the sister that it is most like.
fn levels(j: &Judging<'_>) -> Family {
    let cores = 0..j.case.record.cores.len();
    Family {
        of: Of::Resistance,
        items: cores.filter_map(|core| level(j, core)).collect(),
        shared: OF_TWO_DAYS,
    }
}

/// One winding of a core beside the sister that it is most like: where one agrees, nothing is odd.
pub(super) fn level(j: &Judging<'_>, core: usize) -> Option<Item> {
    let full = j.case.full(core);
    let whole = || of_core(j.derived, core).find(|one| Some(one.pair) == full);
    let winding = whole().or_else(|| of_core(j.derived, core).next())?;
    let own = winding.at_75?.si;
    let sisters = j
        .sisters
        .iter()
        .filter_map(|one| of_sister(j, one, winding.pair));
    let values: Vec<f64> = sisters.collect();
    let off = |value: &f64| libm::log(own / value).abs();
    let near = values
        .iter()
        .copied()
        .min_by(|a, b| off(a).total_cmp(&off(b)));
    let each = [scatter::OF_A_CORE, read(j, winding)];
    item(winding, (own, near?), each, By::Sisters(values.len()))
}

/// The winding that is furthest beyond what the plate allows. How far below it a sound one is nobody knows.
fn limit(j: &Judging<'_>) -> Family {
    let items = sound(j.derived).filter_map(|winding| {
        let plate = winding
            .plate
            .filter(|plate| is_limit(j, winding.pair, plate))?;
        let values = (winding.at_75?.si, plate.at_75.si);
        let each = [scatter::OF_A_DAY, read(j, winding)];
        item(winding, values, each, By::Limit)
    });
    let furthest = items.max_by(|one, other| one.away.total_cmp(&other.away));
    Family {
        of: Of::ResistanceLimit,
        items: furthest.into_iter().collect(),
        shared: 0.0,
    }
}

/// How a core is divided, beside the sister that it is most like. How high the core is as a whole is no matter here.
fn shares(j: &Judging<'_>, core: usize, windings: &[&Winding]) -> Option<Family> {
    let count = j.sisters.iter().filter(|sister| {
        let own = j.case.record.cores.get(core);
        own.is_some_and(|own| like_core(own, &sister.cores).is_some())
    });
    let count = count.count();
    let families = j.sisters.iter().map(|sister| {
        let items = windings.iter().filter_map(|winding| {
            let values = (winding.at_75?.si, of_sister(j, sister, winding.pair)?);
            let own = read(j, winding);
            let each = [scatter::OF_A_SHARE, scatter::REPEATED, own, own];
            item(winding, values, each, By::Sisters(count))
        });
        let items: Vec<Item> = items.collect();
        Family {
            of: Of::Resistance,
            items,
            shared: scatter::FREE,
        }
    });
    let families = families.filter(|family| family.items.len() > 1);
    let costs = families.map(|family| (family.cost(&[]), family));
    let (_, nearest) = costs.min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(nearest)
}

/// Sections of a core by their turns.
fn by_turns(j: &Judging<'_>, windings: &[&Winding]) -> Family {
    let per_turn = |one: &&&Winding| Some(one.cold.si / j.case.turns(one.pair)?);
    let mut all: Vec<f64> = windings.iter().filter_map(|one| per_turn(&one)).collect();
    let usual = median(&mut all);
    let items = windings.iter().filter_map(|winding| {
        let expected = usual? * j.case.turns(winding.pair)?;
        let each = [scatter::BY_TURNS, read(j, winding)];
        item(winding, (winding.cold.si, expected), each, By::Readings)
    });
    Family {
        of: Of::Resistance,
        items: items.collect(),
        shared: scatter::FREE,
    }
}

/// The sections of a pair that were read with it.
pub(super) fn sections<'a>(
    windings: impl Iterator<Item = &'a Winding>,
    whole: &Winding,
) -> Vec<&'a Winding> {
    let of_test = windings.filter(|one| one.test == whole.test);
    chain(whole.pair, of_test.map(|one| (one.pair, one)))
}

/// A whole winding beside the sum of its sections.
fn sums(j: &Judging<'_>, core: usize, windings: &[&Winding]) -> Family {
    let full = j.case.full(core);
    let wholes = windings.iter().filter(|one| Some(one.pair) == full);
    let items = wholes.filter_map(|whole| {
        let sections = sections(windings.iter().copied(), whole);
        let sum: f64 = sections.iter().map(|one| one.cold.si).sum();
        let own = sections.iter().map(|one| read(j, one) * one.cold.si / sum);
        let each = [scatter::REPEATED, read(j, whole)];
        let each = each.into_iter().chain(own);
        item(whole, (whole.cold.si, sum), each, By::Readings)
    });
    Family {
        of: Of::ResistanceSum,
        items: items.collect(),
        shared: 0.0,
    }
}

/// Readings of one pair beside each other, where they neither come to rest nor drift.
fn repeats(j: &Judging<'_>, winding: &Winding) -> Family {
    let odd = winding.doubtful.is_none() && winding.settling == Settling::Unsteady;
    let each = winding.each.iter().filter(|_| odd);
    let mut values: Vec<f64> = each.clone().map(|one| one.si).collect();
    let usual = median(&mut values).filter(|_| values.len() > 2);
    let items = each.zip(&winding.readings).filter_map(|(one, at)| {
        let own = [scatter::REPEATED, shown(j, *one)];
        let mut item = item(winding, (one.si, usual?), own, By::Readings)?;
        item.at = vec![*at];
        Some(item)
    });
    Family {
        of: Of::ResistanceRepeated,
        items: items.collect(),
        shared: 0.0,
    }
}
