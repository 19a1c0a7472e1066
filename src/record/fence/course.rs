//! A reading of a curve whose decimal point slipped. It is told where it stands; left alone, the rows
//! beside it would be blamed, and a core would fail by it.

use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::Given;
use crate::record::kinds::excitation::ExcitationRow;
use crate::record::kinds::{Test, TestBody};
use crate::record::words;

/// Fewer readings than these show no course.
const LEAST: usize = 5;
/// How far a reading at the end of a curve may lie from its only neighbour, in times: convention of this
/// project.
const REACH: f64 = 5.0;

/// The one row of an excitation curve that does not fit its course, with the change that makes it fit. It is
/// taken out of the curve, so that the rows beside it are not blamed.
pub(super) fn row(test: &mut Test) -> Option<Diagnostic> {
    let TestBody::Excitation(body) = &mut test.body else {
        return None;
    };
    let rows = body.rows.iter();
    let voltage: Vec<Given<Quantity>> = rows.clone().map(|row| row.voltage).collect();
    let current: Vec<Given<Quantity>> = rows.map(|row| row.current).collect();
    let (voltage, current) = (Course::of(&voltage), Course::of(&current));
    let exchanged = voltage
        .as_ref()
        .and_then(|course| exchanged_in(course, &body.rows));
    let swapped = voltage.as_ref().zip(current.as_ref());
    let swapped = swapped.and_then(|(voltage, current)| swapped_in(voltage, current));
    let swapped = swapped.or(exchanged);
    let slipped = |of, course: &Option<Course>| point(of, course.as_ref()?);
    let found = swapped
        .or_else(|| slipped("voltage", &voltage))
        .or_else(|| slipped("current", &current));
    let (at, told) = found?;
    let row = body.rows.get_mut(at)?;
    row.voltage = Given::Unreadable(told.span);
    row.current = Given::Unreadable(told.span);
    test.doubtful = test.doubtful.or(Some(told.span));
    Some(told)
}

/// A column from its low end to its high end, of which one reading does not fit.
struct Course {
    read: Vec<Reading>,
    /// Places of `read`, lowest first: a curve may be taken on the way down.
    order: Vec<usize>,
    /// The place in `order` of the one that does not fit.
    odd: usize,
}

impl Course {
    fn of(column: &[Given<Quantity>]) -> Option<Self> {
        let read: Option<Vec<Reading>> = column.iter().map(reading).collect();
        let read = read.filter(|read| read.len() >= LEAST)?;
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
        more.is_none().then_some(Self {
            read,
            order,
            odd: at,
        })
    }

    /// The reading at a place of the course.
    fn place(&self, at: Option<usize>) -> Option<&Reading> {
        self.read.get(*self.order.get(at?)?)
    }

    /// The reading that does not fit, and those before and behind it.
    fn around(&self) -> Option<(&Reading, Option<&Reading>, Option<&Reading>)> {
        let (before, behind) = (self.odd.checked_sub(1), self.odd + 1);
        let one = self.place(Some(self.odd))?;
        Some((one, self.place(before), self.place(Some(behind))))
    }

    /// Whether a value in SI units would fit in its place.
    fn fits(&self, meant: f64) -> bool {
        let Some((_, before, behind)) = self.around() else {
            return false;
        };
        let [before, behind] = [before, behind].map(|one| one.map(|one| one.value.si));
        let above = before.is_none_or(|before| meant > before);
        let below = behind.is_none_or(|behind| meant < behind);
        let near = match (before, behind) {
            (Some(only), None) => meant < REACH * only,
            (None, Some(only)) => meant > only / REACH,
            _ => true,
        };
        above && below && near
    }
}

/// `2.9  43.5` among rows like `43.5  2.9`.
fn swapped_in(voltage: &Course, current: &Course) -> Option<(usize, Diagnostic)> {
    let (volts, amps) = (voltage.around()?.0, current.around()?.0);
    let row = *voltage.order.get(voltage.odd)?;
    let in_unit_of = |one: &Reading, number: f64| number * one.value.si / one.value.number;
    let fits = voltage.fits(in_unit_of(volts, amps.value.number))
        && current.fits(in_unit_of(amps, volts.value.number));
    if current.order.get(current.odd) != Some(&row) || !fits {
        return None;
    }
    Some((row, told_swapped(volts, amps)))
}

/// The same where the current as it was written would still fit its column.
fn exchanged_in(voltage: &Course, rows: &[ExcitationRow]) -> Option<(usize, Diagnostic)> {
    let volts = voltage.around()?.0;
    let row = *voltage.order.get(voltage.odd)?;
    let current = |row: &ExcitationRow| reading(&row.current);
    let amps = current(rows.get(row)?)?;
    let in_unit_of = |one: &Reading, number: f64| number * one.value.si / one.value.number;
    if !voltage.fits(in_unit_of(volts, amps.value.number)) {
        return None;
    }
    let column: Option<Vec<f64>> = voltage
        .order
        .iter()
        .map(|at| match *at == row {
            true => Some(in_unit_of(&amps, volts.value.number)),
            false => Some(current(rows.get(*at)?)?.value.si),
        })
        .collect();
    rises(&column?, None).then(|| (row, told_swapped(volts, &amps)))
}

fn told_swapped(volts: &Reading, amps: &Reading) -> Diagnostic {
    let (one, other) = (volts.value.written_number(), amps.value.written_number());
    let mut told = words::cells_swapped(&other, &one, volts.span.to(amps.span));
    told = told.mend(
        format!("write {other} and {one}"),
        volts.span,
        &other,
        false,
    );
    for mend in &mut told.mends {
        mend.edits.push((amps.span, one.clone()));
    }
    told
}

/// A decimal point that slipped by one place, or by more where that alone fits.
fn point(of: &str, course: &Course) -> Option<(usize, Diagnostic)> {
    let (reading, before, behind) = course.around()?;
    let times = [10.0, 0.1, 100.0, 0.01, 1000.0, 0.001];
    let times = times
        .into_iter()
        .find(|times| course.fits(reading.value.si * times))?;
    let row = *course.order.get(course.odd)?;
    let beside = |one: Option<&Reading>| Some(one?.value.written());
    let (low, high) = (beside(before), beside(behind));
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
    let told = told.mend(format!("write {meant}"), reading.span, meant, false);
    Some((row, told))
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
