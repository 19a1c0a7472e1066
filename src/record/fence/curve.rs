//! Exciting currents that no core takes: nearly always A for mA, or mA for A, in a heading.

use super::Fenced;
use super::winding;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};
use crate::record::check::turns;
use crate::record::core::Core;
use crate::record::kinds::Test;
use crate::record::kinds::excitation::ExcitationRow;
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::threshold;

/// Curves whose currents are beyond any core's, and currents through a burden beyond any source's.
pub(super) fn fence(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    for (index, test, excitation) in visit.of(Test::excitation) {
        // A curve with a slip is told as that.
        let Some(pair) = test.pair.filter(|_| test.doubtful.is_none()) else {
            continue;
        };
        let core = record.cores.get(pair.value.core);
        let told = core.and_then(|core| {
            let rows = &excitation.rows;
            too_much(core, rows).or_else(|| {
                let pair = pair.value.ascending();
                too_little(turns(&record.plate, core, (pair.from, pair.to))?, rows)
            })
        });
        out.extend(told.map(|told| Fenced::section(index, told)));
    }
    for (index, _, burden) in visit.of(Test::burden) {
        let fenced = burden.rows.iter().filter_map(|row| {
            let rated = record.cores.get(row.on?.value.core)?.rated_secondary()?;
            let most = threshold("burden-implausible")?.limit * rated;
            let reading = row.current.get()?;
            let told = (reading.value.si > most).then(|| {
                let (written, times) = (reading.value.written(), reading.value.si / rated);
                words::burden_implausible(&written, rated, times, reading.span)
            });
            Some(Fenced::reading(index, reading.span, told?))
        });
        out.extend(fenced);
    }
}

fn too_much(core: &Core, rows: &[ExcitationRow]) -> Option<Diagnostic> {
    let rated = core.rated_secondary()?;
    let most = threshold("excitation-implausible")?.limit * rated;
    let mut currents = rows.iter().filter_map(|row| row.current.get());
    let reading = currents.find(|reading| reading.value.si > most)?;
    let (written, times) = (reading.value.written(), reading.value.si / rated);
    Some(words::current_implausible(
        &written,
        rated,
        times,
        reading.span,
    ))
}

/// The impedance of a turn is bounded by the permeability of the best iron: 2 pi f times the permeability, times
/// the area over the path of the core.
fn too_little(turns: f64, rows: &[ExcitationRow]) -> Option<Diagnostic> {
    let most = threshold("magnetising-per-turn-most")?.limit;
    let both = rows.iter().filter_map(both);
    let of_turn = |(volts, amps, span): (Quantity, Quantity, Span)| {
        (volts.si / amps.si / (turns * turns), volts, amps, span)
    };
    let (ohm, volts, amps, span) = both
        .map(of_turn)
        .max_by(|one, other| one.0.total_cmp(&other.0))?;
    if ohm <= most || is_alone(rows, span) {
        return None;
    }
    let (amps, volts) = (amps.written(), volts.written());
    Some(match is_of_exchanged_columns(rows) {
        true => words::curve_exchanged(&amps, &volts, turns, span),
        false => words::current_too_small(&amps, &volts, turns, span),
    })
}

/// Whether one current alone is too small: less than that of a lower voltage, where the curve without it rises. That is
/// told of the reading and not of the heading.
fn is_alone(rows: &[ExcitationRow], odd: Span) -> bool {
    let mut all: Vec<(f64, f64, Span)> = points(rows);
    let at = all.iter().position(|one| one.2 == odd);
    let before = at.and_then(|at| all.get(at.checked_sub(1)?).copied());
    let own = at.and_then(|at| all.get(at).copied());
    let steps_back = before
        .zip(own)
        .is_some_and(|(before, own)| own.1 < before.1);
    all.retain(|one| one.2 != odd);
    steps_back && all.is_sorted_by(|one, next| one.1 <= next.1)
}

/// The current of iron goes with the voltage to the power of a half at least, where the permeability rises most, and of
/// 10 and more above the knee. Common practice, no source.
const LEAST_RISE: f64 = 0.4;

/// Whether the upper half of a curve rises as none of iron does, and the other way round as one of iron.
fn is_of_exchanged_columns(rows: &[ExcitationRow]) -> bool {
    let all = points(rows);
    let ends = all.get(all.len() / 2).zip(all.last());
    ends.is_some_and(|(middle, last)| {
        let rise = libm::log(last.1 / middle.1) / libm::log(last.0 / middle.0);
        (0.0..LEAST_RISE).contains(&rise)
    })
}

/// Voltage, current and place of the current of all rows, the lowest voltage first.
fn points(rows: &[ExcitationRow]) -> Vec<(f64, f64, Span)> {
    let all = rows.iter().filter_map(both);
    let mut all: Vec<_> = all
        .map(|(volts, amps, span)| (volts.si, amps.si, span))
        .collect();
    all.sort_by(|one, other| one.0.total_cmp(&other.0));
    all
}

/// Voltage and current of a row, and where the current stands.
fn both(row: &ExcitationRow) -> Option<(Quantity, Quantity, Span)> {
    let (volts, Located { value, span }) = (row.voltage.get()?, row.current.get()?);
    Some((volts.value, *value, *span))
}

/// A curve and a winding resistance that cannot both be: the resistance alone would take several times the
/// voltage that was applied.
pub(super) fn fence_by_resistance(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    let Some(most) = threshold("drop-most") else {
        return;
    };
    for (curve, test, excitation) in visit.of(Test::excitation) {
        let Some(pair) = test.pair.filter(|_| test.doubtful.is_none()) else {
            continue;
        };
        let pair = pair.value.ascending();
        let resistances = visit.of(Test::resistance);
        let rows =
            resistances.flat_map(|(index, _, body)| body.rows.iter().map(move |row| (index, row)));
        let mut rows =
            rows.filter(|(_, row)| row.on.is_some_and(|on| on.value.ascending() == pair));
        let Some((index, read)) = rows.find_map(|(index, row)| Some((index, winding::read(row)?)))
        else {
            continue;
        };
        let both = excitation.rows.iter().filter_map(both);
        let mut over = both.filter(|(volts, amps, _)| {
            let drop = amps.si * read.ohm;
            drop.is_finite() && drop > most.limit * volts.si
        });
        let Some((volts, amps, at)) = over.next() else {
            continue;
        };
        let (drop, volts, amps) = (amps.si * read.ohm, volts.written(), amps.written());
        let core = record.cores.get(pair.core);
        let turns = core.and_then(|core| turns(&record.plate, core, (pair.from, pair.to)));
        let usual = turns.and_then(|turns| winding::is_usual(read.ohm, turns));
        let told = words::current_by_drop(&amps, &volts, drop, at, read.at);
        out.push(Fenced::section(curve, told));
        // Where the resistance is not known to be a winding's, it may be the one that is wrong.
        if usual != Some(true) {
            out.push(Fenced::silent(index, read.at));
        }
    }
}
