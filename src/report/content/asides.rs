//! What was not done and why, notes, open points.

use super::{Ctx, listed};
use crate::document::{Block, Cell, Grade, Table, Text};
use crate::record::due;
use crate::record::points::Point;

fn row(point: &Point<'_>) -> Vec<Cell> {
    let action = point.action;
    let state = match point.closed {
        None => Text::grade(Grade::Open),
        Some((_, visit, "")) => format!("closed {}", visit.date.value).into(),
        Some((_, visit, remark)) => format!("closed {}: {remark}", visit.date.value).into(),
    };
    vec![
        (&action.label).into(),
        Text::stated(&action.what).into(),
        Text::stated(&action.by).into(),
        Text::stated(&action.until).into(),
        point.raised.name().into(),
        state.into(),
    ]
}

impl Ctx<'_> {
    /// Named as not done, with the reason; then what is due and simply missing; then the notes.
    pub(super) fn not_done(&self) -> Vec<Block> {
        let Some((_, visit)) = self.reported() else {
            return Vec::new();
        };
        let mut rows: Vec<Vec<Cell>> = Vec::new();
        for (_, omission) in due::omissions(self.record, visit) {
            rows.push(vec![(&omission.scope.value).into(), (&omission.why).into()]);
        }
        for due in due::missing(self.record, visit) {
            let core = self.record.cores.get(due.core);
            let core = core.map_or("?", |core| core.name.as_str());
            let what = format!("{}, core {core}", due.kind.title());
            rows.push(vec![what.into(), "no reason given".into()]);
        }
        let mut blocks = Vec::new();
        if !rows.is_empty() {
            blocks.push(Block::heading(2, "Not done"));
            blocks.push(Block::Table(Table::grid(&["What", "Why"], rows)));
        }
        let own = visit.notes.iter().map(|note| note.value.clone());
        let tests = visit
            .tests
            .iter()
            .flat_map(|test| test.notes.iter().map(move |note| (test.kind, note)));
        let tests = tests.map(|(kind, note)| format!("{}: {}", kind.title(), note.value));
        let notes = own.chain(tests).map(Into::into).collect();
        blocks.extend(listed(Block::heading(2, "Notes"), notes));
        blocks
    }

    /// All open points of all visits, and those that the reported visit closed.
    pub(super) fn actions(&self) -> Vec<Block> {
        let shown = |point: &&Point<'_>| point.closed.is_none_or(|(at, ..)| Some(at) == self.visit);
        let points = self.record.points();
        let rows: Vec<Vec<Cell>> = points.iter().filter(shown).map(row).collect();
        if rows.is_empty() {
            return Vec::new();
        }
        let heads = ["Point", "What", "By", "Until", "Raised", "State"];
        vec![
            Block::heading(2, "Open points"),
            Block::Table(Table::grid(&heads, rows)),
        ]
    }
}
