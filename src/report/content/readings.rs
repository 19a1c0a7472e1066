//! The sections of the record as they were written: every field, table, note and amendment, with
//! its line. Read anew from the source, so that digits, bounds and gaps stay what they were.

use super::text::{NONE, Pen, sign};
use crate::ground::source::Source;
use crate::ground::span::{Given, Span};
use crate::record::reader::{self, Body, Row, Table};
use crate::record::schema::Kind;
use crate::record::sections;
use crate::record::table;
use crate::record::value::Amendment;
use crate::report::markdown::escape_markdown;
use crate::syntax::{Class, Line, Section, Tree, tree};
use serde::Serialize;

/// A table as written.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Written {
    pub head: Vec<String>,
    /// `:---` or `---:` for each column.
    pub rule: Vec<&'static str>,
    pub rows: Vec<WrittenRow>,
}

#[derive(Clone, Debug, Serialize)]
pub(super) struct WrittenRow {
    pub line: usize,
    pub cells: Vec<String>,
}

/// A section as written.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Sheet {
    pub title: String,
    pub line: usize,
    pub fields: Vec<(String, String)>,
    pub tables: Vec<Written>,
    pub notes: Vec<String>,
    pub amended: Vec<String>,
    pub not_done: Vec<String>,
    /// Lines that were not understood.
    pub strange: Vec<String>,
}

/// All sections of a source.
pub(super) struct Sheets<'a> {
    source: &'a Source,
    tree: Tree,
    ieee: bool,
    pen: Pen,
}

impl<'a> Sheets<'a> {
    pub(super) fn new(source: &'a Source, ieee: bool, pen: Pen) -> Self {
        let (tree, _) = tree::read(source, |name| sections::named(name).is_some());
        Self {
            source,
            tree,
            ieee,
            pen,
        }
    }

    /// The sections that begin within a range of bytes, in the order of the file.
    pub(super) fn within(&self, range: std::ops::Range<u32>) -> Vec<Sheet> {
        let inside = self
            .tree
            .sections
            .iter()
            .filter(|section| range.contains(&section.open.start));
        inside.map(|section| self.sheet(section)).collect()
    }

    fn sheet(&self, section: &Section) -> Sheet {
        let lines = self.tree.lines_of(section);
        let argument = self.source.slice(section.argument);
        let name = self.source.slice(section.name);
        let title = if argument.is_empty() {
            name.to_owned()
        } else {
            format!("{name} {argument}")
        };
        let mut sheet = Sheet {
            title: escape_markdown(&title),
            line: self.source.line(section.open.start),
            fields: Vec::new(),
            tables: Vec::new(),
            notes: Vec::new(),
            amended: Vec::new(),
            not_done: Vec::new(),
            strange: Vec::new(),
        };
        let Some(known) = sections::named(name) else {
            sheet.strange = lines
                .iter()
                .filter(|line| speaks(line))
                .map(|line| self.strange(line.body))
                .collect();
            return sheet;
        };
        let body = reader::read(
            self.source,
            lines,
            known,
            section.open,
            section.argument,
            self.ieee,
            &mut Vec::new(),
        );
        self.fill(&mut sheet, &body, lines);
        sheet
    }

    fn fill(&self, sheet: &mut Sheet, body: &Body, lines: &[Line]) {
        let mut read: Vec<Span> = Vec::new();
        for field in &body.fields {
            read.push(field.key_span);
            let mark = if field.amended.is_empty() { "" } else { " †" };
            let shown = if matches!(field.value, Given::Unreadable(_)) {
                "not understood: "
            } else {
                ""
            };
            sheet.fields.push((
                field.key.word.to_owned(),
                format!("{shown}{}{mark}", self.value(&field.text.value)),
            ));
            sheet.amended.extend(
                field
                    .amended
                    .iter()
                    .map(|amendment| self.amendment(amendment)),
            );
        }
        for table in &body.tables {
            read.push(table.heading);
            read.extend(table.rows.iter().map(|row| row.span));
            sheet.amended.extend(
                table
                    .rows
                    .iter()
                    .flat_map(|row| &row.amended)
                    .map(|amendment| self.amendment(amendment)),
            );
            sheet.tables.push(self.table(table));
        }
        read.extend(body.notes.iter().map(|note| note.span));
        sheet.notes = body
            .notes
            .iter()
            .map(|note| escape_markdown(&note.value))
            .collect();
        read.extend(body.omissions.iter().map(|omission| omission.span));
        let not_done = |o: &crate::record::value::Omission| {
            format!(
                "{}: {}",
                escape_markdown(&o.scope.value),
                escape_markdown(&o.why)
            )
        };
        sheet.not_done = body.omissions.iter().map(not_done).collect();
        let amendments = body.fields.iter().flat_map(|field| &field.amended);
        let in_rows = body
            .tables
            .iter()
            .flat_map(|table| &table.rows)
            .flat_map(|row| &row.amended);
        read.extend(amendments.chain(in_rows).map(|amendment| amendment.span));
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
        sheet.strange = lines
            .iter()
            .filter(|line| speaks(line) && !known(line) && !rule(line))
            .map(|line| self.strange(line.body))
            .collect();
    }

    /// A value with its unit: the sign for the unit, digits as they are.
    fn value(&self, text: &str) -> String {
        self.pen.say(text)
    }

    fn strange(&self, span: Span) -> String {
        format!(
            "line {}: {}",
            self.source.line(span.start),
            escape_markdown(self.source.slice(span))
        )
    }

    fn amendment(&self, amendment: &Amendment) -> String {
        let when = amendment
            .date
            .map(|date| format!(" {date}"))
            .unwrap_or_default();
        format!(
            "† line {}: {} was {}; {}; {}{when}",
            self.source.line(amendment.span.start),
            escape_markdown(&amendment.what),
            self.pen.written(&amendment.was),
            escape_markdown(&amendment.why),
            escape_markdown(&amendment.who),
        )
    }

    fn table(&self, table: &Table) -> Written {
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
        let numeric = |kind: Kind| matches!(kind, Kind::Quantity(_) | Kind::Number);
        let rule = table.columns.iter().map(|column| {
            if column.is_some_and(|column| numeric(column.kind)) {
                "---:"
            } else {
                "---"
            }
        });
        Written {
            head: head.iter().map(|word| escape_markdown(word)).collect(),
            rule: rule.collect(),
            rows: table.rows.iter().map(|row| self.row(row, table)).collect(),
        }
    }

    fn row(&self, row: &Row, table: &Table) -> WrittenRow {
        let broken = row.cells.iter().all(Given::is_unreadable)
            && row.cells.iter().all(|cell| cell.span() == Some(row.span));
        let line = self.source.line(row.span.start);
        if broken {
            let mut cells = vec![NONE.to_owned(); row.cells.len()];
            if let Some(first) = cells.first_mut() {
                *first = format!(
                    "not understood: {}",
                    escape_markdown(self.source.slice(row.span))
                );
            }
            return WrittenRow { line, cells };
        }
        let cell = |(index, given): (usize, &Given<crate::record::value::Datum>)| {
            let column = table.columns.get(index).copied().flatten();
            let speaks_of = |amendment: &Amendment| {
                column.is_some_and(|column| {
                    column.word == amendment.what || column.also.contains(&amendment.what.as_str())
                })
            };
            let mark = if row.amended.iter().any(speaks_of) {
                " †"
            } else {
                ""
            };
            let strange = if given.is_unreadable() && column.is_some() {
                " (not understood)"
            } else {
                ""
            };
            match given.span() {
                Some(span) => format!(
                    "{}{mark}{strange}",
                    self.pen.written(self.source.slice(span))
                ),
                None => format!("{NONE}{mark}"),
            }
        };
        WrittenRow {
            line,
            cells: row.cells.iter().enumerate().map(cell).collect(),
        }
    }
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
fn speaks(line: &Line) -> bool {
    !matches!(line.class, Class::Blank | Class::Comment | Class::Open)
}
