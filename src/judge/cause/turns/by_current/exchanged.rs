//! Two rows of a table of errors in each other's place, and the two columns of a row.

use super::room::{Column, beside};
use super::whole::{go_right, go_together};
use super::{ALSO, BOTH, Bench, FAR, FITS, UNLIKE, What, worst};
use crate::document::{Part, Quantity, say};
use crate::judge::cause::digits::{OF_COLUMNS, in_each_others_column, written};
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::ratio as rules;
use crate::judge::words::short;

const OF_A_SLIP: f64 = price::OF_A_FREE_SIZE;
/// A convention of this project.
const OF_ROWS: f64 = 0.5;
/// In longer tables no rows are tried.
const MOST_ROWS: usize = 40;
const DECIDE: &str = "the sheet that was written at the test, or both rows again";

/// Two currents with each other's errors: both columns say so, and another table, at the same currents. Of one row that
/// is off alone some other one could nearly always be in its place.
pub(super) fn rows(bench: [&Bench<'_>; 2]) -> Option<Hypothesis> {
    let table = bench.first()?.table;
    let before = BOTH.map(|what| worst(what, table.column(what)));
    let [error, phase] = before;
    if error.max(phase) < FAR || error.min(phase) < ALSO {
        return None;
    }
    let count = table.rows.len();
    if count > MOST_ROWS {
        return None;
    }
    let pairs = (0..count).flat_map(|one| (one + 1..count).map(move |other| (one, other)));
    let put = |(one, other): (usize, usize)| {
        let [error, phase] = bench.map(|bench| swapped(bench, one, other));
        let (error, phase) = (error?, phase?);
        let sound = go_together(&error, &phase) && go_right(&error, &phase);
        sound.then_some((one, other, [error, phase]))
    };
    let fitting: Vec<_> = pairs.filter_map(put).collect();
    let [(one, other, columns)] = fitting.as_slice() else {
        return None;
    };
    let (one, other) = (table.rows.get(*one)?, table.rows.get(*other)?);
    let percent = |percent: f64| Quantity::new(short(percent), "%");
    let observed = say!(
        "{} and {} of rated current: the errors of each agree in the other's place",
        percent(one.point.percent),
        percent(other.point.percent)
    );
    let seat = table.seat(vec![one.point.row, other.point.row]);
    let made = Hypothesis::new(&rules::ERRORS_EXCHANGED, seat, observed)
        .price(OF_A_SLIP + OF_ROWS)
        .decide(DECIDE);
    Some(shifted(made, bench, columns))
}

/// A column with two of its rows in each other's place, where that is as it should be and the other way is not.
fn swapped(bench: &Bench<'_>, one: usize, other: usize) -> Option<Column> {
    let (table, what) = (bench.table, bench.what);
    let (first, second) = (table.dot(what, one)?, table.dot(what, other)?);
    let column = table.put(what, &[(one, second.y), (other, first.y)]);
    let told = [(one, first), (other, second)]
        .into_iter()
        .all(|(at, written)| {
            let Some(put) = column.get(at).copied().flatten() else {
                return false;
            };
            let rooms = bench.of_others(at, &column, &put);
            let fits = rooms.iter().all(|room| room.beyond(put.y, put.u) <= FITS);
            // The phase may be too fine to tell.
            let far = if what == What::Error { UNLIKE } else { ALSO };
            let unlike = rooms
                .iter()
                .all(|room| room.beyond(written.y, written.u) >= far);
            !rooms.is_empty() && fits && unlike
        });
    (told && worst(what, &column) <= FITS).then_some(column)
}

fn shifted(made: Hypothesis, bench: [&Bench<'_>; 2], columns: &[Column; 2]) -> Hypothesis {
    let shifts = bench.into_iter().zip(columns);
    let shifts = shifts.filter_map(|(bench, column)| bench.shift(column));
    shifts.fold(made, |made, (family, shift)| made.shift(family, shift))
}

/// The two numbers of a row each in the other's column.
pub(super) fn columns(bench: [&Bench<'_>; 2]) -> Option<Hypothesis> {
    let rows = 0..bench.first()?.table.rows.len();
    let fitting: Vec<_> = rows.filter_map(|at| in_row(bench, at)).collect();
    match <[Hypothesis; 1]>::try_from(fitting) {
        Ok([made]) => Some(made),
        Err(_) => None,
    }
}

/// How far off a number is as it was written, where it is less so with the other one in its place, and lies then as the
/// rows beside it and the other burdens ask for.
fn in_cell(bench: &Bench<'_>, at: usize, y: f64) -> Option<f64> {
    let (table, what) = (bench.table, bench.what);
    let own = table.dot(what, at)?;
    let column = table.put(what, &[(at, y)]);
    let put = column.get(at).copied().flatten()?;
    let near = beside(&column, &own, what.way())?;
    let others = bench.of_others(at, &column, &put);
    let mut rooms = others.iter().chain([&near]);
    let fits = rooms.all(|room| room.beyond(put.y, put.u) <= FITS);
    let less = near.outside(put.y).abs() < near.outside(own.y).abs();
    (fits && less && !bench.is_odd_elsewhere(&own)).then(|| near.beyond(own.y, own.u))
}

fn in_row(bench: [&Bench<'_>; 2], at: usize) -> Option<Hypothesis> {
    let table = bench.first()?.table;
    let row = table.rows.get(at)?;
    let (error, phase) = (row.cell(What::Error)?, row.cell(What::Phase)?);
    let (as_error, as_phase) = in_each_others_column(error, phase);
    let put = [(What::Error, as_error), (What::Phase, as_phase)];
    let [error_put, phase_put] = put.map(|(what, si)| (what, si / what.per_share()));
    let put = bench.into_iter().zip([error_put.1, phase_put.1]);
    let beyond: Option<Vec<f64>> = put.map(|(bench, y)| in_cell(bench, at, y)).collect();
    let beyond = beyond?;
    let most = beyond.iter().copied().fold(0.0, f64::max);
    let least = beyond.iter().copied().fold(f64::INFINITY, f64::min);
    if most < FAR || least < ALSO {
        return None;
    }
    let columns = [error_put, phase_put].map(|(what, y)| table.put(what, &[(at, y)]));
    let [of_error, of_phase] = &columns;
    if !go_together(of_error, of_phase) || !go_right(of_error, of_phase) {
        return None;
    }
    let observed = say!(
        "the two columns exchanged in {}: {} and {} agree with the rows beside it",
        Part::Line(error.span),
        written(error, phase.value.number),
        written(phase, error.value.number)
    );
    let seat = table.seat(vec![row.point.row]);
    let made = Hypothesis::new(&rules::ERRORS_EXCHANGED, seat, observed)
        .price(OF_A_SLIP + OF_COLUMNS)
        .decide(DECIDE);
    Some(shifted(made, bench, &columns))
}
