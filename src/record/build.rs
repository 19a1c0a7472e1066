//! Sections to a record: plate first, then places, cores, duties, visits and their tests.

use super::attachments::{self, Attachment, Attachments};
use super::body::Body;
use super::core::{Core, argument_pair, core_index, core_unknown, resolve};
use super::duty::Duty;
use super::kinds::{self, TestKind};
use super::like::SharedPlates;
use super::parse::{self, Piece};
use super::place::Place;
use super::plate::Plate;
use super::reader;
use super::schema::{Argument, Section as Schema};
use super::sign_off::SignOffs;
use super::visit::Visit;
use super::{FORMAT, Record, Written, fence, inputs, sections, words};
use crate::ground::date::Date;
use crate::ground::diagnostic::{Code, Diagnostic, sort};
use crate::ground::nearest::nearest;
use crate::ground::source::Source;
use crate::ground::span::{Given, Located, Span};
use crate::syntax::{self, Class, Section, Tree};
use crate::trade::{Family, PairName};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Whether a section can have this name.
pub fn is_section(name: &str) -> bool {
    sections::named(name).is_some()
}

/// Reads a record that no other lends a plate.
pub fn read_alone(source: &Source) -> (Record, Vec<Diagnostic>) {
    let (tree, mut found) = syntax::read(source, is_section);
    let (record, mut more) = read(source, &tree, &SharedPlates::default());
    found.append(&mut more);
    sort(&mut found);
    (record, found)
}

/// Reads a record. What could be read comes back together with everything that is wrong.
///
/// A core that says `like:` takes terminals and taps from one of the `plates`.
pub fn read(source: &Source, tree: &Tree, plates: &SharedPlates<'_>) -> (Record, Vec<Diagnostic>) {
    let mut found = Vec::new();
    if !source.refused {
        head(source, tree, &mut found);
    }
    let mut builder = Builder::new(source, plates, found);
    let sections = tree.sections.iter();
    let bodies = sections
        .map(|section| builder.section(tree, section))
        .collect();
    let lenders = std::mem::take(&mut builder.lenders);
    let (mut record, found) = builder.finish();
    let tree = tree.clone();
    record.written = Arc::new(Written {
        tree,
        bodies,
        sha256: source.sha256.clone(),
        lenders,
    });
    (record, found)
}

/// Which CT a record is of, and where it stands now.
#[derive(Debug)]
pub struct Identity {
    pub id: Given<String>,
    pub place: Option<Place>,
    /// The files that its visits name.
    pub attachments: Vec<Attachment>,
}

/// Reads of a record no more than its identity, and which files belong to it.
pub fn identity(source: &Source, tree: &Tree) -> Identity {
    let plates = SharedPlates::default();
    let mut builder = Builder::new(source, &plates, Vec::new());
    for section in &tree.sections {
        let schema = sections::named(source.slice(section.name));
        let is_wanted = |schema: &Schema| {
            let of_unit = matches!(schema.argument, Argument::None | Argument::Since);
            of_unit || schema.name == attachments::SCHEMA.name
        };
        if schema.is_some_and(is_wanted) {
            builder.section(tree, section);
        }
    }
    let places = builder.places.pop();
    Identity {
        id: builder.plate.map_or(Given::Missing, |plate| plate.id),
        place: places.or(builder.plate_place),
        attachments: builder.attachments,
    }
}

/// The lines before the first section: `format:` and nothing else.
fn head(source: &Source, tree: &Tree, found: &mut Vec<Diagnostic>) {
    let mut format = None;
    let mut strays: Option<(Span, usize)> = None;
    for line in tree.head_lines() {
        match line.class(source) {
            Class::Blank | Class::Comment => {}
            Class::Field { key, value } if source.slice(key) == "format" => format = Some(value),
            Class::Text if source.slice(line.body).starts_with("format:") => {
                let (start, end) = (line.body.range().start, line.body.range().end);
                let key = Span::new(start, start + "format".len());
                let colon = Span::new(key.range().end, key.range().end + 1);
                found.push(words::colon_missing("format", key, ":", colon));
                // No space follows the colon, else it were a field.
                format = Some(Span::new(key.range().end + 1, end));
            }
            _ => {
                let (first, count) = strays.unwrap_or((line.body, 0));
                strays = Some((first.to(line.body), count + 1));
            }
        }
    }
    if let Some((span, count)) = strays {
        found.push(
            words::stray(span, count, None)
                .help("before the first section write only `format: 1` and comments"),
        );
    }
    match format {
        None => found.push(format_missing()),
        Some(value) => format_known(source.slice(value), value, found),
    }
}

fn format_missing() -> Diagnostic {
    let line = format!("format: {FORMAT}");
    Code::FormatMissing
        .at(Span::default(), "the record's format is not stated")
        .label(format!("expected `{line}` at the top"))
        .help(format!(
            "write `{line}` as the first line; the record is read as format {FORMAT}"
        ))
        .mend("add it", Span::default(), format!("{line}\n"), true)
}

fn format_known(text: &str, span: Span, found: &mut Vec<Diagnostic>) {
    match text.parse::<u32>() {
        Ok(number) if number == FORMAT => {}
        Ok(number) if number > FORMAT => found.push(words::format_newer(number, span)),
        _ => found.push(words::format_unreadable(text, span)),
    }
}

/// More cores and visits than any CT has; checks compare each with each.
const MOST_CORES: usize = 40;
const MOST_VISITS: usize = 1000;
/// More files than belong to any CT; each of them is read for its sum.
const MOST_ATTACHMENTS: usize = 400;

struct Builder<'a> {
    source: &'a Source,
    plates: &'a SharedPlates<'a>,
    found: Vec<Diagnostic>,
    plate: Option<Plate>,
    plate_place: Option<Place>,
    places: Vec<Place>,
    cores: Vec<Core>,
    duties: Vec<Duty>,
    visits: Vec<Visit>,
    /// The files of all visits.
    attachments: Vec<Attachment>,
    /// A visit whose date could not be read: its tests are read, but told nothing about.
    broken_visit: bool,
    undated: Vec<Span>,
    lenders: BTreeMap<String, String>,
    /// A core, or a tap of one, could not be read, so that what names it is not told to be unknown.
    hidden_core: bool,
    /// There are more cores than are read; told once.
    crowded: bool,
    homeless: Option<Span>,
    /// So many diagnostics stood before the section that is being read.
    told_before: usize,
}

impl<'a> Builder<'a> {
    fn new(source: &'a Source, plates: &'a SharedPlates<'a>, found: Vec<Diagnostic>) -> Self {
        Self {
            source,
            plates,
            found,
            plate: None,
            plate_place: None,
            places: Vec::new(),
            cores: Vec::new(),
            duties: Vec::new(),
            visits: Vec::new(),
            attachments: Vec::new(),
            broken_visit: false,
            undated: Vec::new(),
            lenders: BTreeMap::new(),
            hidden_core: false,
            crowded: false,
            homeless: None,
            told_before: 0,
        }
    }

    fn family(&self) -> Family {
        self.plate.as_ref().map_or(Family::Other, Plate::family)
    }

    fn section(&mut self, tree: &Tree, section: &Section) -> Option<Body> {
        let name = self.source.slice(section.name);
        let Some(schema) = sections::named(name) else {
            let names = sections::all().map(|section| section.name);
            self.hidden_core |= nearest(name, names) == Some("core");
            self.found.push(section_unknown(
                name,
                if name.is_empty() {
                    section.open
                } else {
                    section.name
                },
            ));
            return None;
        };
        let lines = tree.lines_of(section);
        let ieee = self.family() == Family::Ieee;
        self.told_before = self.found.len();
        let body = reader::read(
            self.source,
            lines,
            schema,
            section.open,
            section.argument,
            ieee,
            &mut self.found,
        );
        self.order(schema.name, section.open);
        match (schema.argument, schema.name) {
            (Argument::None, _) => self.plate(section, &body),
            (Argument::Since, _) => self.place(section, &body),
            (Argument::NewCore, _) => self.core(section, &body),
            (Argument::CoreSince, _) => self.duty(section, &body),
            (Argument::Visit, _) => self.visit(section, &body),
            (Argument::OfVisit, name) => self.papers(name, section, &body),
            (Argument::Pair, name) => {
                if let Some(kind) = TestKind::of(name) {
                    self.test(kind, section, &body);
                }
            }
        }
        if let Some((_, at)) = body.lost.filter(|(name, _)| *name == "visit") {
            // The tests behind it are of a visit that has no line, and not of the one before.
            self.broken_visit = true;
            self.undated.push(at);
        }
        Some(body)
    }

    /// Plate before places, cores, duties; those before visits.
    fn order(&mut self, name: &str, open: Span) {
        let late = match name {
            "ct" => !self.cores.is_empty() || !self.visits.is_empty(),
            "core" => !self.visits.is_empty() || !self.duties.is_empty(),
            _ => false,
        };
        if late {
            self.found.push(words::section_misplaced(name, open));
        }
    }

    fn plate(&mut self, section: &Section, body: &Body) {
        self.no_argument(section);
        if let Some(first) = &self.plate {
            self.found
                .push(words::section_duplicate("ct", section.open, first.span));
            return;
        }
        let plate = Plate::read(body);
        let place = Place::read(body, None);
        self.plate_place = (!place.is_empty()).then_some(place);
        self.plate = Some(plate);
    }

    fn no_argument(&mut self, section: &Section) {
        if !section.argument.is_empty() {
            self.argument_wrong("ct", section, section.argument, "");
        }
    }

    /// Tells that a section's argument is wrong, or on its opening line that there is none.
    fn argument_wrong(&mut self, name: &str, section: &Section, argument: Span, example: &str) {
        let at = if argument.is_empty() {
            section.open
        } else {
            argument
        };
        let text = self.source.slice(argument);
        self.found.push(words::argument(name, text, at, example));
    }

    fn place(&mut self, section: &Section, body: &Body) {
        let since = self.since(section, section.argument, "place", " since 2026-03-10");
        self.places.push(Place::read(body, since));
    }

    fn day(&mut self, day: &str, at: Span) -> Option<Located<Date>> {
        match parse::day(Piece::new(day, at.range().start)) {
            Ok(date) => Some(Located::new(date, at)),
            Err(told) => {
                self.found.push(told);
                None
            }
        }
    }

    /// `since 2026-03-10` at the start of an argument.
    fn since(
        &mut self,
        section: &Section,
        argument: Span,
        name: &str,
        example: &str,
    ) -> Option<Located<Date>> {
        let parts = reader::argument_words(self.source, argument);
        if let [("since", _), (day, at)] = parts.as_slice() {
            return self.day(day, *at);
        }
        self.argument_wrong(name, section, argument, example);
        None
    }

    fn core(&mut self, section: &Section, body: &Body) {
        let name = self.source.slice(section.argument);
        self.hidden_core |= body.doubtful.is_some();
        if name.is_empty() || name.contains([' ', '\t']) {
            self.hidden_core = true;
            return self.argument_wrong("core", section, section.argument, " 1S");
        }
        if let Some(first) = self.cores.iter().find(|core| core.name == name) {
            let told = words::core_duplicate(name, section.argument, first.span);
            self.found.push(told);
            return;
        }
        if self.cores.len() == MOST_CORES {
            if !std::mem::replace(&mut self.crowded, true) {
                let told = words::too_many("cores", MOST_CORES, section.open);
                self.found.push(told);
            }
            return;
        }
        let mut core = Core::read(name, body, &mut self.found);
        let own = self.plate.as_ref().and_then(|plate| plate.id.value());
        let own = own.map(String::as_str);
        if let Some(lender) = super::like::resolve(&mut core, own, self.plates, &mut self.found) {
            let id = core.like.value().cloned().unwrap_or_default();
            self.lenders.insert(id, lender.sha256.clone());
            self.lenders.extend(lender.lenders.clone());
        }
        core.inputs = inputs::of(&core, self.plate.as_ref(), &mut self.found);
        self.cores.push(core);
    }

    fn duty(&mut self, section: &Section, body: &Body) {
        const EXAMPLE: &str = " 1S since 2026-03-10";
        let parts = reader::argument_words(self.source, section.argument);
        let Some((name, at)) = parts.first().copied() else {
            return self.argument_wrong("duty", section, section.argument, EXAMPLE);
        };
        let rest = parts.get(1).map_or(at.after(), |(_, second)| {
            second.to(section.argument.after())
        });
        let since = self.since(section, rest, "duty", EXAMPLE);
        let Some(core) = core_index(&self.cores, name) else {
            self.found.push(core_unknown(name, at, &self.cores));
            return;
        };
        let tap = body.get::<PairName>("tap in service");
        let tap = tap.get().and_then(|Located { value, span }| {
            let pair = resolve(&self.cores, value, *span, &mut self.found)?;
            Some(Located::new(pair, *span))
        });
        self.duties.push(Duty::read(body, core, since, tap));
    }

    fn visit(&mut self, section: &Section, body: &Body) {
        if self.visits.len() == MOST_VISITS {
            if !std::mem::replace(&mut self.broken_visit, true) {
                let told = words::too_many("visits", MOST_VISITS, section.open);
                self.found.push(told);
            }
            return;
        }
        let parts = reader::argument_words(self.source, section.argument);
        let (date, letter) = match parts.as_slice() {
            [(day, at)] => (self.day(day, *at), None),
            [(day, at), (letter, _)] => (self.day(day, *at), Some((*letter).to_owned())),
            _ => {
                self.argument_wrong("visit", section, section.argument, " 2026-03-14");
                (None, None)
            }
        };
        self.broken_visit = date.is_none();
        match date {
            Some(date) => {
                self.visit_order(date, letter.as_deref());
                self.visits.push(Visit::read(body, date, letter));
            }
            None => {
                self.undated.push(section.open);
                if let Some(told) = self.found.pop() {
                    self.found.push(words::visit_hidden(told));
                }
            }
        }
    }

    /// What belongs to a visit beside its tests.
    fn papers(&mut self, name: &str, section: &Section, body: &Body) {
        if !section.argument.is_empty() {
            self.argument_wrong(name, section, section.argument, "");
        }
        let (mut attachments, mut sign_offs) = (Vec::new(), Vec::new());
        if name == attachments::SCHEMA.name {
            attachments = Attachments::read(body).rows;
            let room = MOST_ATTACHMENTS.saturating_sub(self.attachments.len());
            if let Some(beyond) = attachments.get(room) {
                let told = words::too_many("attachments", MOST_ATTACHMENTS, beyond.span);
                self.found.push(told);
                attachments.truncate(room);
            }
            self.attachments.extend(attachments.iter().cloned());
        } else {
            sign_offs = SignOffs::read(body).rows;
            for row in &mut sign_offs {
                if let Some(Located { value, span }) = row.day.get() {
                    row.date = self.day(value, *span);
                }
            }
        }
        if self.broken_visit {
            return;
        }
        let Some(visit) = self.visits.last_mut() else {
            self.homeless = self.homeless.or(Some(section.open));
            return;
        };
        visit.attachments.append(&mut attachments);
        visit.sign_offs.append(&mut sign_offs);
        visit.notes.extend(body.notes.iter().cloned());
        visit.omissions.extend(body.omissions.iter().cloned());
    }

    fn visit_order(&mut self, date: Located<Date>, letter: Option<&str>) {
        let Located { value: day, span } = date;
        let equal = |visit: &&Visit| visit.date.value == day && visit.letter.as_deref() == letter;
        let newer = |last: &&Visit| (last.date.value, last.letter.as_deref()) > (day, letter);
        let told = if let Some(first) = self.visits.iter().find(equal) {
            words::visit_duplicate(day, span, first.date.span)
        } else if let Some(last) = self.visits.last().filter(newer) {
            words::visit_order(last.date.value, span, last.date.span)
        } else {
            return;
        };
        self.found.push(told);
    }

    fn test(&mut self, kind: TestKind, section: &Section, body: &Body) {
        let (argument, text) = (section.argument, self.source.slice(section.argument));
        let pair = if text.is_empty() {
            None
        } else {
            argument_pair(text, argument, &self.cores, &mut self.found)
        };
        let mut test = kinds::read(kind, body, &self.cores, pair, &mut self.found);
        let mut own = self.found.iter().skip(self.told_before);
        // A row that could not be read is missing, and says nothing of the others.
        let in_a_row = |told: &Diagnostic| {
            let mut rows = body.tables.iter().flat_map(|table| &table.rows);
            rows.any(|row| row.span.range().contains(&told.span.range().start))
        };
        // What has no place in the section says nothing of what has one.
        let stray = |told: &Diagnostic| matches!(told.code, Code::KeyUnknown | Code::ColumnUnknown);
        test.misread = own.any(|told| told.is_error() && !stray(told) && !in_a_row(told));
        let ground = fence::Ground {
            source: self.source,
            cores: &self.cores,
        };
        self.found.extend(fence::test(&mut test, body, &ground));
        if self.broken_visit {
            return;
        }
        let Some(visit) = self.visits.last_mut() else {
            self.homeless = self.homeless.or(Some(section.open));
            return;
        };
        let equal = |other: &&kinds::Test| !kind.may_repeat() && other.identity == test.identity;
        if let Some(first) = visit.tests.iter().find(equal) {
            test.doubtful = test.doubtful.or(Some(section.open));
            let told = words::test_duplicate(kind.name(), section.open, first.span);
            self.found.push(told);
        }
        visit.tests.push(test);
    }

    fn finish(mut self) -> (Record, Vec<Diagnostic>) {
        if let Some(span) = self.homeless {
            self.found.push(words::test_before_visit(span));
        }
        if self.plate.is_none() && !self.source.refused {
            self.found.push(words::plate_missing(Span::default()));
        }
        let mut record = Record {
            plate: self.plate.unwrap_or_else(|| Plate::read(&Body::default())),
            places: self.plate_place.into_iter().chain(self.places).collect(),
            cores: self.cores,
            duties: self.duties,
            visits: self.visits,
            undated: self.undated,
            begins: Vec::new(),
            behind: Vec::new(),
            written: Arc::default(),
        };
        record.begins = super::occasion::begins(&record);
        // Each input of a summation CT is fed by a core of its own.
        if record.cores.iter().any(|core| !core.inputs.is_empty()) {
            for place in &mut record.places {
                place.feeder = None;
            }
        }
        let mut found = once_each(self.found, self.hidden_core);
        if !self.source.refused {
            super::check::record(&record, &mut found);
            fence::record(&mut record, &mut found);
            // What is a slip has been taken out.
            super::lineage::check(&record, &mut found);
        }
        record.visits = super::stages::part(record.visits);
        record.begins = super::occasion::begins(&record);
        sort(&mut found);
        (record, found)
    }
}

/// A terminal or a core that is not there is told where it is named first, with how often it is named again;
/// and not at all where its own section could not be read.
fn once_each(found: Vec<Diagnostic>, hidden_core: bool) -> Vec<Diagnostic> {
    let mut kept: Vec<(Diagnostic, usize)> = Vec::new();
    for told in found {
        let names = matches!(told.code, Code::TerminalUnknown | Code::CoreUnknown);
        if names && hidden_core {
            continue;
        }
        let same = |(known, _): &&mut (Diagnostic, usize)| names && known.title == told.title;
        match kept.iter_mut().find(same) {
            Some((_, again)) => *again += 1,
            None => kept.push((told, 0)),
        }
    }
    let told = kept
        .into_iter()
        .map(|(told, again)| match (again, told.help.clone()) {
            (0, _) | (_, None) => told,
            (1, Some(help)) => told.help(format!("{help} (and in one more place)")),
            (again, Some(help)) => told.help(format!("{help} (and in {again} more places)")),
        });
    told.collect()
}

/// What the trade calls some sections.
const CALLED: &[(&str, &str)] = &[
    ("tan-delta", "dissipation-factor"),
    ("loop-continuity", "continuity"),
    ("load-current", "load"),
    ("load-check", "load"),
];

fn section_unknown(name: &str, span: Span) -> Diagnostic {
    let names: Vec<&str> = sections::all().map(|section| section.name).collect();
    let found = Code::SectionUnknown
        .at(span, format!("there is no section [{name}]"))
        .label("its lines are not read");
    let called = CALLED.iter().find(|(called, _)| *called == name);
    let near = called.map(|(_, section)| *section);
    match near.or_else(|| nearest(name, names.iter().copied())) {
        Some(near) => found.help(format!("did you mean [{near}]?")).mend(
            format!("write {near}"),
            span,
            near,
            // Another section has another meaning.
            false,
        ),
        None => found.help(format!("sections are {}", words::list(names))),
    }
}
