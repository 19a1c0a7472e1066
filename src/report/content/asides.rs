//! What was not tested and why, notes, open points.

use super::{Ctx, listed};
use crate::document::{Block, Cell, Grade, Table, Text};
use crate::ground::date::Date;
use crate::record::points::Point;
use crate::record::scope::omissions;

fn row(point: &Point<'_>, on: Option<Date>) -> Vec<Cell> {
    let state = match point.closed {
        None if on.is_some_and(|on| point.is_late(on)) => Text::word(Grade::Review, LATE),
        None => Text::grade(Grade::Open),
        Some((_, visit, "")) => format!("closed {}", visit.date.value).into(),
        Some((_, visit, remark)) => format!("closed {}: {remark}", visit.date.value).into(),
    };
    vec![
        point.label.into(),
        Text::stated(point.what).into(),
        Text::stated(point.by).into(),
        Text::stated(point.until).into(),
        point.raised.name().into(),
        state.into(),
    ]
}

/// What a point is that is open past its day.
pub const LATE: &str = "open past its day";

impl Ctx<'_> {
    /// Named as not done, with the reason; then the notes. What is due and simply missing has its row.
    pub(super) fn not_done(&self) -> Vec<Block> {
        let mut named: Vec<(&str, Vec<&str>)> = Vec::new();
        let mut notes = Vec::new();
        for visit in self.visits() {
            for (_, omission) in omissions(self.record, visit) {
                let (what, why) = (omission.scope.value.as_str(), omission.why.as_str());
                match named.iter_mut().find(|(of, _)| *of == why) {
                    Some((_, all)) if all.contains(&what) => {}
                    Some((_, all)) => all.push(what),
                    None => named.push((why, vec![what])),
                }
            }
            notes.extend(visit.notes.iter().map(|note| Text::from(&note.value)));
            for test in visit.own_tests() {
                let note = |value| format!("{}: {value}", test.kind.title()).into();
                notes.extend(test.notes.iter().map(|of| note(&of.value)));
            }
        }
        let row = |(why, what): (&str, Vec<&str>)| vec![what.join("; ").into(), why.into()];
        let rows = named.into_iter().map(row).collect();
        let mut blocks = tabled("Not tested, and why", &["What", "Why"], rows);
        blocks.extend(listed(2, "Notes", notes));
        blocks
    }

    /// All open points of all visits, and those that the reported visit closed.
    pub(super) fn actions(&self) -> Vec<Block> {
        let shown = |point: &&Point<'_>| {
            point
                .closed
                .is_none_or(|(at, ..)| self.subject.visits.contains(&at))
        };
        let points = self.record.points();
        let on = self.options.issued.or(self.record.last_day());
        let rows = points.iter().filter(shown).map(|point| row(point, on));
        let rows = rows.collect();
        let heads = ["Point", "What", "By", "Until", "Raised", "State"];
        tabled("Open points", &heads, rows)
    }
}

/// A heading over a table; nothing where it is empty.
fn tabled(title: &str, heads: &[&str], rows: Vec<Vec<Cell>>) -> Vec<Block> {
    if rows.is_empty() {
        return Vec::new();
    }
    let table = Table::grid(heads, rows).without_empty_columns();
    vec![Block::heading(2, title), Block::Table(table)]
}
