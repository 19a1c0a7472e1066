//! One line of a record explained: what is written there, what was derived from it, which findings and
//! requirements rest on it. For a terminal.

mod resting;
mod written;

use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::Span;
use crate::job::Compiled;
use crate::report::manual::Said::{self, Head, Item, Line};
use crate::syntax;

/// A place in a record, counted from one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    pub line: usize,
    /// One value of the line.
    pub column: Option<usize>,
}

/// A line on its way to being explained.
struct Spot<'a> {
    ct: &'a Compiled,
    line: &'a syntax::Line,
    /// What is asked for of it.
    area: Span,
    /// The section that it stands in or opens, by its number.
    section: Option<usize>,
}

/// What there is to say of a line; with `all` every step and finding that rests on it.
///
/// # Errors
/// When the record has no such line or column.
pub fn explained(ct: &Compiled, place: Place, all: bool) -> Result<Vec<Said>, String> {
    let spot = Spot::of(ct, place)?;
    let mut said = spot.written();
    said.extend(spot.told());
    said.extend(spot.resting(all));
    Ok(said)
}

/// The same in few lines, for an editor: what was read, what it was found to be, what was worked out from it.
pub fn in_short(ct: &Compiled, place: Place) -> Vec<Said> {
    let Ok(spot) = Spot::of(ct, place) else {
        return Vec::new();
    };
    let mut said = spot.understood();
    said.extend(spot.follows());
    said
}

impl<'a> Spot<'a> {
    fn of(ct: &'a Compiled, place: Place) -> Result<Self, String> {
        let tree = &ct.record.written.tree;
        let name = &ct.source.name;
        let index = place.line.checked_sub(1);
        let Some((index, line)) = index.and_then(|at| Some((at, tree.lines.get(at)?))) else {
            return Err(match tree.lines.len() {
                0 => format!("{name} is empty"),
                1 => format!("{name} has one line"),
                count => format!("{name} has {count} lines, the first is 1"),
            });
        };
        let mut sections = tree.sections.iter();
        let section = sections.position(|one| (one.first..=one.end).contains(&(index + 1)));
        let mut spot = Self {
            ct,
            line,
            area: line.body,
            section,
        };
        if let Some(column) = place.column {
            spot.area = spot.value_at(column)?;
        }
        Ok(spot)
    }

    /// The value that stands at a column, where it is one of several of its line.
    fn value_at(&self, column: usize) -> Result<Span, String> {
        let text = self.ct.source.slice(self.line.whole);
        let text = text.trim_end_matches(['\n', '\r']);
        let length = text.chars().count();
        let at = column
            .checked_sub(1)
            .and_then(|at| text.char_indices().nth(at));
        let Some((at, c)) = at else {
            let name = &self.ct.source.name;
            let line = self.ct.source.line(self.line.whole.start);
            return Err(format!("line {line} of {name} has {length} characters"));
        };
        let at = self.line.whole.range().start + at;
        let at = Span::new(at, at + c.len_utf8());
        let cells = self.row().map(|(_, _, row)| &row.cells);
        let mut spans = cells.into_iter().flatten().filter_map(|cell| cell.span());
        Ok(spans.find(|span| span.meets(at)).unwrap_or(self.line.body))
    }

    /// Diagnostics of the line, with what helps.
    fn told(&self) -> Vec<Said> {
        let here = |told: &&Diagnostic| told.span.meets(self.area);
        let mut told = self.ct.diagnostics.iter().filter(here).peekable();
        let head = told.peek().map(|_| Head("Diagnostics"));
        let item = |told: &Diagnostic| {
            let (word, name) = (told.severity().word(), told.code.name());
            let help = told.help.as_deref().map(|help| format!("; {help}"));
            Item(format!(
                "{word} {name}: {}{}",
                told.title,
                help.unwrap_or_default()
            ))
        };
        head.into_iter().chain(told.map(item)).collect()
    }
}

fn line(text: impl Into<String>) -> Said {
    Line(text.into())
}
