//! What is written: sections, their fields, tables and notes.

use super::order::{Pair, by_name, by_run};
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
use crate::record::schema::{Kind, Stage};
use crate::record::value::{Amendment, Datum};
use crate::syntax::Class;
use std::collections::{BTreeMap, BTreeSet};

/// A section of a record.
pub(super) struct Section<'a> {
    /// `visit 2026-03-14 / excitation 1S1-1S2`
    pub name: String,
    /// `visit / excitation`
    kind: String,
    /// Which of several equal tests it is: `as found`.
    stage: Option<Stage>,
    of: Of,
    open: Span,
    pub body: Option<&'a Body>,
}

impl Section<'_> {
    /// A word for it together with its stage: what was found is no other state of what was left.
    fn staged(&self, word: &str) -> String {
        format!("{word} / {:?}", self.stage)
    }
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
                kind: if within {
                    format!("visit / {name}")
                } else {
                    name
                },
                stage: body
                    .as_ref()
                    .and_then(|body| body.get::<Stage>("stage").value().copied()),
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

    /// The sections by their names and stages.
    fn names(&self) -> Vec<String> {
        let staged = |section: &Section<'_>| section.staged(&section.name);
        self.sections.iter().map(staged).collect()
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
    let pairs = pairs(before.as_ref(), after.as_ref());
    let mut found = Vec::new();
    let is_kept = before.is_some() && after.is_some();
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
            (Some(old), Some(new)) => {
                found.extend(renamed(old, new));
                within(old, new, &mut found);
            }
            (None, Some(new)) => {
                found.extend(alone(None, Some(new)));
                // Of a record that is new as a whole its sections are enough.
                if is_kept {
                    let nothing = Body::default();
                    let empty = Section {
                        name: new.1.name.clone(),
                        kind: new.1.kind.clone(),
                        stage: new.1.stage,
                        of: new.1.of,
                        open: new.1.open,
                        body: Some(&nothing),
                    };
                    within((new.0, &empty), new, &mut found);
                }
            }
            (old, new) => found.extend(alone(old, new)),
        }
    }
    if let (Some(before), Some(after)) = (&before, &after) {
        found.extend(moved(&pairs, before));
        unread(before, after, &mut found);
        settings(before.ct, after.ct, &mut found);
    }
    found
}

/// Pairs by name and stage; then by name alone, in their order; of what is left, one section alone of its kind, with
/// its stage or without, is the same under another name.
fn pairs(before: Option<&State<'_>>, after: Option<&State<'_>>) -> Vec<Pair> {
    let names = |state: Option<&State<'_>>| state.map_or(Vec::new(), State::names);
    let pairs = by_name(&names(before), &names(after));
    let pairs = joined(pairs, (before, after), true, |one| one.name.clone());
    let pairs = joined(pairs, (before, after), false, |one| one.staged(&one.kind));
    joined(pairs, (before, after), false, |one| one.kind.clone())
}

/// Puts sections together that stand alone and are called alike: in their order where there are `several`, else only
/// where there is one of them in each state.
fn joined(
    mut pairs: Vec<Pair>,
    (before, after): (Option<&State<'_>>, Option<&State<'_>>),
    several: bool,
    called: impl Fn(&Section<'_>) -> String,
) -> Vec<Pair> {
    let name = |state: Option<&State<'_>>, at: usize| Some(called(state?.sections.get(at)?));
    let alone = |is_old: bool| {
        let mut named: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (place, pair) in pairs.iter().enumerate() {
            let name = match (is_old, pair) {
                (true, (Some(old), None)) => name(before, *old),
                (false, (None, Some(new))) => name(after, *new),
                _ => None,
            };
            if let Some(name) = name {
                named.entry(name).or_default().push(place);
            }
        }
        named
    };
    let (gone, come) = (alone(true), alone(false));
    let mut taken = BTreeSet::new();
    for (name, places) in &gone {
        let others = come.get(name).map_or(&[][..], Vec::as_slice);
        if !several && (places.len() != 1 || others.len() != 1) {
            continue;
        }
        for (own, other) in places.iter().zip(others) {
            let old = pairs.get(*own).and_then(|(old, _)| *old);
            if let Some(pair) = pairs.get_mut(*other) {
                pair.0 = old;
                taken.insert(*own);
            }
        }
    }
    let mut place = 0..;
    pairs.retain(|_| !place.next().is_some_and(|place| taken.contains(&place)));
    pairs
}

/// The same section under another name: another day, pair or label. No line can amend that.
fn renamed(old: Side<'_, '_>, new: Side<'_, '_>) -> Option<Difference> {
    (old.1.name != new.1.name).then(|| Difference {
        unamended: new.1.of == Of::Observation,
        before: Some(old.1.name.clone()),
        after: Some(new.1.name.clone()),
        line_before: Some(old.0.line(old.1.open)),
        line_after: Some(new.0.line(new.1.open)),
        ..Difference::plain(new.1.of, How::Changed, format!("{} / heading", new.1.name))
    })
}

/// Sections that stand at another place among the others: the order is that of the work.
fn moved(pairs: &[Pair], before: &State<'_>) -> Option<Difference> {
    let kept = pairs.iter().filter_map(|(old, new)| new.and(*old));
    let now: Vec<usize> = kept.collect();
    if now.is_sorted() {
        return None;
    }
    let mut then = now.clone();
    then.sort_unstable();
    let name = |at: &usize| before.sections.get(*at).map(|section| section.name.clone());
    let [now, then] = [now, then].map(|all| all.iter().filter_map(name).collect::<Vec<_>>());
    let moved = by_run(&then, &now, |_, _| f64::INFINITY);
    let moved = moved.into_iter().filter(|(_, new)| new.is_none());
    let moved: Vec<String> = moved
        .filter_map(|(old, _)| then.get(old?).cloned())
        .collect();
    let place = "order of the sections".to_owned();
    Some(Difference {
        after: (!moved.is_empty()).then(|| format!("moved: {}", moved.join("; "))),
        ..Difference::plain(Of::Order, How::Changed, place)
    })
}

impl State<'_> {
    /// The lines that nothing was read of, each with its number.
    pub fn unread(&self) -> Vec<(String, usize)> {
        let (source, tree) = (&self.ct.source, &self.ct.record.written.tree);
        let mut held = BTreeSet::new();
        let mut hold = |span: Span| {
            held.insert(source.line(span.start));
        };
        for section in &self.sections {
            hold(section.open);
            let Some(body) = section.body else { continue };
            body.fields.iter().for_each(|field| hold(field.key_span));
            sayings(body).iter().for_each(|(_, span)| hold(*span));
            for table in &body.tables {
                hold(table.heading);
                let is_whole = |cell: &Given<Datum>, row: &Row| {
                    cell.unreadable().is_none_or(|span| span != row.span)
                };
                let rows = table.rows.iter();
                let read = rows.filter(|row| row.cells.iter().any(|cell| is_whole(cell, row)));
                read.for_each(|row| hold(row.span));
            }
        }
        let lines = tree.lines.iter().zip(1..).filter(|(line, number)| {
            let says_nothing = matches!(line.class(source), Class::Blank | Class::Comment);
            !says_nothing && !held.contains(number)
        });
        let lines = lines.map(|(line, number)| (bare(source.slice(line.body)), number));
        // The rule of a Markdown table says nothing either.
        let is_rule = |text: &str| text.bytes().all(|b| matches!(b, b'|' | b'-' | b':' | b' '));
        lines.filter(|(text, _)| !is_rule(text)).collect()
    }
}

/// Lines that nothing is read of, and what stands before the first section.
fn unread(before: &State<'_>, after: &State<'_>, found: &mut Vec<Difference>) {
    let [own, other] = [before, after].map(State::unread);
    let names = |lines: &[(String, usize)]| {
        lines
            .iter()
            .map(|(text, _)| text.clone())
            .collect::<Vec<_>>()
    };
    for (old, new) in by_name(&names(&own), &names(&other)) {
        let (old, new) = (
            old.and_then(|at| own.get(at)),
            new.and_then(|at| other.get(at)),
        );
        let how = match (old, new) {
            (Some(_), None) => How::Removed,
            (None, Some(_)) => How::Added,
            _ => continue,
        };
        found.push(Difference {
            before: old.map(|(text, _)| text.clone()),
            after: new.map(|(text, _)| text.clone()),
            line_before: old.map(|(_, line)| *line),
            line_after: new.map(|(_, line)| *line),
            ..Difference::plain(Of::Unread, how, "a line".to_owned())
        });
    }
}

/// Files that verdicts rest on beside the record.
fn settings(before: &Compiled, after: &Compiled, found: &mut Vec<Difference>) {
    let files = |ct: &Compiled| {
        let (instruments, criteria) = ct.setting.parts();
        let [of_instruments, of_criteria] = ct.setting.names.clone();
        let known = instruments.map_or(String::new(), |known| known.sha256.clone());
        [
            (of_instruments, known),
            (of_criteria, criteria.sha256.clone()),
        ]
    };
    for ((_, own), (name, other)) in files(before).into_iter().zip(files(after)) {
        if own != other {
            found.push(Difference::plain(Of::Settings, How::Changed, name));
        }
    }
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
    let tables = own.tables.len().max(other.tables.len());
    for at in 0..tables {
        table(
            (old, own.tables.get(at)),
            (new, other.tables.get(at)),
            found,
        );
    }
    notes((old.0, own), (new.0, other), &new.1.name, found);
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
    let origin = |field: Option<&Field>| field.and_then(|field| field.origin);
    let is_from_elsewhere = origin(before) != origin(after);
    let [one, other] = [before, after].map(|field| {
        field.map(|field| Written {
            text: bare(&field.text.value),
            span: field.text.span,
            given: &field.value,
        })
    });
    let key = before.or(after)?.key.word;
    let amendments = after.map_or(&[][..], |field| &field.amended);
    let is_amended = |was: &str| {
        amendments
            .iter()
            .any(|one| one.what == key && says(one, was))
    };
    let place = format!("{} / {key}", new.1.name);
    let kind = before.or(after)?.key.kind;
    let found = compared(
        (old, one.clone()),
        (new, other.clone()),
        (place.clone(), kind),
        &is_amended,
    );
    found.or_else(|| {
        // The same value of another source.
        is_from_elsewhere.then(|| Difference {
            before: one.map(|one| one.text),
            after: other.map(|other| other.text),
            ..Difference::plain(new.1.of, How::Changed, place)
        })
    })
}

/// One value in both states.
fn compared(
    (old, before): (Side<'_, '_>, Option<Written<'_>>),
    (new, after): (Side<'_, '_>, Option<Written<'_>>),
    (place, kind): (String, Kind),
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
    let of = match new.1.of {
        Of::Observation if kind == Kind::Text => Of::Words,
        of => of,
    };
    // What was not there before is no correction.
    let was_read = before.is_some();
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

/// How a line that amends begins.
const AMENDED: &str = "amended:";

/// Notes, what was not done, and what was amended.
pub(super) fn sayings(body: &Body) -> Vec<(String, Span)> {
    let notes = body.notes.iter();
    let notes = notes.map(|note| (format!("note: {}", note.value), note.span));
    let undone = body.omissions.iter();
    let undone = undone.map(|one| {
        let text = format!("not done {}: {}", one.scope.value, one.why);
        (text, one.span)
    });
    let fields = body.fields.iter().flat_map(|field| &field.amended);
    let rows = body.tables.iter().flat_map(|table| &table.rows);
    let amended = fields.chain(rows.flat_map(|row| &row.amended));
    let amended = amended.map(|one| {
        let signed = one.date.map_or(String::new(), |date| format!(" {date}"));
        let (what, was, why, who) = (&one.what, &one.was, &one.why, &one.who);
        let text = format!("{AMENDED} {what} was {was}; {why}; {who}{signed}");
        (text, one.span)
    });
    let all = notes.chain(undone).chain(amended);
    all.map(|(text, span)| (bare(&text), span)).collect()
}

fn notes(
    (old, own): (&State<'_>, &Body),
    (new, other): (&State<'_>, &Body),
    section: &str,
    found: &mut Vec<Difference>,
) {
    let [own, other] = [own, other].map(sayings);
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
        let is_amendment = |one: &(String, Span)| one.0.starts_with(AMENDED);
        let of = match before.or(after).is_some_and(is_amendment) {
            true => Of::Observation,
            false => Of::Words,
        };
        found.push(Difference {
            // What was observed first is lost with it.
            unamended: before.is_some_and(is_amendment),
            before: before.map(|(text, _)| text.clone()),
            after: after.map(|(text, _)| text.clone()),
            line_before: before.map(|(_, span)| old.line(*span)),
            line_after: after.map(|(_, span)| new.line(*span)),
            ..Difference::plain(of, how, format!("{section} / line"))
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
                let title = rows::title((other, shown), after, other_row, at);
                let place = format!("{} / {title}", new.1.name);
                cells((old, before, row), (new, after, other_row), &place, found);
            }
            (Some((row, at)), None) => {
                let title = rows::title((own, shown), before, row, at);
                let is_read = row.cells.iter().any(|cell| cell.get().is_some());
                found.push(Difference {
                    before: Some(rows::whole(own, before, row)),
                    line_before: Some(old.0.line(row.span)),
                    unamended: old.1.of == Of::Observation && is_read,
                    ..Difference::plain(old.1.of, How::Removed, format!("{} / {title}", old.1.name))
                });
            }
            (None, Some((row, at))) => {
                let title = rows::title((other, shown), after, row, at);
                found.push(Difference {
                    after: Some(rows::whole(other, after, row)),
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
        let one = own.and_then(|at| cell(old.0, row, at));
        let next = later.and_then(|at| cell(new.0, other, at));
        let column = later.and_then(|at| after.columns.get(at).copied().flatten());
        let column = column.or(own.and_then(|at| before.columns.get(at).copied().flatten()));
        let Some(column) = column else { continue };
        let is_amended = |was: &str| {
            let mut of_column = other
                .amended
                .iter()
                .filter(|one| column.is_called(&one.what));
            of_column.any(|one| says(one, was))
        };
        let place = format!("{place} / {}", column.word);
        let place = (place, column.kind);
        found.extend(compared((old, one), (new, next), place, &is_amended));
    }
}

/// Whether an amendment tells what was written before.
fn says(amendment: &Amendment, was: &str) -> bool {
    same(&amendment.was, was) || same(was, &amendment.was)
}

/// A cell; `None` where nothing stands in it.
fn cell<'a>(state: &State<'a>, row: &'a Row, at: usize) -> Option<Written<'a>> {
    let given = row.cells.get(at)?;
    let (text, span) = match given.get() {
        Some(datum) => (shown(&state.ct.source, datum), datum.span),
        None => {
            let span = given.span().filter(|span| *span != row.span)?;
            (bare(state.ct.source.slice(span)), span)
        }
    };
    Some(Written { text, span, given })
}
