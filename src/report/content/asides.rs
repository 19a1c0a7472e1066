//! What was not done and why, notes, open points.

use super::{Ctx, listed};
use crate::document::{Block, Cell, Grade, Table, Text};
use crate::record::due;
use crate::record::visit::Action;

/// An open point, carried on until it is closed.
struct Point<'a> {
    action: &'a Action,
    /// The visit that raised it.
    raised: String,
    /// When and how it was closed.
    closed: Option<String>,
    /// The visit that raised or closed it.
    at: usize,
}

impl Point<'_> {
    fn row(&self) -> Vec<Cell> {
        let action = self.action;
        let state = match &self.closed {
            None => Text::grade(Grade::Open),
            Some(closed) => closed.into(),
        };
        vec![
            (&action.label).into(),
            Text::stated(&action.what).into(),
            Text::stated(&action.by).into(),
            Text::stated(&action.until).into(),
            (&self.raised).into(),
            state.into(),
        ]
    }
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
        let mut points: Vec<Point<'_>> = Vec::new();
        for (at, visit) in self.record.visits.iter().enumerate() {
            for closed in &visit.closed {
                let (label, remark) = &closed.value;
                let still =
                    |point: &&mut Point<'_>| point.closed.is_none() && point.action.label == *label;
                if let Some(point) = points.iter_mut().rev().find(still) {
                    let remark = match remark.as_str() {
                        "" => String::new(),
                        remark => format!(": {remark}"),
                    };
                    point.closed = Some(format!("closed {}{remark}", visit.date.value));
                    point.at = at;
                }
            }
            points.extend(visit.actions.iter().map(|action| Point {
                action,
                raised: visit.name(),
                closed: None,
                at,
            }));
        }
        let shown = |point: &&Point<'_>| point.closed.is_none() || Some(point.at) == self.visit;
        let rows: Vec<Vec<Cell>> = points.iter().filter(shown).map(Point::row).collect();
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
