//! What belongs to the reported visits beside their tests: who signed for them, and the files.

use super::Ctx;
use crate::document::{Block, Cell, Figure, Inline, Picture, PictureFile, Table, Text, joined};
use crate::ground::span::Given;
use crate::job::{Attached, Shown};
use crate::record::sign_off::SignOff;
use crate::record::visit::Visit;
use crate::report::options::Files;

impl Ctx<'_> {
    /// `Signed off: the visit by R. Anvik for the contractor, 2026-09-16. A signature changes no verdict.`
    pub(super) fn signed(&self, visit: &Visit) -> Option<String> {
        let all = visit.sign_offs.iter().map(|row| Some(signature(row)));
        let all = joined(all, "; ");
        let several = self.visits().filter(|visit| !visit.as_found()).count() > 1;
        let of = if several {
            format!(", {}", visit.name())
        } else {
            String::new()
        };
        (!all.is_empty()).then(|| format!("Signed off{of}: {all}. A signature changes no verdict."))
    }

    /// The pictures in their places, and all files with their sums.
    pub(super) fn attachments(&self) -> Vec<Block> {
        let mut all = self.subject.files().peekable();
        if all.peek().is_none() {
            return Vec::new();
        }
        let (mut blocks, mut rows) = (vec![Block::heading(2, "Attachments")], Vec::new());
        for one in all {
            blocks.extend(self.picture(one));
            let shows = one.row.shows.value().map_or("", String::as_str);
            let sum = match one.copy() {
                Some(_) => one.sum().unwrap_or_default().to_owned(),
                None => format!("{}, not shown here", one.state()),
            };
            rows.push(vec![self.file(one).into(), Cell::from(shows), sum.into()]);
        }
        let table = Table::grid(&["File", "Shows", "SHA-256"], rows);
        blocks.push(Block::Table(table.named("attachments")));
        blocks
    }

    /// Where the copy of a file lies, seen from the page.
    fn path(&self, one: &Attached) -> Option<String> {
        let copy = one.copy()?;
        match self.options.files {
            Files::Beside => Some(copy),
            Files::Above => Some(format!("../{copy}")),
            Files::Elsewhere => None,
        }
    }

    /// Its name, and a link where it may be opened.
    fn file(&self, one: &Attached) -> Text {
        let text = one.file().to_owned();
        let is_linked = matches!(one.shown(), Shown::Picture | Shown::Linked);
        match self.path(one).filter(|_| is_linked) {
            Some(path) => Text::default().and(Inline::File { path, text }),
            None => text.into(),
        }
    }

    fn picture(&self, one: &Attached) -> Option<Block> {
        let is_picture = matches!(one.shown(), Shown::Picture | Shown::Drawing);
        let path = self.path(one).filter(|_| is_picture)?;
        let shows = one.row.shows.value().map_or(one.file(), String::as_str);
        Some(Block::Figure(Figure {
            key: "attached".to_owned(),
            picture: Picture {
                caption: shows.to_owned(),
                file: Some(PictureFile {
                    path,
                    alt: shows.to_owned(),
                }),
                ..Picture::default()
            },
            instead: Text::from(format!("Picture: {shows}, ")).join(self.file(one)),
        }))
    }
}

fn signature(row: &SignOff) -> String {
    let stated = |given: &Given<String>| given.value().cloned();
    let covers = row
        .covers
        .value()
        .map_or("not stated what", |covers| covers.words());
    let by = stated(&row.by).unwrap_or_else(|| "not stated whom".to_owned());
    let whom = stated(&row.whom)
        .map(|whom| format!(" for {whom}"))
        .unwrap_or_default();
    let day = row
        .date
        .map_or("day not stated".to_owned(), |day| day.value.to_string());
    format!("{covers} by {by}{whom}, {day}")
}
