//! The sections of the record as they were written: every field, table, note and amendment, with
//! its line. Digits, bounds and gaps are those of the source.

use super::text::NONE;
use super::{Ctx, under};
use crate::document::{Align, Block, Cell, Table as Grid, Text, sign};
use crate::ground::source::Source;
use crate::ground::span::{Given, Span};
use crate::record::body::{Body, Field, Row, Table};
use crate::record::schema::{Column, Kind};
use crate::record::table;
use crate::record::value::{Amendment, Datum, Omission};
use crate::syntax::{Class, Line, Section};

impl Ctx<'_> {
    /// The sections that begin within a range of bytes, in the order of the file, under headings of a
    /// level.
    pub(super) fn written_within(&self, range: std::ops::Range<u32>, level: u8) -> Vec<Block> {
        let bodies = self.record.written.bodies.iter();
        let sections = self.record.written.tree.sections.iter().zip(bodies);
        sections
            .filter(|(section, _)| range.contains(&section.open.start))
            .flat_map(|(section, body)| self.sheet(section, body.as_ref(), level))
            .collect()
    }

    fn sheet(&self, section: &Section, body: Option<&Body>, level: u8) -> Vec<Block> {
        let lines = self.record.written.tree.lines_of(section);
        let argument = self.source.slice(section.argument);
        let name = self.source.slice(section.name);
        let title = format!("{name} {argument}");
        let line = self.source.line(section.open.start);
        let title = format!("{} (line {line})", title.trim_end());
        let mut blocks = vec![Block::heading(level, title)];
        match body {
            Some(body) => blocks.extend(self.body(body, lines)),
            None => blocks.extend(told("Not understood:", self.left(lines, &[]))),
        }
        blocks
    }

    fn body(&self, body: &Body, lines: &[Line]) -> Vec<Block> {
        let field = |field: &Field| {
            let mark = if field.amended.is_empty() { "" } else { " †" };
            let (key, text) = (field.key.word, &field.text.value);
            let value = match &field.value {
                Given::Unreadable(_) => format!("not understood: {text}"),
                given if given.value().is_some_and(is_measured) => self.pen.say(text),
                _ => text.clone(),
            };
            format!("{key}: {value}{mark}").into()
        };
        let fields: Vec<Text> = body.fields.iter().map(field).collect();
        let in_fields = body.fields.iter().flat_map(|field| &field.amended);
        let rows = || body.tables.iter().flat_map(|table| &table.rows);
        let in_rows = rows().flat_map(|row| &row.amended);
        let amendments: Vec<&Amendment> = in_fields.chain(in_rows).collect();
        let read: Vec<Span> = (body.fields.iter().map(|field| field.key_span))
            .chain(body.tables.iter().map(|table| table.heading))
            .chain(rows().map(|row| row.span))
            .chain(body.notes.iter().map(|note| note.span))
            .chain(body.omissions.iter().map(|omission| omission.span))
            .chain(amendments.iter().map(|amendment| amendment.span))
            .collect();
        let list = |lines: Vec<Text>| (!lines.is_empty()).then_some(Block::List(lines));
        let mut blocks: Vec<Block> = list(fields).into_iter().collect();
        blocks.extend(body.tables.iter().map(|table| self.written_table(table)));
        let amended = amendments.iter().map(|amendment| self.amendment(amendment));
        blocks.extend(told("Amended:", amended.collect()));
        blocks.extend(told("Not understood:", self.left(lines, &read)));
        let not_done = |o: &Omission| format!("{}: {}", o.scope.value, o.why).into();
        let not_done = body.omissions.iter().map(not_done).collect();
        blocks.extend(told("Not done:", not_done));
        let notes = body.notes.iter();
        let notes = notes.map(|note| format!("note: {}", note.value).into());
        blocks.extend(list(notes.collect()));
        blocks
    }

    /// Lines that none of the spans read holds.
    fn left(&self, lines: &[Line], read: &[Span]) -> Vec<Text> {
        let known = |line: &Line| {
            read.iter()
                .any(|span| line.whole.start <= span.start && span.start < line.whole.end)
        };
        let rule = |line: &Line| {
            self.source
                .slice(line.body)
                .bytes()
                .all(|b| matches!(b, b'|' | b'-' | b':' | b' ' | b'\t'))
        };
        let strange = |line: &Line| {
            let (at, text) = (line.body.start, self.source.slice(line.body));
            format!("line {}: {text}", self.source.line(at)).into()
        };
        lines
            .iter()
            .filter(|line| speaks(self.source, line) && !known(line) && !rule(line))
            .map(strange)
            .collect()
    }

    fn amendment(&self, amendment: &Amendment) -> Text {
        let when = amendment.date.map(|date| format!(" {date}"));
        format!(
            "† line {}: {} was {}; {}; {}{}",
            self.source.line(amendment.span.start),
            amendment.what,
            self.pen.written(&amendment.was),
            amendment.why,
            amendment.who,
            when.unwrap_or_default()
        )
        .into()
    }

    fn written_table(&self, table: &Table) -> Block {
        // The heading read again gives the words as typed, units and all.
        let words = table
            .columns
            .iter()
            .map(|column| column.map_or("?", |column| column.word));
        let mut head: Vec<String> = words.map(str::to_owned).collect();
        let text = self.source.slice(table.heading);
        let typed: Vec<&str> = if text.contains('|') {
            text.trim_matches('|').split('|').collect()
        } else if text.contains('\t') {
            text.split('\t').collect()
        } else {
            text.split([' ', '\t'])
                .filter(|word| !word.is_empty())
                .collect()
        };
        if typed.len() == head.len() {
            head = typed.iter().map(|word| heading(word)).collect();
        }
        head.push("line".to_owned());
        let heads: Vec<&str> = head.iter().map(String::as_str).collect();
        let rows = table.rows.iter().map(|row| self.written_row(row, table));
        let mut grid = Grid::grid(&heads, rows.collect());
        let numeric = Kind::is_figure;
        let kinds = table.columns.iter().map(|column| column.map(|of| of.kind));
        for (column, kind) in grid
            .columns
            .iter_mut()
            .zip(kinds.chain([Some(Kind::Number)]))
        {
            if kind.is_some_and(numeric) {
                column.align = Align::Right;
            }
        }
        Block::Table(grid)
    }

    fn written_row(&self, row: &Row, table: &Table) -> Vec<Cell> {
        let broken = row.cells.iter().all(Given::is_unreadable)
            && row.cells.iter().all(|cell| cell.span() == Some(row.span));
        let mut cells: Vec<Cell> = if broken {
            let text = format!("not understood: {}", self.source.slice(row.span));
            let rest = std::iter::repeat_n(NONE.to_owned(), row.cells.len().saturating_sub(1));
            std::iter::once(text).chain(rest).map(Cell::from).collect()
        } else {
            let columns = table.columns.iter().copied().chain(std::iter::repeat(None));
            let cells = row.cells.iter().zip(columns);
            cells
                .map(|(given, column)| self.cell(given, column, row).into())
                .collect()
        };
        cells.push(self.source.line(row.span.start).to_string().into());
        cells
    }

    fn cell(&self, given: &Given<Datum>, column: Option<&Column>, row: &Row) -> String {
        let speaks_of = |amendment: &Amendment| {
            column.is_some_and(|column| {
                column.word == amendment.what || column.also.contains(&amendment.what.as_str())
            })
        };
        let mark = row.amended.iter().any(speaks_of).then_some(" †");
        let mark = mark.unwrap_or_default();
        let strange = match column {
            Some(_) if given.is_unreadable() => " (not understood)",
            _ => "",
        };
        let Some(text) = given.span().map(|span| self.source.slice(span)) else {
            return format!("{NONE}{mark}");
        };
        let text = match given.value() {
            Some(datum) if is_measured(datum) => self.pen.written(text),
            _ => text.to_owned(),
        };
        format!("{text}{mark}{strange}")
    }
}

/// Whether a value is a number or holds one with a unit; all others are printed as texts.
fn is_measured(datum: &Datum) -> bool {
    matches!(
        datum,
        Datum::Quantity(_) | Datum::Number(_) | Datum::At(_) | Datum::Burden(_)
    )
}

/// A list under a line of its own; nothing where it is empty.
fn told(what: &str, lines: Vec<Text>) -> Vec<Block> {
    under(Block::paragraph(what), lines)
}

/// `voltage/V` as `voltage / V`.
fn heading(typed: &str) -> String {
    let typed = typed.trim_matches([' ', '\t']);
    match typed.split_once('/') {
        Some((word, unit)) => format!(
            "{} / {}",
            word.trim_matches(' '),
            sign(unit.trim_matches(' '))
        ),
        None => table::bare_word(typed).to_owned(),
    }
}

/// Whether a line says something that must not be lost.
fn speaks(source: &Source, line: &Line) -> bool {
    !matches!(
        line.class(source),
        Class::Blank | Class::Comment | Class::Open
    )
}
