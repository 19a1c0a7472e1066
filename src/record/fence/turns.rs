//! Single rows of a ratio that are a thousandfold off the plate's: a prefix too much or too little in one cell.
//! A heading that is off as a whole is told there.

use super::Fenced;
use super::heading::{expected, thousandfold};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Reading;
use crate::ground::span::{Located, Span};
use crate::record::kinds::Test;
use crate::record::kinds::ratio::{Method, RatioRow, RatioTest};
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::threshold;
use crate::trade::Pair;

pub(super) fn fence(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    for (index, test, ratio) in visit.of(Test::ratio) {
        if test.doubtful.is_some() {
            continue;
        }
        if ratio.method == Some(Method::Voltage) {
            let rows = ratio.rows.iter();
            out.extend(rows.filter_map(|row| half_turn(index, row)));
        }
        let fenced = ratio.rows.iter().filter_map(|row| {
            let (told, at) = told(record, test.pair, ratio, row)?;
            Some(Fenced::reading(index, at, told))
        });
        out.extend(fenced);
    }
}

/// Half a turn in degrees under a heading in minutes.
fn half_turn(test: usize, row: &RatioRow) -> Option<Fenced> {
    let read = row.phase.get()?;
    let is_half = (read.value.number.abs() - 180.0).abs() < 1e-9;
    if read.value.unit.canonical != "arcmin" || !is_half {
        return None;
    }
    let told = words::half_turn_in_minutes(&read.value.written(), read.span);
    Some(Fenced::reading(test, read.span, told))
}

/// What was put in, what was read of it, and where that stands.
fn told(
    record: &Record,
    driven: Option<Located<Pair>>,
    ratio: &RatioTest,
    row: &RatioRow,
) -> Option<(Diagnostic, Span)> {
    let near = threshold("resistance-thousandfold")?.limit;
    let expected = expected(&record.cores, driven, row)?;
    let (more, less) = match ratio.method? {
        Method::Voltage => (row.applied.get()?, row.induced.get()?),
        Method::Current => (row.primary.get()?, row.secondary.get()?),
    };
    let off = more.value.si / less.value.si / expected;
    let times = thousandfold(off, near)?;
    // Nearer with the two columns exchanged, it is that: a cause of the readings, named beside the others.
    let unit = |one: &Reading| one.value.si / one.value.number;
    let exchanged = (less.value.number * unit(more)) / (more.value.number * unit(less)) / expected;
    if libm::log(exchanged).abs() < libm::log(off / times).abs() {
        return None;
    }
    // What is too small makes the ratio too large.
    let times = if times > 1.0 {
        "a thousandth of"
    } else {
        "1000 times"
    };
    let written = less.value.written();
    let told = words::ratio_implausible(&written, times, less.span, more.span);
    Some((told, less.span))
}
