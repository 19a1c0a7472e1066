//! What a line says, as it was understood.

use super::{Head, Item, Said, Spot, line};
use crate::derive::case::Case;
use crate::derive::component::Component;
use crate::derive::workings::Value;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::judge::verdict::expanded;
use crate::judge::words::{self, rounded};
use crate::record::body::{Body, Field, Row, Table};
use crate::record::kinds::Test;
use crate::record::schema::{Column, Section as Schema};
use crate::record::sections;
use crate::record::value::{Amendment, Datum, Held as _};
use crate::syntax::{Class, Section};

impl<'a> Spot<'a> {
    fn opened(&self) -> Option<&'a Section> {
        self.ct.record.written.tree.sections.get(self.section?)
    }

    fn schema(&self) -> Option<&'static Schema> {
        sections::named(self.ct.source.slice(self.opened()?.name))
    }

    fn body(&self) -> Option<&'a Body> {
        let bodies = &self.ct.record.written.bodies;
        bodies.get(self.section?)?.as_ref()
    }

    /// The section that it opens.
    pub(super) fn opens(&self) -> Option<&'a Section> {
        self.opened().filter(|one| one.open == self.line.body)
    }

    /// The table of the row that it is, the row's number there, and the row.
    pub(super) fn row(&self) -> Option<(&'a Table, usize, &'a Row)> {
        let tables = self.body()?.tables.iter();
        let rows = tables.flat_map(|table| {
            let rows = table.rows.iter().enumerate();
            rows.map(move |(index, row)| (table, index + 1, row))
        });
        rows.into_iter()
            .find(|(_, _, row)| row.span.meets(self.line.body))
    }

    /// The test whose section it stands in, among what was known at its visit.
    pub(super) fn test(&self) -> Option<(Case<'a>, &'a Test)> {
        let open = self.opened()?.open;
        let (instruments, criteria) = self.ct.setting.parts();
        let mut cases = Case::each(&self.ct.record, instruments, criteria);
        cases.find_map(|case| {
            let test = case.visit.tests.iter().find(|test| test.span == open)?;
            Some((case, test))
        })
    }

    /// Whether it is a key with its value, or a row.
    pub(super) fn says_a_value(&self) -> bool {
        let fields = self.body().into_iter().flat_map(|body| &body.fields);
        let mut here = fields.filter(|field| field.key_span.meets(self.line.body));
        here.next().is_some() || self.row().is_some()
    }

    /// What it is and what it says.
    pub(super) fn written(&self) -> Vec<Said> {
        let text = self.ct.source.slice(self.line.whole).trim();
        let mut said = Vec::new();
        if !text.is_empty() {
            said.push(line(text));
        }
        said.push(line(self.place()));
        let class = self.line.class(&self.ct.source);
        match (class, self.section) {
            (Class::Blank, _) if self.line.remark.is_some() => said.push(line("A comment.")),
            (Class::Blank | Class::Comment, _) if text.is_empty() => {
                said.push(line("A blank line."))
            }
            (Class::Blank | Class::Comment, _) => said.push(line("A comment.")),
            (Class::Field { key, .. }, None) if self.ct.source.slice(key) == "format" => {
                said.push(line("The format that the record is written in."));
            }
            _ => match self.understood() {
                told if told.is_empty() => {
                    said.push(line("It is not understood, and nothing of it is read."))
                }
                told => said.extend(told),
            },
        }
        said
    }

    /// `In [resistance] of the visit 2026-09-14: winding resistance by direct current.`
    fn place(&self) -> String {
        let Some(opened) = self.opened() else {
            return "At the head of the record, before its first section.".to_owned();
        };
        let open = self.ct.source.slice(opened.open);
        let doc = self
            .schema()
            .map_or("no section has this name", |schema| schema.doc);
        let word = if self.opens().is_some() {
            "Opens"
        } else {
            "In"
        };
        let visit = self
            .test()
            .map(|(case, _)| format!(" of the visit {}", case.visit.name()));
        format!("{word} `{open}`{}: {doc}.", visit.unwrap_or_default())
    }

    pub(super) fn understood(&self) -> Vec<Said> {
        let mut said = Vec::new();
        if self.opens().is_some() {
            let lines = self
                .opened()
                .map_or(0, |one| one.end.saturating_sub(one.first));
            said.push(line(format!(
                "Its section has {lines} lines below this one."
            )));
        }
        let Some(body) = self.body() else {
            return said;
        };
        let here = |span: Span| span.meets(self.line.body);
        for field in body.fields.iter().filter(|field| here(field.key_span)) {
            said.extend(self.field(field));
        }
        for table in body.tables.iter().filter(|table| here(table.heading)) {
            said.extend(heading(table));
        }
        if let Some((table, number, row)) = self.row() {
            said.extend(self.cells(table, number, row));
        }
        let fields = body.fields.iter().flat_map(|one| &one.amended);
        let rows = body.tables.iter().flat_map(|table| &table.rows);
        let amended = fields.chain(rows.flat_map(|row| &row.amended));
        said.extend(amended.filter(|one| here(one.span)).map(amendment));
        let notes = body.notes.iter().filter(|note| here(note.span));
        said.extend(notes.map(|_| line("A remark, printed and not read.")));
        let omitted = body.omissions.iter().filter(|one| here(one.span));
        said.extend(
            omitted.map(|one| line(format!("Not done: {}; {}.", one.scope.value, one.why))),
        );
        said
    }

    fn field(&self, field: &Field) -> Vec<Said> {
        let key = field.key;
        let value = self.value(&field.value);
        let origin = field.origin.map(|origin| format!(", from {origin}"));
        let text = format!(
            "`{}:` {value}{}; {}",
            key.word,
            origin.unwrap_or_default(),
            key.doc
        );
        vec![Head("Read"), Item(text)]
    }

    fn cells(&self, table: &Table, number: usize, row: &Row) -> Vec<Said> {
        let cells = table.columns.iter().zip(&row.cells);
        let asked = |cell: &Given<Datum>| {
            self.area == self.line.body || cell.span().is_some_and(|span| span.meets(self.area))
        };
        let item = |(column, cell): (&Option<&'static Column>, &Given<Datum>)| {
            let value = self.value(cell);
            let by = self.instrument(cell);
            match column {
                Some(column) => Item(format!("{}: {value}{by}; {}", column.word, column.doc)),
                None => Item(format!("{value}, under a heading that is not understood")),
            }
        };
        let items = cells.filter(|(_, cell)| asked(cell)).map(item);
        let place = line(format!("Row {number} of its table."));
        [place, Head("Read")].into_iter().chain(items).collect()
    }

    /// A value as it was written, and in SI units where that is something else.
    fn value(&self, given: &Given<Datum>) -> String {
        let written = match given {
            Given::Missing => return "nothing".to_owned(),
            Given::Unreadable(span) => {
                return format!("`{}`, not understood", self.ct.source.slice(*span));
            }
            Given::Written(written) => written,
        };
        let Some(quantity) = Quantity::held(&written.value) else {
            return self.ct.source.slice(written.span).to_owned();
        };
        let si = quantity.unit.dimension.si();
        match quantity.unit.canonical == si {
            true => quantity.written(),
            false => format!("{} ({} {si})", quantity.written(), in_si(&quantity)),
        }
    }

    /// What a reading was taken with, and how well that reads.
    fn instrument(&self, cell: &Given<Datum>) -> String {
        self.limits(cell)
            .map_or_else(String::new, |told| format!("; {told}"))
    }

    fn limits(&self, cell: &Given<Datum>) -> Option<String> {
        let (case, test) = self.test()?;
        let span = cell.get()?.span;
        let (measure, reading) = test.readings.iter().find(|(_, one)| one.span == span)?;
        let Quantity {
            si,
            resolution,
            unit,
            ..
        } = reading.value;
        let instrument = case.instrument(test)?;
        let Some(function) = instrument.accuracy(*measure, test.kind.name(), si) else {
            return Some(format!("{}, no limit of error stated", instrument.id));
        };
        let range = words::component(&Component::Range {
            instrument: instrument.id.clone(),
            measure: function.measures,
            up_to: function.to,
            circuit: "",
        });
        let limit = function.limit_of_error(si) + function.digits * resolution;
        let unit = unit.dimension.si();
        let what = match function.coverage {
            Some(_) => "stated uncertainty",
            None => "limit of error",
        };
        let range = self.ct.plain(&range);
        Some(format!(
            "{range}, {what} {} {unit}{}",
            rounded(limit, 2),
            self.known(span, unit)
        ))
    }

    /// `, U 0.0012 V` of a reading.
    fn known(&self, span: Span, unit: &str) -> String {
        let w = &self.ct.assessment.workings;
        let step = w.entered_at(span).into_iter().next();
        let value = step.and_then(|step| {
            Some(Value {
                si: w.step_at(step)?.value,
                step,
            })
        });
        let u = value.and_then(|value| expanded(w, value, &self.ct.setting.criteria));
        u.map_or_else(String::new, |u| format!(", U {} {unit}", rounded(u, 2)))
    }
}

fn heading(table: &Table) -> Vec<Said> {
    let rows = table.rows.len();
    let columns = table.columns.iter().flatten();
    let item = |column: &&'static Column| Item(format!("{}: {}", column.word, column.doc));
    let said = [
        line(format!("The heading of a table of {rows} rows.")),
        Head("Columns"),
    ];
    said.into_iter().chain(columns.map(item)).collect()
}

fn amendment(one: &Amendment) -> Said {
    line(format!(
        "An amendment of the line above: {} was {}; {}; {}.",
        one.what, one.was, one.why, one.who
    ))
}

/// A number in SI units, as finely as it was written.
fn in_si(quantity: &Quantity) -> String {
    let Quantity { si, resolution, .. } = *quantity;
    let bound = quantity.written_number();
    let bound = bound
        .strip_prefix(['>', '<'])
        .map_or("", |_| bound.get(..1).unwrap_or(""));
    if si != 0.0 && !(1e-6..1e9).contains(&si.abs()) {
        return format!("{bound}{}", rounded(si, 4));
    }
    let places = libm::ceil(-libm::log10(resolution.abs())).clamp(0.0, 12.0) as usize;
    format!("{bound}{si:.places$}")
}
