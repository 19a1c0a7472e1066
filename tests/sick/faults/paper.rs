//! Slips of the pen in one table of the last visit.

use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::{Cell, Kind, Section, Sheet};
use super::{Seat, tested};

const TABLES: [Kind; 5] = [
    Kind::Excitation,
    Kind::Resistance,
    Kind::Ratio,
    Kind::Insulation,
    Kind::Burden,
];

/// Applies a slip to the section of a core, by the row of that core that `at` (0 to 1) picks.
fn slip(
    case: &mut Case,
    record: usize,
    core: usize,
    kind: Kind,
    edit: impl Fn(&mut Section, &[usize]) + 'static,
) {
    case.slips.push(Box::new(move |sheets: &mut [Sheet]| {
        for section in sheets[record].last(kind) {
            let rows: Vec<usize> = (0..section.rows.len())
                .filter(|row| section.rows[*row].core == Some(core))
                .collect();
            if !rows.is_empty() {
                edit(section, &rows);
            }
        }
    }));
}

fn readings(cells: &[Cell]) -> Vec<usize> {
    (0..cells.len())
        .filter(|cell| matches!(cells[*cell], Cell::Reading { .. }))
        .collect()
}

/// One reading in one row is retyped; a reading that has no room for the slip stays.
fn retyped(
    case: &mut Case,
    dice: &mut Dice,
    how: impl Fn(&str) -> Option<String> + 'static,
) -> Option<Seat> {
    let kind = dice.pick(&TABLES);
    let (record, core) = tested(case, dice, kind)?;
    let (row, column) = (dice.below(1000), dice.below(1000));
    slip(case, record, core, kind, move |section, rows| {
        let cells = &mut section.rows[rows[row % rows.len()]].cells;
        let places = readings(cells);
        let place = places.get(column % places.len().max(1)).copied();
        if let Some((place, new)) = place.and_then(|at| Some((at, how(cells[at].text())?))) {
            cells[place].typed(new);
        }
    });
    Seat::at(record, core, 1.0)
}

/// The decimal point one place off in one reading.
pub fn decimal_slip(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let times = dice.pick(&[0.1, 10.0]);
    retyped(case, dice, move |text| moved(text, times))
}

/// Another number with the same digits.
fn moved(text: &str, times: f64) -> Option<String> {
    let value: f64 = text.parse().ok()?;
    let decimals = text.split_once('.').map_or(0, |(_, rest)| rest.len());
    let decimals = if times < 1.0 {
        decimals + 1
    } else {
        decimals.saturating_sub(1)
    };
    Some(format!("{:.decimals$}", value * times))
}

/// Two neighbouring digits of one reading have changed places. Severity is theirs.
pub fn digits_exchanged(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let from = dice.below(3);
    retyped(case, dice, move |text| {
        let mut letters: Vec<char> = text.chars().collect();
        let places: Vec<usize> = (0..letters.len())
            .filter(|at| letters[*at].is_ascii_digit())
            .collect();
        let first = places.iter().position(|at| letters[*at] != '0')?;
        let (one, other) = (*places.get(first + from)?, *places.get(first + from + 1)?);
        letters.swap(one, other);
        Some(letters.into_iter().collect())
    })
}

/// Voltage and current have changed columns, in one row or in all of the core.
pub fn columns_exchanged(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let kind = dice.pick(&[
        Kind::Excitation,
        Kind::Resistance,
        Kind::Burden,
        Kind::Ratio,
    ]);
    let (record, core) = tested(case, dice, kind)?;
    let only = dice.chance(0.5).then(|| dice.below(1000));
    slip(case, record, core, kind, move |section, rows| {
        for (number, row) in rows.iter().enumerate() {
            if only.is_none_or(|only| only % rows.len() == number) {
                let cells = &mut section.rows[*row].cells;
                if let [one, other, ..] = readings(cells)[..] {
                    cells.swap(one, other);
                }
            }
        }
    });
    Seat::at(record, core, 1.0)
}

/// A column in another unit than its heading says: A for mA, V for mV, Gohm for Mohm.
pub fn unit_slip(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let kind = dice.pick(&TABLES);
    let (record, core) = tested(case, dice, kind)?;
    let times = dice.pick(&[0.001, 1000.0]);
    let column = dice.below(2);
    slip(case, record, core, kind, move |section, rows| {
        for row in rows {
            let cells = &mut section.rows[*row].cells;
            let places = readings(cells);
            let place = places.get(column % places.len().max(1)).copied();
            if let Some((place, value)) = place.and_then(|at| Some((at, cells[at].value()?))) {
                cells[place].typed(crate::demo::write::sig(value * times, 4));
            }
        }
    });
    Seat::at(record, core, 3.0)
}
