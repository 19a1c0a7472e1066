//! Winding resistances that no winding of these turns has, and temperatures that no winding at rest has.

use super::Fenced;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};
use crate::record::check::{implausible_plate, turns};
use crate::record::core::Core;
use crate::record::kinds::resistance::ResistanceRow;
use crate::record::kinds::{Test, TestKind};
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::threshold;
use crate::trade::Pair;

/// Rows that are read with one current, as a share: convention of this project.
const SAME_CURRENT: f64 = 0.02;

/// A resistance and where it was read.
pub(in crate::record) struct Read {
    pub ohm: f64,
    pub at: Span,
}

/// As shown, or by voltage and current: then it is the voltage that is taken out.
pub(in crate::record) fn read(row: &ResistanceRow) -> Option<Read> {
    if let Some(Located { value, span }) = row.resistance.get() {
        return Some(Read {
            ohm: value.si,
            at: *span,
        });
    }
    let (volts, amps) = (row.voltage.get()?, row.current.get()?);
    let ohm = volts.value.si / amps.value.si;
    let at = volts.span;
    ohm.is_finite().then_some(Read { ohm, at })
}

/// Rows of resistance that are a power of ten off what the winding has.
pub(super) fn fence(record: &Record, odd: &[Option<f64>], visit: &Visit, out: &mut Vec<Fenced>) {
    // What a plate is wrong by, no row is.
    let is_odd = |core: usize| odd.get(core).is_some_and(Option::is_some);
    for (test, _, resistance) in visit.of(Test::resistance) {
        for row in &resistance.rows {
            let told = || {
                let (pair, read) = (row.on?.value, read(row)?);
                let core = record.cores.get(pair.core).filter(|_| !is_odd(pair.core))?;
                let exchanged = exchanged(row, &resistance.rows, |other| is_right(record, other));
                let fits = |ohm: &f64| fits(record, core, pair, *ohm);
                if let Some(meant) = exchanged.filter(|meant| fits(meant) == Some(true))
                    && fits(&read.ohm) == Some(false)
                    && !is_of_another(record, core, pair, read.ohm)
                {
                    let (ohm, meant) = (shown(read.ohm), shown(meant));
                    let told = words::resistance_exchanged(&ohm, &meant, read.at);
                    return Some(Fenced::reading(test, read.at, told));
                }
                let told = match stated(record, core, pair) {
                    Some((plate, span)) => {
                        let times = slip(read.ohm / plate, shares(core, pair))?;
                        let ohm = shown(read.ohm);
                        words::resistance_implausible(&ohm, &shown(plate), times, read.at, span)
                    }
                    None => {
                        let pair = pair.ascending();
                        let turns = turns(&record.plate, core, (pair.from, pair.to))?;
                        let meant = usual_by_thousand(read.ohm, turns)?;
                        let less = meant < read.ohm;
                        let (ohm, meant) = (shown(read.ohm), shown(meant));
                        words::resistance_of_turns(&ohm, turns, less, &meant, read.at)
                    }
                };
                Some(Fenced::reading(test, read.at, told))
            };
            out.extend(told());
        }
    }
}

/// The resistance by voltage and current the other way round, where that current is one of the section: what was
/// set for one row was set for others. One that fits as it was written was not written the other way round.
fn exchanged(
    row: &ResistanceRow,
    rows: &[ResistanceRow],
    is_right: impl Fn(&ResistanceRow) -> bool,
) -> Option<f64> {
    let both = |row: &ResistanceRow| Some((row.voltage.get()?.value, row.current.get()?.value));
    let turned = |row: &ResistanceRow| {
        let (volts, amps) = both(row)?;
        let unit = |one: Quantity| one.si / one.number;
        Some((amps.number * unit(volts), volts.number * unit(amps)))
    };
    let (volts, amps) = turned(row)?;
    let near = |other: f64| (amps / other - 1.0).abs() < SAME_CURRENT;
    let mut others = rows.iter().filter(|other| other.span != row.span);
    let set = others.any(|other| {
        let written = both(other).map(|(_, amps)| amps.si);
        let meant = turned(other).filter(|_| !is_right(other));
        let meant = meant.map(|(_, amps)| amps);
        written.into_iter().chain(meant).any(near)
    });
    (set && amps > 0.0).then_some(volts / amps)
}

/// Whether what was read in a row may be as it stands there.
fn is_right(record: &Record, row: &ResistanceRow) -> bool {
    let right = || {
        let (pair, read) = (row.on?.value, read(row)?);
        fits(record, record.cores.get(pair.core)?, pair, read.ohm)
    };
    right() == Some(true)
}

/// Whether a pair may have such a resistance: by the plate's, else by its turns.
fn fits(record: &Record, core: &Core, pair: Pair, ohm: f64) -> Option<bool> {
    if let Some((plate, _)) = stated(record, core, pair) {
        let most = threshold("resistance-thousandfold")?.limit;
        let least = threshold("resistance-least")?.limit;
        return Some((1.0 / least..=most).contains(&(ohm / plate)));
    }
    let pair = pair.ascending();
    is_usual(ohm, turns(&record.plate, core, (pair.from, pair.to))?)
}

/// Whether it is what the plate lets expect of another pair of the winding: leads on another tap are no exchange.
fn is_of_another(record: &Record, core: &Core, pair: Pair, ohm: f64) -> bool {
    let both = stated(record, core, pair).zip(threshold("resistance-thousandfold"));
    both.is_some_and(|((plate, _), near)| {
        let close = |other: &f64| (1.0 / near.limit..=near.limit).contains(&(ohm / plate / other));
        shares(core, pair).iter().any(close)
    })
}

/// What the plate lets expect of a pair: that of the whole winding, in proportion to the turns.
fn stated(record: &Record, core: &Core, pair: Pair) -> Option<(f64, Span)> {
    // A slip of the plate is told there.
    let plate = core.resistance.get()?;
    if implausible_plate(&record.plate, core).is_some() {
        return None;
    }
    let share = share_of_turns(core, pair.ascending())?;
    Some((plate.value.value.si * share, plate.span))
}

/// The turns of a pair as a share of those of the whole winding.
pub(super) fn share_of_turns(core: &Core, pair: Pair) -> Option<f64> {
    Some(core.nominal_ratio(pair.from, pair.to)? / core.full_ratio()?.value())
}

/// What other pairs of the winding would show in the place of this one, as shares of it: leads on another tap
/// are no slip of the pen.
fn shares(core: &Core, pair: Pair) -> Vec<f64> {
    let pair = pair.ascending();
    let own = core.nominal_ratio(pair.from, pair.to);
    let last = core.last_mark();
    let pairs = (0..=last).flat_map(|from| (from + 1..=last).map(move |to| (from, to)));
    let ratios = pairs.filter_map(|(from, to)| core.nominal_ratio(from, to));
    ratios
        .filter_map(|ratio| own.map(|own| ratio / own))
        .collect()
}

/// The power of ten that a resistance is off the plate's. Less than a quarter of it no winding has; more of it
/// may be a bad joint, up to a thousand times.
pub(super) fn slip(share: f64, others: Vec<f64>) -> Option<&'static str> {
    let (near, least) = (
        threshold("resistance-thousandfold")?.limit,
        threshold("resistance-least")?.limit,
    );
    let close = |times: f64, near: f64| (1.0 / near..=near).contains(&(share / times));
    if others.iter().any(|other| close(*other, near)) {
        return None;
    }
    let least = share < 1.0 / least;
    let of = [
        ("1000", 1000.0),
        ("0.001", 0.001),
        ("0.01", 0.01),
        ("0.1", 0.1),
    ];
    let mut of = of.into_iter().filter(|(_, times)| *times > 1.0 || least);
    of.find(|(_, times)| close(*times, near))
        .map(|(text, _)| text)
}

/// The resistance a factor of 1000 away that a winding of these turns has, where it has not this one.
pub(super) fn usual_by_thousand(ohm: f64, turns: f64) -> Option<f64> {
    let mut meant = [0.001 * ohm, 1000.0 * ohm].into_iter();
    let meant = meant.find(|meant| is_usual(*meant, turns) == Some(true))?;
    (is_usual(ohm, turns) == Some(false)).then_some(meant)
}

/// Whether windings have such a resistance a turn.
pub(super) fn is_usual(ohm: f64, turns: f64) -> Option<bool> {
    let (least, most) = (
        threshold("winding-per-turn-least")?.limit,
        threshold("winding-per-turn-most")?.limit,
    );
    Some((least..=most).contains(&(1e3 * ohm / turns)))
}

pub(in crate::record) fn shown(ohm: f64) -> String {
    // Three digits are enough to know it again.
    let places = 2.0 - libm::floor(libm::log10(ohm));
    format!("{ohm:.*} ohm", places.clamp(0.0, 6.0) as usize)
}

/// Temperatures that nothing under test has, and far from the air's: every resistance is corrected from them.
pub(super) fn temperature(visit: &Visit, out: &mut Vec<Fenced>) {
    let most = threshold("temperature-most").map_or(f64::INFINITY, |row| row.limit);
    for (index, test) in visit.tests.iter().enumerate() {
        if let Some(stated) = test.temperature.get().filter(|one| one.value.si > most) {
            let told = words::temperature_implausible(&stated.value.written(), stated.span);
            out.push(Fenced::reading(index, stated.span, told));
        } else if test.kind != TestKind::Resistance {
            continue;
        } else if let (Some(winding), Some(air), Some(most)) = (
            test.temperature.get(),
            visit.ambient.get(),
            threshold("winding-off-ambient"),
        ) && (winding.value.si - air.value.si).abs() > most.limit
        {
            let (written, ambient) = (winding.value.written(), air.value.written());
            let told = words::winding_off_ambient(&written, &ambient, winding.span, air.span);
            out.push(Fenced::reading(index, winding.span, told));
        }
    }
}
