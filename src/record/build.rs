//! Sections to a record: plate first, then places, cores, duties, visits and their tests.

use super::core::{Core, argument_pair, core_index, core_unknown, resolve};
use super::duty::Duty;
use super::kinds::{self, TestKind};
use super::like::SharedPlates;
use super::parse::{self, Piece};
use super::place::Place;
use super::plate::Plate;
use super::reader::{self, Body};
use super::schema::{self, Argument};
use super::visit::Visit;
use super::{FORMAT, Record, words};
use crate::ground::date::Date;
use crate::ground::diagnostic::{Code, Diagnostic, sort};
use crate::ground::source::Source;
use crate::ground::span::{Given, Located, Span};
use crate::standards::Family;
use crate::syntax::line::trim_start;
use crate::syntax::{Class, Section, Tree, tree};

/// Whether a section can have this name.
pub fn is_section(name: &str) -> bool {
    schema::section(name).is_some()
}

/// Reads a record that no other lends a plate.
pub fn read_alone(source: &Source) -> (Record, Vec<Diagnostic>) {
    let (tree, mut found) = tree::read(source, is_section);
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
    for section in &tree.sections {
        builder.section(tree, section);
    }
    builder.finish()
}

/// The lines before the first section: `format:` and nothing else.
fn head(source: &Source, tree: &Tree, found: &mut Vec<Diagnostic>) {
    let mut format = None;
    let mut strays: Option<(Span, usize)> = None;
    for line in tree.head_lines() {
        match line.class {
            Class::Blank | Class::Comment => {}
            Class::Field { key, value } if source.slice(key) == "format" => format = Some(value),
            Class::Text if source.slice(line.body).starts_with("format:") => {
                let key = Span::new(
                    line.body.range().start,
                    line.body.range().start + "format".len(),
                );
                found.push(words::colon_missing("format", key, true));
                let behind = key.range().end + 1;
                let text = source.slice(Span::new(behind, line.body.range().end));
                format = Some(Span::new(
                    behind + (text.len() - trim_start(text).len()),
                    line.body.range().end,
                ));
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
                .help("before the first section only `format: 1` and comments stand"),
        );
    }
    match format {
        None => found.push(format_missing()),
        Some(value) => format_known(source.slice(value), value, found),
    }
}

fn format_missing() -> Diagnostic {
    Diagnostic::new(
        Code::FormatMissing,
        Span::default(),
        "the record does not say which format it is written in",
    )
    .label("expected `format: 1` at the top")
    .help(format!(
        "write `format: {FORMAT}` as the first line; the record is read as format {FORMAT}"
    ))
    .mend(
        "add it",
        Span::default(),
        format!("format: {FORMAT}\n"),
        true,
    )
}

fn format_known(text: &str, span: Span, found: &mut Vec<Diagnostic>) {
    match text.parse::<u32>() {
        Ok(number) if number == FORMAT => {}
        Ok(number) if number > FORMAT => found.push(
            Diagnostic::new(
                Code::FormatNewer,
                span,
                format!(
                    "the record is in format {number}, this program reads up to format {FORMAT}"
                ),
            )
            .label("newer than this program")
            .help("use a newer kneemark; what can be read is read as the newest known format"),
        ),
        _ => found.push(
            Diagnostic::new(
                Code::NumberUnreadable,
                span,
                format!("`{text}` is no format number"),
            )
            .label("expected a whole number")
            .help(format!("write `format: {FORMAT}`")),
        ),
    }
}

/// More cores and visits than any CT has; checks compare each with each.
const MOST_CORES: usize = 40;
const MOST_VISITS: usize = 1000;

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
    /// A visit whose date could not be read: its tests are read, but told nothing about.
    broken_visit: bool,
    /// There are more cores than are read; told once.
    crowded: bool,
    homeless: Option<Span>,
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
            broken_visit: false,
            crowded: false,
            homeless: None,
        }
    }

    fn family(&self) -> Family {
        self.plate.as_ref().map_or(Family::Other, Plate::family)
    }

    fn section(&mut self, tree: &Tree, section: &Section) {
        let name = self.source.slice(section.name);
        let Some(schema) = schema::section(name) else {
            self.found.push(words::section_unknown(
                name,
                if name.is_empty() {
                    section.open
                } else {
                    section.name
                },
            ));
            return;
        };
        let lines = tree.lines_of(section);
        let ieee = self.family() == Family::Ieee;
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
            (Argument::Pair, name) => {
                if let Some(kind) = TestKind::of(name) {
                    self.test(kind, section, &body);
                }
            }
        }
    }

    /// Plate before places, cores, duties; those before visits.
    fn order(&mut self, name: &str, open: Span) {
        let late = match name {
            "ct" => !self.cores.is_empty() || !self.visits.is_empty(),
            "core" => !self.visits.is_empty() || !self.duties.is_empty(),
            _ => false,
        };
        if late {
            self.found.push(
                Diagnostic::new(Code::SectionMisplaced, open, format!("[{name}] stands too late in the file"))
                    .label("sections above already needed it")
                    .help("the order is format, [ct], [place since …], [core …], [duty … since …], then the visits"),
            );
        }
    }

    fn plate(&mut self, section: &Section, body: &Body) {
        self.no_argument(section);
        if let Some(first) = &self.plate {
            self.found
                .push(section_duplicate("ct", section.open, first.span));
            return;
        }
        let plate = Plate::read(body);
        let place = Place::read(body, None);
        self.plate_place = (!place.is_empty()).then_some(place);
        self.plate = Some(plate);
    }

    fn no_argument(&mut self, section: &Section) {
        let text = self.source.slice(section.argument);
        if !text.is_empty() {
            self.found
                .push(words::argument("ct", text, section.argument, ""));
        }
    }

    fn place(&mut self, section: &Section, body: &Body) {
        let since = self.since(section.argument, "place", " since 2026-03-10");
        self.places.push(Place::read(body, since));
    }

    /// `since 2026-03-10` at the start of an argument.
    fn since(&mut self, argument: Span, name: &str, example: &str) -> Option<Located<Date>> {
        let parts = reader::argument_words(self.source, argument);
        match parts.as_slice() {
            [("since", _), (day, at)] => match parse::day(Piece::new(day, at.range().start)) {
                Ok(date) => Some(Located::new(date, *at)),
                Err(told) => {
                    self.found.push(told);
                    None
                }
            },
            _ => {
                let at = if argument.is_empty() {
                    argument.after()
                } else {
                    argument
                };
                self.found.push(words::argument(
                    name,
                    self.source.slice(argument),
                    at,
                    example,
                ));
                None
            }
        }
    }

    fn core(&mut self, section: &Section, body: &Body) {
        let name = self.source.slice(section.argument);
        if name.is_empty() || name.contains([' ', '\t']) {
            let at = if name.is_empty() {
                section.open
            } else {
                section.argument
            };
            self.found.push(words::argument("core", name, at, " 1S"));
            return;
        }
        if let Some(first) = self.cores.iter().find(|core| core.name == name) {
            self.found.push(
                Diagnostic::new(
                    Code::CoreDuplicate,
                    section.argument,
                    format!("there are two cores `{name}`"),
                )
                .label("again here")
                .other(first.span, "first here")
                .help("give each core the name that its terminals begin with"),
            );
            return;
        }
        if self.cores.len() == MOST_CORES {
            if !std::mem::replace(&mut self.crowded, true) {
                self.found
                    .push(words::too_many("cores", MOST_CORES, section.open));
            }
            return;
        }
        let mut core = Core::read(name, body, self.family(), &mut self.found);
        let own = self
            .plate
            .as_ref()
            .and_then(|plate| plate.id.value())
            .map(String::as_str);
        super::like::resolve(&mut core, own, self.plates, &mut self.found);
        self.cores.push(core);
    }

    fn duty(&mut self, section: &Section, body: &Body) {
        let parts = reader::argument_words(self.source, section.argument);
        let Some((name, at)) = parts.first().copied() else {
            self.found.push(words::argument(
                "duty",
                "",
                section.open,
                " 1S since 2026-03-10",
            ));
            return;
        };
        let rest = parts.get(1).map_or(at.after(), |(_, second)| Span {
            start: second.start,
            end: section.argument.end,
        });
        let since = self.since(rest, "duty", " 1S since 2026-03-10");
        let Some(core) = core_index(&self.cores, name) else {
            self.found.push(core_unknown(name, at, &self.cores));
            return;
        };
        let tap = match body.pair("tap in service") {
            Given::Written(name) => resolve(&self.cores, &name.value, name.span, &mut self.found)
                .map(|pair| Located::new(pair, name.span)),
            _ => None,
        };
        self.duties.push(Duty::read(core, since, tap, body));
    }

    fn visit(&mut self, section: &Section, body: &Body) {
        if self.visits.len() == MOST_VISITS {
            if !std::mem::replace(&mut self.broken_visit, true) {
                self.found
                    .push(words::too_many("visits", MOST_VISITS, section.open));
            }
            return;
        }
        let parts = reader::argument_words(self.source, section.argument);
        let (date, letter) = match parts.as_slice() {
            [(day, at)] => (
                parse::day(Piece::new(day, at.range().start)).map(|date| Located::new(date, *at)),
                None,
            ),
            [(day, at), (letter, _)] => (
                parse::day(Piece::new(day, at.range().start)).map(|date| Located::new(date, *at)),
                Some((*letter).to_owned()),
            ),
            _ => {
                let text = self.source.slice(section.argument);
                let at = if text.is_empty() {
                    section.open
                } else {
                    section.argument
                };
                (Err(words::argument("visit", text, at, " 2026-03-14")), None)
            }
        };
        match date {
            Err(told) => {
                self.found.push(told);
                self.broken_visit = true;
            }
            Ok(date) => {
                self.broken_visit = false;
                self.visit_order(date, letter.as_deref());
                self.visits.push(Visit::read(date, letter, body));
            }
        }
    }

    fn visit_order(&mut self, date: Located<Date>, letter: Option<&str>) {
        let same = self
            .visits
            .iter()
            .find(|visit| visit.date.value == date.value && visit.letter.as_deref() == letter);
        if let Some(first) = same {
            let told = Diagnostic::new(
                Code::VisitDuplicate,
                date.span,
                format!("there are two visits {}", date.value),
            )
            .label("again here")
            .other(first.date.span, "first here")
            .help("a second visit on one day gets a letter: [visit 2026-03-14 b]");
            self.found.push(told);
        } else if let Some(last) = self
            .visits
            .last()
            .filter(|last| last.date.value > date.value)
        {
            let told = Diagnostic::new(
                Code::VisitOrder,
                date.span,
                format!(
                    "this visit is older than the one above it, {}",
                    last.date.value
                ),
            )
            .label("older")
            .other(last.date.span, "the newer one")
            .help("visits stand oldest first; check the year, or move the visit up");
            self.found.push(told);
        }
    }

    fn test(&mut self, kind: TestKind, section: &Section, body: &Body) {
        let text = self.source.slice(section.argument);
        let pair = if text.is_empty() {
            None
        } else {
            argument_pair(text, section.argument, &self.cores, &mut self.found)
        };
        let mut test = kinds::read(kind, body, &self.cores, pair, &mut self.found);
        let Some(visit) = self.visits.last_mut().filter(|_| !self.broken_visit) else {
            if !self.broken_visit {
                self.homeless = self.homeless.or(Some(section.open));
            }
            return;
        };
        let repeats = matches!(kind, TestKind::Demagnetisation);
        if let Some(first) = visit
            .tests
            .iter()
            .find(|other| !repeats && other.identity == test.identity)
        {
            test.doubtful = test.doubtful.or(Some(section.open));
            self.found.push(
                Diagnostic::new(Code::TestDuplicate, section.open, format!("this test stands twice in the visit: {}", kind.name()))
                    .label("again here")
                    .other(first.span, "first here")
                    .help("a repeated test says so with `stage: retest`; different methods, burdens or frequencies are written as keys"),
            );
        }
        visit.tests.push(test);
    }

    fn finish(mut self) -> (Record, Vec<Diagnostic>) {
        if let Some(span) = self.homeless {
            self.found.push(
                Diagnostic::new(
                    Code::TestBeforeVisit,
                    span,
                    "a test stands before any visit",
                )
                .label("when was this?")
                .help("write [visit 2026-03-14] above it; every test belongs to the visit above"),
            );
        }
        let missing = self.plate.is_none() && !self.source.refused;
        if missing {
            self.found.push(
                Diagnostic::new(
                    Code::SectionMissing,
                    Span::default(),
                    "the record has no [ct] section",
                )
                .label("expected [ct] near the top")
                .help("write [ct] with at least `id:` below the `format:` line"),
            );
        }
        let plate = self.plate.unwrap_or_else(|| Plate::read(&Body::default()));
        let mut places: Vec<Place> = self.plate_place.into_iter().collect();
        places.append(&mut self.places);
        let record = Record {
            plate,
            places,
            cores: self.cores,
            duties: self.duties,
            visits: self.visits,
        };
        let mut found = self.found;
        if !self.source.refused {
            super::check::record(&record, &mut found);
        }
        sort(&mut found);
        (record, found)
    }
}

fn section_duplicate(name: &str, again: Span, first: Span) -> Diagnostic {
    Diagnostic::new(
        Code::SectionDuplicate,
        again,
        format!("[{name}] stands twice"),
    )
    .label("again here")
    .other(first, "first here")
    .help("one file holds one CT; join the two sections")
}
