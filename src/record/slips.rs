//! A reading of a curve whose decimal point slipped. It is told where it stands; left alone, the rows
//! beside it would be blamed, and a core would fail by it.

use super::kinds::Test;
use super::words;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::Given;

/// Fewer readings than these show no course.
const LEAST: usize = 5;
/// How far a reading at the end of a curve may lie from its only neighbour, in times: convention of this
/// project.
const REACH: f64 = 5.0;

/// The one reading of an excitation curve that fits its course only with the point moved by one place.
pub fn decimal(test: &Test) -> Option<Diagnostic> {
    let rows = &test.excitation()?.rows;
    let voltage: Vec<&Given<Quantity>> = rows.iter().map(|row| &row.voltage).collect();
    let current: Vec<&Given<Quantity>> = rows.iter().map(|row| &row.current).collect();
    let told = slipped("voltage", &voltage);
    told.or_else(|| slipped("current", &current))
}

fn slipped(of: &str, column: &[&Given<Quantity>]) -> Option<Diagnostic> {
    let read: Option<Vec<Reading>> = column.iter().map(|cell| reading(cell)).collect();
    let read = read.filter(|read| read.len() >= LEAST)?;
    // A curve may be taken on the way down.
    let down = read.first()?.value.si > read.last()?.value.si;
    let mut order: Vec<usize> = (0..read.len()).collect();
    if down {
        order.reverse();
    }
    let course: Vec<f64> = order
        .iter()
        .filter_map(|at| Some(read.get(*at)?.value.si))
        .collect();
    if rises(&course, None) {
        return None;
    }
    let mut odd = (0..course.len()).filter(|at| rises(&course, Some(*at)));
    let (at, more) = (odd.next()?, odd.next());
    if more.is_some() {
        return None;
    }
    let (one, before, behind) = (
        *course.get(at)?,
        at.checked_sub(1).and_then(|at| course.get(at)).copied(),
        course.get(at + 1).copied(),
    );
    let fits = |times: f64| {
        let meant = one * times;
        let above = before.is_none_or(|before| meant > before);
        let below = behind.is_none_or(|behind| meant < behind);
        let near = match (before, behind) {
            (Some(only), None) => meant < REACH * only,
            (None, Some(only)) => meant > only / REACH,
            _ => true,
        };
        above && below && near
    };
    let times = [10.0, 0.1].into_iter().find(|times| fits(*times))?;
    let place = |at: usize| read.get(*order.get(at)?);
    let reading = place(at)?;
    let beside = |at: Option<usize>| Some(place(at?)?.value.written());
    let (low, high) = (beside(at.checked_sub(1)), beside(Some(at + 1)));
    let and = if low.is_some() && high.is_some() {
        " and "
    } else {
        ""
    };
    let high = high.map(|high| format!("{and}{high}"));
    let number = reading.value.number * times;
    // The digits are those that were written, so no more of them are told.
    let meant = format!("{}", (number * 1e6).round() / 1e6);
    let told = words::decimal_slip(
        of,
        &reading.value.written(),
        &low.unwrap_or_default(),
        &high.unwrap_or_default(),
        &meant,
        reading.span,
    );
    Some(told.mend(format!("write {meant}"), reading.span, meant, false))
}

fn reading(cell: &Given<Quantity>) -> Option<Reading> {
    let located = cell.get()?;
    Some(Reading::new(located.value, located.span))
}

/// Whether the values never fall, one of them left out.
fn rises(course: &[f64], without: Option<usize>) -> bool {
    let kept = course.iter().enumerate();
    let kept = kept.filter(|(at, _)| Some(*at) != without);
    kept.map(|(_, value)| value)
        .is_sorted_by(|one, next| one <= next)
}
