//! Readings: what stands in the sections of visits and their tests, as it was written.

use super::{Quantity, conditions};
use crate::archive::columns::Text;
use crate::archive::head::{Head, OnCore, some};
use crate::derive::case::Case;
use crate::derive::workings::Value;
use crate::ground::diagnostic::Code;
use crate::ground::number::Bound;
use crate::ground::quantity::Quantity as Read;
use crate::ground::span::{Given, Located, Span};
use crate::ground::ucum;
use crate::ground::unit::Dimension;
use crate::job::Compiled;
use crate::judge::verdict::{coverage_factor, expanded};
use crate::record::body::{Body, Field, Row, Table};
use crate::record::core::{core_index, resolve};
use crate::record::kinds::Test;
use crate::record::schema::{Argument, Column, Kind};
use crate::record::sections;
use crate::record::value::Datum;
use crate::trade::Pair;
use std::collections::BTreeMap;

pub(super) fn rows(one: &Compiled, head: &Head) -> Vec<Quantity> {
    let sheet = Sheet::of(one);
    let (instruments, criteria) = one.setting.parts();
    let cases: Vec<Case<'_>> = Case::each(&one.record, instruments, criteria).collect();
    let mut rows = Vec::new();
    let written = &one.record.written;
    for (section, body) in written.tree.sections.iter().zip(&written.bodies) {
        let Some(body) = body else { continue };
        let Some(schema) = sections::named(one.source.slice(section.name)) else {
            continue;
        };
        let is_visit = schema.argument == Argument::Visit;
        if !is_visit && !schema.is_test() {
            continue;
        }
        let own = |case: &&Case<'_>| match is_visit {
            true => case.visit.span == section.open && !case.visit.as_found(),
            false => case
                .visit
                .tests
                .iter()
                .any(|test| test.span == section.open),
        };
        let case = cases.iter().find(own);
        let tests = case.into_iter().flat_map(|case| &case.visit.tests);
        let test = tests.into_iter().find(|test| test.span == section.open);
        let mut base = head.row(one, case.map(|case| case.visit));
        base.kind = some("reading");
        base.test = some(schema.name).filter(|_| !is_visit);
        if let (Some(case), Some(test)) = (case, test) {
            conditions::of_section(&mut base, case, test);
        }
        sheet.put(body, test, &base, &mut rows);
    }
    rows
}

/// A record with what its readings are looked up by.
struct Sheet<'a> {
    one: &'a Compiled,
    /// What was entered into the workings, by where it stands.
    entered: BTreeMap<(u32, u32), Value>,
    told: Vec<(Span, Code)>,
}

impl<'a> Sheet<'a> {
    fn of(one: &'a Compiled) -> Self {
        let mut entered = BTreeMap::new();
        for (span, value) in one.assessment.workings.entered() {
            entered.entry((span.start, span.end)).or_insert(value);
        }
        let told = one.diagnostics.iter().map(|told| (told.span, told.code));
        Self {
            one,
            entered,
            told: told.collect(),
        }
    }

    fn put(&self, body: &Body, test: Option<&Test>, base: &Quantity, rows: &mut Vec<Quantity>) {
        let driven = test.and_then(|test| Some(test.pair?.value));
        let mut base = base.clone();
        OnCore::of(self.one, None, driven).put(&mut base);
        for field in body.fields.iter().filter(|field| is_key_reading(field)) {
            let written = self.cell(field.key.word, &field.value, &base);
            rows.extend(written.map(|row| Quantity {
                line: self.line(field.key_span),
                ..row
            }));
        }
        let mut number = 0;
        for table in &body.tables {
            for row in &table.rows {
                number += 1;
                let mut of_row = base.clone();
                of_row.table_row = Some(number);
                of_row.line = self.line(row.span);
                self.subject(table, row, driven, &mut of_row);
                let cells = table.columns.iter().zip(&row.cells).enumerate();
                for (at, (column, cell)) in cells {
                    let Some(column) = column.filter(|column| !is_subject(column, at)) else {
                        continue;
                    };
                    rows.extend(self.cell(column.word, cell, &of_row));
                }
            }
        }
    }

    fn line(&self, at: Span) -> Option<i64> {
        i64::try_from(self.one.source.line(at.start)).ok()
    }

    /// What a row is of: its core, its pair, what else it names, and the current that was set.
    fn subject(&self, table: &Table, row: &Row, driven: Option<Pair>, out: &mut Quantity) {
        let cores = &self.one.record.cores;
        let (mut core, mut pair, mut named) = (None, driven, Vec::new());
        let cells = table.columns.iter().zip(&row.cells).enumerate();
        for (at, (column, cell)) in cells {
            let (Some(column), Some(datum)) = (*column, cell.get()) else {
                continue;
            };
            match &datum.value {
                Datum::Pair(name) => match resolve(cores, name, datum.span, &mut Vec::new()) {
                    Some(found) => pair = Some(found),
                    None => named.push(format!("{}-{}", name.from, name.to)),
                },
                Datum::Core(name) => match core_index(cores, name) {
                    Some(found) => core = Some(found),
                    None => named.push(name.clone()),
                },
                Datum::Between(between) => named.push(between.text()),
                Datum::Quantity(read)
                    if column.set && read.unit.dimension == Dimension::Percent =>
                {
                    out.percent = Some(read.si);
                }
                _ if is_subject(column, at) => {
                    named.push(self.one.source.slice(datum.span).to_owned());
                }
                _ => {}
            }
        }
        // A row that names its core says nothing of the pair that is driven.
        let pair = pair.filter(|pair| core.is_none_or(|core| core == pair.core));
        OnCore::of(self.one, core, pair).put(out);
        out.subject = some(&named.join(", "));
    }

    /// The row of one value; `None` where nothing was written.
    fn cell(&self, word: &str, cell: &Given<Datum>, base: &Quantity) -> Option<Quantity> {
        let span = cell.span()?;
        let mut row = Quantity {
            quantity: some(word),
            written: Some(self.one.source.slice(span).trim().into()),
            diagnostic: self.diagnostic(span),
            ..base.clone()
        };
        match cell {
            Given::Written(Located { value, .. }) => self.value(value, span, &mut row),
            Given::Missing => return None,
            Given::Unreadable(_) => row.bound = some("unreadable"),
        }
        Some(row)
    }

    fn value(&self, datum: &Datum, span: Span, row: &mut Quantity) {
        match datum {
            Datum::Quantity(read) => self.number(read, span, row),
            Datum::At(at) => {
                self.number(&at.value, span, row);
                row.temperature = (at.at.unit.dimension == Dimension::Temperature)
                    .then_some(at.at.si)
                    .or(row.temperature);
            }
            Datum::Number(number) => {
                row.value = Some(*number);
                row.bound = some("exact");
                row.ucum = some("1");
                row.written_ucum = some("1");
            }
            Datum::Text(_)
            | Datum::Pair(_)
            | Datum::Terminals(_)
            | Datum::Ratio(_)
            | Datum::Class(_)
            | Datum::Burden(_)
            | Datum::Between(_)
            | Datum::Choice(_)
            | Datum::Core(_)
            | Datum::Moment(_) => {}
        }
    }

    fn number(&self, read: &Read, span: Span, row: &mut Quantity) {
        row.value = Some(read.si);
        row.ucum = some(&ucum::si(read.unit.dimension));
        row.written_ucum = some(&ucum::of(read.unit));
        row.bound = some(match read.bound {
            Bound::Exact => "exact",
            Bound::MoreThan => "more than",
            Bound::LessThan => "less than",
        });
        let (w, criteria) = (&self.one.assessment.workings, &self.one.setting.criteria);
        let value = self.entered.get(&(span.start, span.end));
        // What was entered there is this very number, not one that was made of it.
        let value = value.filter(|value| value.si == read.si);
        row.uncertainty = value.and_then(|value| expanded(w, *value, criteria));
        let known = value.filter(|_| row.uncertainty.is_some());
        row.coverage = known.map(|value| coverage_factor(criteria, &w.uncertainty(*value)));
    }

    fn diagnostic(&self, at: Span) -> Option<Text> {
        let (_, code) = self.told.iter().find(|(span, _)| span.meets(at))?;
        some(code.name())
    }
}

/// Whether a key holds what was read or set, not who came and why.
fn is_key_reading(field: &Field) -> bool {
    !matches!(
        field.key.kind,
        Kind::Text | Kind::Pair | Kind::Core | Kind::Moment
    )
}

/// Whether a column names what its row is of.
fn is_subject(column: &Column, at: usize) -> bool {
    match column.kind {
        Kind::Pair | Kind::Core | Kind::Between => true,
        Kind::Text | Kind::Choice(_) => at == 0,
        Kind::Quantity(_)
        | Kind::Either(..)
        | Kind::Number
        | Kind::Count
        | Kind::Terminals
        | Kind::Ratio
        | Kind::Class
        | Kind::Burden
        | Kind::QuantityAt(..)
        | Kind::Moment => false,
    }
}
