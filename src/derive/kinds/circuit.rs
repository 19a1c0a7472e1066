//! Resistances of a circuit as read: its loop, and its insulation while its earth is lifted.

use crate::derive::deriving::Deriving;
use crate::derive::label::Label;
use crate::derive::outcome::Outcome;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::kinds::Test;
use crate::record::readings::Measure;

/// One reading.
#[derive(Clone, Copy, Debug)]
pub struct Read {
    /// Index of the test in the visit.
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    /// Ohm.
    pub r: Outcome,
}

impl Read {
    /// Test and row, by which the readings of a visit stand in order.
    pub(super) fn place(&self) -> (usize, usize) {
        (self.test, self.row)
    }
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Read> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::continuity) {
        let rows = body.rows.iter().map(|row| &row.resistance);
        let of = (Measure::Resistance, "resistance of the loop");
        found.extend(all(d, (index, test), of, rows));
    }
    for (index, test, body) in d.visit.of(Test::single_earth) {
        let rows = body.rows.iter().map(|row| &row.resistance);
        let of = (Measure::Insulation, "insulation resistance of the circuit");
        found.extend(all(d, (index, test), of, rows));
    }
    found.sort_by_key(Read::place);
    found
}

fn all<'r>(
    d: &mut Deriving<'_>,
    (index, test): (usize, &Test),
    (measure, what): (Measure, &'static str),
    rows: impl Iterator<Item = &'r Given<Quantity>>,
) -> Vec<Read> {
    let read = |(place, given): (usize, &Given<Quantity>)| {
        let shown = given.get()?;
        let value = d.read(test, measure, Label::row(what, place + 1), shown);
        Some(Read {
            test: index,
            row: place,
            r: Outcome::read(value, shown.value.bound),
        })
    };
    rows.enumerate().filter_map(read).collect()
}
