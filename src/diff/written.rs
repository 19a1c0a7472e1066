//! What is written: sections, their fields, tables and notes.

use super::order::by_name;
use super::rows::{self, shown};
use super::value::{bare, how, quantity, size};
use super::{Difference, How, Of};
use crate::derive::workings::Value;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::job::Compiled;
use crate::judge::verdict::expanded;
use crate::record::body::{Body, Field, Row, Table};
use crate::record::is_same_text as same;
use crate::record::schema::Column;
use crate::record::value::{Amendment, Datum};
use std::collections::BTreeMap;

/// A section of a record.
pub(super) struct Section<'a> {
    /// `visit 2026-03-14 / excitation 1S1-1S2`
    pub name: String,
    of: Of,
    open: Span,
    pub body: Option<&'a Body>,
}

/// One state of the record.
pub(super) struct State<'a> {
    ct: &'a Compiled,
    pub sections: Vec<Section<'a>>,
    /// Values of the ledger by where they are written.
    values: BTreeMap<Span, Value>,
}

impl<'a> State<'a> {
    pub fn of(ct: &'a Compiled) -> Self {
        let written = &ct.record.written;
        let mut sections = Vec::new();
        let mut visit = String::new();
        for (section, body) in written.tree.sections.iter().zip(&written.bodies) {
            let text = |span: Span| bare(ct.source.slice(span));
            let (name, argument) = (text(section.name), text(section.argument));
            let own = bare(&format!("{name} {argument}"));
            let is_visit = name == "visit";
            if is_visit {
                visit.clone_from(&own);
            }
            let is_of_unit = ["ct", "place", "core", "duty"].contains(&name.as_str());
            let within = !(is_visit || is_of_unit || visit.is_empty());
            sections.push(Section {
                name: if within {
                    format!("{visit} / {own}")
                } else {
                    own
                },
                of: if is_of_unit {
                    Of::Plate
                } else {
                    Of::Observation
                },
                open: section.open,
                body: body.as_ref(),
            });
        }
        Self {
            ct,
            sections,
            values: ct.assessment.workings.entered().collect(),
        }
    }

    fn names(&self) -> Vec<String> {
        self.sections
            .iter()
            .map(|section| section.name.clone())
            .collect()
    }

    fn line(&self, span: Span) -> usize {
        self.ct.source.line(span.start)
    }

    /// Expanded uncertainty of what is read at a place, SI.
    fn expanded(&self, span: Span) -> Option<f64> {
        let value = self.values.get(&span)?;
        expanded(
            &self.ct.assessment.workings,
            *value,
            &self.ct.setting.criteria,
        )
    }
}

/// Everything that is written otherwise.
pub fn differences(before: Option<&Compiled>, after: Option<&Compiled>) -> Vec<Difference> {
    let [before, after] = [before, after].map(|one| one.map(State::of));
    let names = |state: &Option<State<'_>>| state.as_ref().map_or(Vec::new(), State::names);
    let pairs = by_name(&names(&before), &names(&after));
    let mut found = Vec::new();
    for (old, new) in &pairs {
        let old = before
            .as_ref()
            .zip(*old)
            .and_then(|(state, at)| side(state, at));
        let new = after
            .as_ref()
            .zip(*new)
            .and_then(|(state, at)| side(state, at));
        match (old, new) {
            (Some(old), Some(new)) => within(old, new, &mut found),
            (old, new) => found.extend(alone(old, new)),
        }
    }
    let kept: Vec<usize> = pairs
        .iter()
        .filter_map(|(old, new)| new.and(*old))
        .collect();
    if !kept.is_sorted() {
        found.push(Difference::plain(
            Of::Order,
            How::Changed,
            "order of the sections".to_owned(),
        ));
    }
    found
}

/// A section in its state.
type Side<'s, 'a> = (&'s State<'a>, &'s Section<'a>);

fn side<'s, 'a>(state: &'s State<'a>, at: usize) -> Option<Side<'s, 'a>> {
    Some((state, state.sections.get(at)?))
}

/// A section that is only in one of the states.
fn alone(old: Option<Side<'_, '_>>, new: Option<Side<'_, '_>>) -> Option<Difference> {
    let (state, section) = old.or(new)?;
    let how = if old.is_some() {
        How::Removed
    } else {
        How::Added
    };
    let line = Some(state.line(section.open));
    let is_read = section.of == Of::Observation && section.body.is_some_and(holds_readings);
    Some(Difference {
        unamended: old.is_some() && is_read,
        line_before: old.and(line),
        line_after: new.and(line),
        ..Difference::plain(section.of, how, section.name.clone())
    })
}

/// Whether anything was observed in a section.
fn holds_readings(body: &Body) -> bool {
    let fields = body.fields.iter().map(|field| &field.value);
    let cells = body.tables.iter().flat_map(|table| &table.rows);
    let cells = cells.flat_map(|row| &row.cells);
    let is_read = |value: &Given<Datum>| {
        value
            .value()
            .is_some_and(|datum| !matches!(datum, Datum::Text(_)))
    };
    fields.chain(cells).any(is_read)
}

fn within(old: Side<'_, '_>, new: Side<'_, '_>, found: &mut Vec<Difference>) {
    let (Some(own), Some(other)) = (old.1.body, new.1.body) else {
        return;
    };
    let words = |body: &Body| {
        let words = body.fields.iter().map(|field| field.key.word.to_owned());
        words.collect::<Vec<_>>()
    };
    for (before, after) in by_name(&words(own), &words(other)) {
        let before = before.and_then(|at| own.fields.get(at));
        let after = after.and_then(|at| other.fields.get(at));
        found.extend(field((old, before), (new, after)));
    }
    notes((old.0, own), (new.0, other), &new.1.name, found);
    let tables = own.tables.len().max(other.tables.len());
    for at in 0..tables {
        table(
            (old, own.tables.get(at)),
            (new, other.tables.get(at)),
            found,
        );
    }
}

/// What stands in a field or a cell of one state.
#[derive(Clone)]
struct Written<'a> {
    text: String,
    span: Span,
    given: &'a Given<Datum>,
}

impl Written<'_> {
    fn datum(&self) -> Option<&Datum> {
        self.given.value()
    }

    fn quantity(&self) -> Option<&Quantity> {
        quantity(self.datum()?)
    }
}

fn field(
    (old, before): (Side<'_, '_>, Option<&Field>),
    (new, after): (Side<'_, '_>, Option<&Field>),
) -> Option<Difference> {
    let written = |field: &'_ Field| (bare(&field.text.value), field.text.span);
    let [one, other] = [before, after].map(|field| {
        let field = field?;
        let (text, span) = written(field);
        let given = &field.value;
        Some(Written { text, span, given })
    });
    let key = before.or(after)?.key.word;
    let amendments = after.map_or(&[][..], |field| &field.amended);
    let is_amended = |was: &str| {
        amendments
            .iter()
            .any(|one| one.what == key && same(&one.was, was))
    };
    let place = format!("{} / {key}", new.1.name);
    compared((old, one), (new, other), place, &is_amended)
}

/// One value in both states.
fn compared(
    (old, before): (Side<'_, '_>, Option<Written<'_>>),
    (new, after): (Side<'_, '_>, Option<Written<'_>>),
    place: String,
    is_amended: &dyn Fn(&str) -> bool,
) -> Option<Difference> {
    let data = [&before, &after].map(|one| one.as_ref().and_then(Written::datum));
    let texts = [&before, &after].map(|one| one.as_ref().map(|one| one.text.clone()));
    let how = match (data, &texts) {
        ([Some(one), Some(other)], [Some(own), Some(new)]) => how(one, other, [own, new])?,
        (_, [own, new]) if own == new => return None,
        (_, [None, _]) => How::Added,
        (_, [_, None]) => How::Removed,
        _ => How::Changed,
    };
    let is_read = data
        .into_iter()
        .flatten()
        .any(|datum| !matches!(datum, Datum::Text(_)));
    let of = match new.1.of {
        Of::Observation if !is_read => Of::Words,
        of => of,
    };
    // What was not there before is no correction.
    let was_read = data.first().is_some_and(Option::is_some);
    let was = texts.first().cloned().flatten().unwrap_or_default();
    let quantities = [&before, &after].map(|one| one.as_ref().and_then(Written::quantity));
    let u = after.as_ref().and_then(|after| new.0.expanded(after.span));
    let size = match quantities {
        [Some(one), Some(other)] if how == How::Changed => size(one, other, u),
        _ => None,
    };
    let [text_before, text_after] = texts;
    Some(Difference {
        size,
        unamended: of == Of::Observation && was_read && !is_amended(&was),
        before: text_before,
        after: text_after,
        line_before: before.map(|one| old.0.line(one.span)),
        line_after: after.map(|one| new.0.line(one.span)),
        ..Difference::plain(of, how, place)
    })
}

fn notes(
    (old, own): (&State<'_>, &Body),
    (new, other): (&State<'_>, &Body),
    section: &str,
    found: &mut Vec<Difference>,
) {
    let lines = |body: &Body| {
        let notes = body
            .notes
            .iter()
            .map(|note| (note.value.clone(), note.span));
        let undone = body.omissions.iter();
        let undone = undone.map(|one| {
            (
                format!("not done {}: {}", one.scope.value, one.why),
                one.span,
            )
        });
        notes
            .chain(undone)
            .map(|(text, span)| (bare(&text), span))
            .collect::<Vec<_>>()
    };
    let [own, other] = [own, other].map(lines);
    let texts = |lines: &[(String, Span)]| {
        lines
            .iter()
            .map(|(text, _)| text.clone())
            .collect::<Vec<_>>()
    };
    for (before, after) in by_name(&texts(&own), &texts(&other)) {
        let before = before.and_then(|at| own.get(at));
        let after = after.and_then(|at| other.get(at));
        let how = match (before, after) {
            (Some(_), Some(_)) | (None, None) => continue,
            (Some(_), None) => How::Removed,
            (None, Some(_)) => How::Added,
        };
        found.push(Difference {
            before: before.map(|(text, _)| text.clone()),
            after: after.map(|(text, _)| text.clone()),
            line_before: before.map(|(_, span)| old.line(*span)),
            line_after: after.map(|(_, span)| new.line(*span)),
            ..Difference::plain(Of::Words, how, format!("{section} / note"))
        });
    }
}

fn table(
    (old, before): (Side<'_, '_>, Option<&Table>),
    (new, after): (Side<'_, '_>, Option<&Table>),
    found: &mut Vec<Difference>,
) {
    let sources = [&old.0.ct.source, &new.0.ct.source];
    let none = Table {
        heading: Span::default(),
        columns: Vec::new(),
        rows: Vec::new(),
    };
    let [before, after] = [before, after].map(|table| table.unwrap_or(&none));
    let [own, other] = sources;
    for (at_before, at_after) in rows::pairs((own, before), (other, after)) {
        let row = at_before.and_then(|at| Some((before.rows.get(at)?, at)));
        let other_row = at_after.and_then(|at| Some((after.rows.get(at)?, at)));
        match (row, other_row) {
            (Some((row, _)), Some((other_row, at))) => {
                let title = rows::title(other, after, other_row, at);
                let place = format!("{} / {title}", new.1.name);
                cells((old, before, row), (new, after, other_row), &place, found);
            }
            (Some((row, at)), None) => {
                let title = rows::title(own, before, row, at);
                let is_read = row.cells.iter().any(|cell| cell.get().is_some());
                found.push(Difference {
                    before: Some(bare(own.slice(row.span))),
                    line_before: Some(old.0.line(row.span)),
                    unamended: old.1.of == Of::Observation && is_read,
                    ..Difference::plain(old.1.of, How::Removed, format!("{} / {title}", old.1.name))
                });
            }
            (None, Some((row, at))) => {
                let title = rows::title(other, after, row, at);
                found.push(Difference {
                    after: Some(bare(other.slice(row.span))),
                    line_after: Some(new.0.line(row.span)),
                    ..Difference::plain(new.1.of, How::Added, format!("{} / {title}", new.1.name))
                });
            }
            (None, None) => {}
        }
    }
}

fn cells(
    (old, before, row): (Side<'_, '_>, &Table, &Row),
    (new, after, other): (Side<'_, '_>, &Table, &Row),
    place: &str,
    found: &mut Vec<Difference>,
) {
    let words = |table: &Table| {
        let words = table.columns.iter();
        let words = words.map(|column| column.map_or("?", |column| column.word).to_owned());
        words.collect::<Vec<_>>()
    };
    for (own, later) in by_name(&words(before), &words(after)) {
        let one = own.and_then(|at| cell(old.0, before, row, at));
        let next = later.and_then(|at| cell(new.0, after, other, at));
        let column = later.and_then(|at| after.columns.get(at).copied().flatten());
        let column = column.or(own.and_then(|at| before.columns.get(at).copied().flatten()));
        let Some(column) = column else { continue };
        let is_amended = |was: &str| amended(&other.amended, column, was);
        let place = format!("{place} / {}", column.word);
        found.extend(compared((old, one), (new, next), place, &is_amended));
    }
}

fn amended(amendments: &[Amendment], column: &Column, was: &str) -> bool {
    amendments
        .iter()
        .any(|one| column.is_called(&one.what) && same(was, &one.was) | same(&one.was, was))
}

/// A cell; `None` where nothing stands in it.
fn cell<'a>(state: &State<'a>, table: &'a Table, row: &'a Row, at: usize) -> Option<Written<'a>> {
    let given = row.cells.get(at)?;
    let _ = table;
    let (text, span) = match given.get() {
        Some(datum) => (shown(&state.ct.source, datum), datum.span),
        None => {
            let span = given.span().filter(|span| *span != row.span)?;
            (bare(state.ct.source.slice(span)), span)
        }
    };
    Some(Written { text, span, given })
}
