//! The lines of a table, its columns under each other and its decimal points too.

use super::units;
use crate::ground::source::Source;
use crate::record::body::Table;
use crate::record::schema::{Kind, Section as Schema};
use crate::record::table::{self, Head, Separator};
use std::collections::BTreeMap;
use unicode_width::UnicodeWidthStr as _;

/// Lines by where their bodies start.
pub type Lines = BTreeMap<u32, String>;

/// The heading of a table and its rows. Rows that do not have its cells are not among them, and take no part in the
/// width of its columns; of a heading that is not understood nothing is.
pub fn lines(source: &Source, schema: &'static Schema, table: &Table, into: &mut Lines) {
    let heading = source.slice(table.heading);
    let mut told = Vec::new();
    let head = table::heading(heading, table.heading, schema, &mut told);
    if !told.is_empty() {
        return;
    }
    let mut rows = vec![(table.heading.start, Row::titles(heading, table, &head))];
    for row in &table.rows {
        let read = Row::of(source.slice(row.span), row.span.range().start, &head);
        rows.extend(read.map(|read| (row.span.start, read)));
    }
    let columns = Columns::of(&rows, &head);
    into.extend(rows.iter().enumerate().map(|(index, (at, row))| {
        let line = match head.separator {
            Separator::Tab => row.cells.join("\t"),
            Separator::Blanks => columns.line(row, index > 0, "  "),
            Separator::Pipe => row.barred(columns.line(row, index > 0, " | ")),
        };
        (*at, line)
    }));
}

/// A heading or a row as written.
struct Row {
    cells: Vec<String>,
    /// Bars before it and behind it, as a pasted Markdown table has them.
    opened: bool,
    closed: bool,
}

impl Row {
    fn new(text: &str, cells: Vec<String>, head: &Head) -> Self {
        let is_barred = head.separator == Separator::Pipe;
        Self {
            cells,
            opened: is_barred && text.starts_with('|'),
            closed: is_barred && text.ends_with('|'),
        }
    }

    fn titles(text: &str, table: &Table, head: &Head) -> Self {
        let cells = head.separator.split(text, table.heading.range().start);
        let cells = cells.iter().zip(&head.columns);
        let titles = cells.map(|(cell, column)| match column.column {
            Some(column) => units::heading(cell.text, column.kind),
            None => cell.text.to_owned(),
        });
        Self::new(text, titles.collect(), head)
    }

    /// A row that has the cells of its heading, parted as those are. It keeps the cells that are written: some may be
    /// left out at its end.
    fn of(text: &str, at: usize, head: &Head) -> Option<Self> {
        let read = table::pieces(text, at, head)?;
        let mark = match head.separator {
            Separator::Blanks => None,
            Separator::Tab => Some('\t'),
            Separator::Pipe => Some('|'),
        };
        let cells = match mark {
            None => read,
            Some(mark) if text.contains(mark) => head.separator.split(text, at),
            Some(_) if head.columns.len() == 1 => read,
            Some(_) => return None,
        };
        let cells = cells.iter().map(|cell| cell.text.to_owned()).collect();
        Some(Self::new(text, cells, head))
    }

    fn barred(&self, line: String) -> String {
        let before = if self.opened { "| " } else { "" };
        let behind = if self.closed { " |" } else { "" };
        [before, &line, behind].concat()
    }
}

/// How wide a column is, and how far its numbers reach before their points; `None` where it holds words.
struct Columns(Vec<(usize, Option<usize>)>);

impl Columns {
    fn of(rows: &[(u32, Row)], head: &Head) -> Self {
        let column = |(index, cell): (usize, &table::HeadCell)| {
            let title = rows.first().and_then(|(_, row)| row.cells.get(index));
            let title = title.map_or(0, |title| title.width());
            let cells = || {
                let cells = rows.iter().skip(1);
                cells.filter_map(move |(_, row)| row.cells.get(index))
            };
            let is_number = cell.column.is_some_and(|column| {
                column.kind.is_figure() || matches!(column.kind, Kind::Either(..))
            });
            let before = is_number.then(|| cells().map(|cell| whole(cell)).max().unwrap_or(0));
            let width = |cell: &String| cell.width() + indent(cell, before);
            (cells().map(width).fold(title, usize::max), before)
        };
        Self(head.columns.iter().enumerate().map(column).collect())
    }

    /// A line of cells, without blanks at its end unless it is closed there.
    fn line(&self, row: &Row, is_reading: bool, between: &str) -> String {
        let mut line = String::new();
        for (index, (cell, (width, before))) in row.cells.iter().zip(&self.0).enumerate() {
            if index > 0 {
                line.push_str(between);
            }
            let indent = if is_reading { indent(cell, *before) } else { 0 };
            line.extend(std::iter::repeat_n(' ', indent));
            line.push_str(cell);
            if row.closed || index + 1 < row.cells.len() {
                let rest = width.saturating_sub(indent + cell.width());
                line.extend(std::iter::repeat_n(' ', rest));
            }
        }
        line
    }
}

/// Characters before the decimal point.
fn whole(cell: &str) -> usize {
    cell.split_once('.')
        .map_or(cell, |(whole, _)| whole)
        .width()
}

fn indent(cell: &str, before: Option<usize>) -> usize {
    before.map_or(0, |before| before.saturating_sub(whole(cell)))
}
