//! Slips of the pen in a table of resistances: a decimal point, two digits, two columns, a prefix. What was meant is
//! known to the digit, and has to agree with all that is known otherwise.

use super::seat;
use super::truth::{Bench, Shifts, leads, shifted};
use crate::derive::kinds::resistance::Winding;
use crate::document::{Part, Phrase, say};
use crate::ground::median::median;
use crate::ground::quantity::Reading;
use crate::ground::span::Given;
use crate::judge::cause::digits::{self, OF_COLUMNS, in_each_others_column, written};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::resistance as rules;
use crate::record::kinds::Test;
use crate::record::kinds::resistance::ResistanceRow;
use crate::trade::Pair;

/// Less than this is no slip that any reading could tell, as a share.
const LEAST: f64 = 0.003;
/// Rows of one core are read with one current, as a share.
const SAME_CURRENT: f64 = 0.01;

/// A row of the table with the reading of a winding that it gave.
struct Row<'a> {
    winding: &'a Winding,
    /// Which of the winding's readings.
    at: usize,
    row: &'a ResistanceRow,
}

pub(super) fn all(bench: &Bench<'_>) -> Vec<Hypothesis> {
    let rows: Vec<Row<'_>> = bench
        .windings
        .iter()
        .flat_map(|winding| of_winding(bench, winding))
        .collect();
    let suspects = rows.iter().filter(|row| is_suspect(bench, row));
    let mut all: Vec<Hypothesis> = suspects.flat_map(|row| in_row(bench, &rows, row)).collect();
    let cores = 0..bench.j.case.record.cores.len();
    all.extend(cores.filter_map(|core| columns_of_core(bench, &rows, core)));
    all
}

fn of_winding<'a>(bench: &Bench<'a>, winding: &'a Winding) -> Vec<Row<'a>> {
    let mut tests = bench.j.case.visit.of(Test::resistance);
    let Some((_, _, body)) = tests.find(|(index, _, _)| *index == winding.test) else {
        return Vec::new();
    };
    let rows = body.rows.iter();
    let pair = |row: &ResistanceRow| row.on.map(|on| on.value.ascending());
    let own = rows.filter(|row| pair(row) == Some(winding.pair));
    let read = own.filter(|row| resistance(row).is_some());
    let rows = read.enumerate();
    rows.map(|(at, row)| Row { winding, at, row }).collect()
}

/// Voltage, current, resistance as shown.
fn cells(row: &ResistanceRow) -> [Option<&Reading>; 3] {
    let exact = |given| Given::get(given).filter(|one: &&Reading| one.value.is_exact());
    if row.resistance.get().is_some() {
        return [None, None, exact(&row.resistance)];
    }
    [exact(&row.voltage), exact(&row.current), None]
}

fn resistance(row: &ResistanceRow) -> Option<f64> {
    match cells(row) {
        [Some(volts), Some(amps), _] => Some(volts.value.si / amps.value.si),
        [_, _, shown] => Some(shown?.value.si),
    }
}

/// Whether anything that its winding is held against asks for a cause.
fn is_suspect(bench: &Bench<'_>, row: &Row<'_>) -> bool {
    let families = bench.evidence.families.iter();
    let items = families.flat_map(|family| &family.items);
    let mut own =
        items.filter(|item| (item.section, item.pair) == (row.winding.test, row.winding.pair));
    own.any(|item| item.away.abs() > 2.0 * item.u)
}

/// Currents of the other rows of a core.
fn current_of_others(rows: &[Row<'_>], row: &Row<'_>) -> Option<f64> {
    let same = |other: &&Row<'_>| {
        other.winding.test == row.winding.test
            && other.winding.pair.core == row.winding.pair.core
            && other.row.span != row.row.span
    };
    let others = rows.iter().filter(same);
    let currents = others.filter_map(|other| Some(cells(other.row)[1]?.value.si));
    let mut currents: Vec<f64> = currents.collect();
    median(&mut currents)
}

/// A row with another resistance in it.
fn meant(bench: &Bench<'_>, row: &Row<'_>, times: f64) -> Option<Shifts> {
    bench.shifts(
        |_, _| true,
        |one, at, read| {
            let own = (one.test, one.pair, at) == (row.winding.test, row.winding.pair, row.at);
            // The leads were taken off what was written.
            let leads = leads(one);
            if own {
                (read + leads) * times - leads
            } else {
                read
            }
        },
    )
}

fn told(row: &Row<'_>, shifts: Shifts, at: &[&Reading], cost: f64, observed: Phrase) -> Hypothesis {
    let seat = Seat {
        at: at.iter().map(|cell| cell.span).collect(),
        ..seat(row.winding)
    };
    let made = Hypothesis::new(&rules::RESISTANCE_SLIP, seat, observed)
        .price(price::OF_A_KNOWN_SIZE + cost)
        .decide("the sheet that was written at the test, or the reading again");
    shifted(made, shifts)
}

fn in_row(bench: &Bench<'_>, rows: &[Row<'_>], row: &Row<'_>) -> Vec<Hypothesis> {
    let [volts, amps, shown] = cells(row.row);
    let usual = current_of_others(rows, row);
    // What was set for the other rows was set for this one.
    let is_usual = |amps: f64| usual.is_some_and(|usual| near(amps, usual));
    let amps_fit = amps.is_some_and(|amps| is_usual(amps.value.si));
    let mut all = Vec::new();
    for (cell, power) in [(volts, 1), (amps, -1), (shown, 1)] {
        let Some(cell) = cell.filter(|_| power > 0 || !amps_fit) else {
            continue;
        };
        for one in digits::alternatives(cell) {
            let times = one.times(cell);
            // A current that was mistyped was the others'.
            if power < 0 && usual.is_some() && !is_usual(cell.value.si * times) {
                continue;
            }
            let times = if power > 0 { times } else { 1.0 / times };
            if libm::log(times).abs() < LEAST {
                continue;
            }
            let (observed, cost) = (one.told(cell), one.cost);
            let shifts = meant(bench, row, times);
            all.extend(shifts.map(|shifts| told(row, shifts, &[cell], cost, observed)));
        }
    }
    if let (Some(volts), Some(amps)) = (volts, amps) {
        let fits = usual.is_none_or(|usual| near(in_each_others_column(volts, amps).1, usual));
        if fits && !amps_fit {
            let shifts = meant(bench, row, times_exchanged(volts, amps));
            let observed = say!(
                "voltage and current exchanged in {}: {} and {} agree with all the others",
                Part::Line(volts.span),
                written(volts, amps.value.number),
                written(amps, volts.value.number)
            );
            let told = |shifts| told(row, shifts, &[volts, amps], OF_COLUMNS, observed);
            all.extend(shifts.map(told));
        }
    }
    all
}

fn near(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < SAME_CURRENT
}

fn times_exchanged(volts: &Reading, amps: &Reading) -> f64 {
    let (v, i) = in_each_others_column(volts, amps);
    (v / i) / (volts.value.si / amps.value.si)
}

/// Both columns exchanged in all rows of a core.
fn columns_of_core(bench: &Bench<'_>, rows: &[Row<'_>], core: usize) -> Option<Hypothesis> {
    let of_core = |pair: Pair| pair.core == core;
    let own: Vec<&Row<'_>> = rows
        .iter()
        .filter(|row| of_core(row.winding.pair))
        .collect();
    let first = own.first().filter(|_| own.len() > 1)?;
    let [Some(volts), Some(amps), _] = cells(first.row) else {
        return None;
    };
    let times = |one: &Winding, at: usize| {
        let mut same = own
            .iter()
            .filter(|row| (row.winding.test, row.winding.pair, row.at) == (one.test, one.pair, at));
        match cells(same.next()?.row) {
            [Some(volts), Some(amps), _] => Some(times_exchanged(volts, amps)),
            _ => None,
        }
    };
    let shifts = bench.shifts(
        |_, _| true,
        |one, at, read| (read + leads(one)) * times(one, at).unwrap_or(1.0) - leads(one),
    )?;
    let name = &bench.j.case.record.cores.get(core)?.name;
    let observed = say!(
        "voltage and current exchanged in all rows of core {}: the other way round they agree with all the others",
        Phrase::terminals(name.clone())
    );
    let mut made = told(first, shifts, &[volts, amps], OF_COLUMNS, observed);
    made.seat.pair = None;
    Some(made)
}
