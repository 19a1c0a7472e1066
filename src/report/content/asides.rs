//! What was not done and why, notes, open points.

use super::Ctx;
use super::text::title;
use crate::record::due;
use crate::record::visit::Action;
use crate::report::markdown::escape_markdown;
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(super) struct NotDone {
    pub what: String,
    pub why: String,
}

/// An open point, carried on until it is closed.
#[derive(Debug, Serialize)]
pub(super) struct ActionRow {
    pub label: String,
    pub what: String,
    pub by: String,
    pub until: String,
    pub raised: String,
    /// `open`, or when and how it was closed.
    pub state: String,
    pub open: bool,
}

impl Ctx<'_> {
    /// Named as not done, with the reason; then what is due and simply missing.
    pub(super) fn not_done(&self) -> Vec<NotDone> {
        let Some((_, visit)) = self.reported() else {
            return Vec::new();
        };
        let named = due::omissions(self.record, visit)
            .into_iter()
            .map(|(_, omission)| NotDone {
                what: escape_markdown(&omission.scope.value),
                why: escape_markdown(&omission.why),
            });
        let missing = due::missing(self.record, visit).into_iter().map(|due| {
            let core = self
                .record
                .cores
                .get(due.core)
                .map_or("?", |core| core.name.as_str());
            NotDone {
                what: format!("{}, core {}", title(due.kind), escape_markdown(core)),
                why: "no reason given".to_owned(),
            }
        });
        named.chain(missing).collect()
    }

    /// Notes of the visit and of its tests, each with where it stands.
    pub(super) fn notes(&self) -> Vec<String> {
        let Some((_, visit)) = self.reported() else {
            return Vec::new();
        };
        let own = visit.notes.iter().map(|note| escape_markdown(&note.value));
        let tests = visit
            .tests
            .iter()
            .flat_map(|test| test.notes.iter().map(move |note| (test.kind, note)));
        own.chain(
            tests.map(|(kind, note)| format!("{}: {}", title(kind), escape_markdown(&note.value))),
        )
        .collect()
    }

    /// All open points of all visits, and those that the reported visit closed.
    pub(super) fn actions(&self) -> Vec<ActionRow> {
        let mut rows: Vec<(ActionRow, usize)> = Vec::new();
        for (index, visit) in self.record.visits.iter().enumerate() {
            for closed in &visit.closed {
                let (label, remark) = &closed.value;
                let still = rows
                    .iter_mut()
                    .rev()
                    .find(|(row, _)| row.open && row.label == escape_markdown(label));
                if let Some((row, when)) = still {
                    let remark = if remark.is_empty() {
                        String::new()
                    } else {
                        format!(": {}", escape_markdown(remark))
                    };
                    row.state = format!("closed {}{remark}", visit.date.value);
                    row.open = false;
                    *when = index;
                }
            }
            for action in &visit.actions {
                rows.push((row(action, &escape_markdown(&visit.name())), index));
            }
        }
        rows.into_iter()
            .filter(|(row, when)| row.open || Some(*when) == self.visit)
            .map(|(row, _)| row)
            .collect()
    }
}

fn row(action: &Action, visit: &str) -> ActionRow {
    let or_dash = |text: &str| {
        if text.is_empty() {
            "not stated".to_owned()
        } else {
            escape_markdown(text)
        }
    };
    ActionRow {
        label: escape_markdown(&action.label),
        what: or_dash(&action.what),
        by: or_dash(&action.by),
        until: or_dash(&action.until),
        raised: visit.to_owned(),
        state: "open".to_owned(),
        open: true,
    }
}
