//! A visit of several units as one table, in the headings that a bay sheet is read by.

use super::address::STAGE;
use crate::ground::source::Source;
use crate::ground::span::{Given, Span};
use crate::record::Record;
use crate::record::body::{Body, Table as Written};
use crate::record::kinds::TestKind;
use crate::record::schema::{Column, Kind, Section};
use crate::record::table::{Head, HeadCell, heading, pieces};
use crate::record::value::Datum;
use crate::record::{sections, visit};
use crate::syntax::{self, Line};
use crate::trade::Item;

/// A table with its heading, and what of the records it does not hold.
#[derive(Clone, Debug, Default)]
pub struct Table {
    pub heads: Vec<String>,
    pub rows: Vec<Vec<String>>,
    pub left: Vec<String>,
    /// What it cannot hold and must not leave out: without it the rest would be judged as something else.
    pub refused: Vec<String>,
}

/// A record, and which of its visits is wanted.
pub type OfVisit<'a> = (&'a Record, &'a Source, usize);

/// What of the visits is wanted.
#[derive(Clone, Copy, Debug, Default)]
pub struct Wanted<'a> {
    /// Only these tests; all where there are none.
    pub tests: &'a [TestKind],
    /// Also what stands in comments, as in a visit that is laid out to be filled in.
    pub blanks: bool,
}

/// The visits of some units.
pub fn table(of: &[OfVisit<'_>], wanted: Wanted<'_>) -> Table {
    let mut sheet = Sheet::default();
    for (record, source, visit) in of {
        let mut unit = Unit {
            record,
            source,
            wanted,
            rows: Vec::new(),
            whole: Vec::new(),
            left: Vec::new(),
            refused: Vec::new(),
        };
        unit.take(*visit, &mut sheet.heads);
        sheet.take(unit);
    }
    sheet.finish()
}

/// A row on its way.
#[derive(Debug, Default)]
struct Row {
    core: String,
    on: String,
    /// By the places of their headings.
    cells: Vec<(usize, String)>,
}

/// Headings, each behind what it begins with, a section and its stage; these in the order in which they were met, since it is the order of the work.
#[derive(Default)]
struct Heads(Vec<(String, String)>);

impl Heads {
    /// The place of a heading.
    fn at(&mut self, begins: &str, word: &str) -> usize {
        let own = |(known, other): &(String, String)| known == begins && other == word;
        if let Some(at) = self.0.iter().position(own) {
            return at;
        }
        self.0.push((begins.to_owned(), word.to_owned()));
        self.0.len() - 1
    }

    /// All places, those of a section and stage together.
    fn order(&self) -> Vec<usize> {
        let first = |begins: &String| self.0.iter().position(|(known, _)| known == begins);
        let mut order: Vec<usize> = (0..self.0.len()).collect();
        order.sort_by_key(|at| self.0.get(*at).and_then(|(begins, _)| first(begins)));
        order
    }
}

#[derive(Default)]
struct Sheet {
    heads: Heads,
    rows: Vec<([String; 3], Row)>,
    left: Vec<String>,
    refused: Vec<String>,
}

impl Sheet {
    fn take(&mut self, unit: Unit<'_>) {
        let id = unit.record.plate.id_text();
        let cores = &unit.record.cores;
        let place = |row: &Row| {
            cores
                .iter()
                .position(|core| core.name == row.core)
                .unwrap_or(cores.len())
        };
        let mut rows = unit.rows;
        rows.sort_by_key(place);
        // What is of the unit stands in the first of them.
        if rows.is_empty() && !unit.whole.is_empty() {
            rows.push(Row::default());
        }
        if let Some(first) = rows.first_mut() {
            first.cells.extend(unit.whole);
        }
        let place = unit.record.place();
        let place = place.map(|place| [&place.bay, &place.phase].map(|part| part.value().cloned()));
        let [bay, phase] = place.unwrap_or_default().map(Option::unwrap_or_default);
        let own = [id.to_owned(), bay, phase];
        self.rows
            .extend(rows.into_iter().map(|row| (own.clone(), row)));
        let told = |told: String| format!("{id}: {told}");
        self.left.extend(unit.left.into_iter().map(told));
        self.refused.extend(unit.refused.into_iter().map(told));
    }

    fn finish(self) -> Table {
        let order = self.heads.order();
        let words = order.iter().filter_map(|at| self.heads.0.get(*at));
        let named = ["id", "bay", "phase", "core", "on"]
            .map(str::to_owned)
            .into_iter();
        let row = |(own, row): ([String; 3], Row)| {
            let cell = |at: &usize| {
                let own = row.cells.iter().find(|(of, _)| of == at);
                own.map_or(String::new(), |(_, text)| text.clone())
            };
            let cells: Vec<String> = order.iter().map(cell).collect();
            own.into_iter()
                .chain([row.core, row.on])
                .chain(cells)
                .collect()
        };
        Table {
            heads: named
                .chain(words.map(|(begins, word)| format!("{begins} {word}")))
                .collect(),
            rows: self.rows.into_iter().map(row).collect(),
            left: self.left,
            refused: self.refused,
        }
    }
}

/// One unit on its way.
struct Unit<'a> {
    record: &'a Record,
    source: &'a Source,
    wanted: Wanted<'a>,
    rows: Vec<Row>,
    /// What is of no row.
    whole: Vec<(usize, String)>,
    left: Vec<String>,
    refused: Vec<String>,
}

/// What a row of a test is of.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Of {
    core: String,
    on: String,
}

impl Unit<'_> {
    fn take(&mut self, index: usize, heads: &mut Heads) {
        let record = self.record;
        let Some(own) = record.visits.get(index) else {
            return;
        };
        let next = record
            .visits
            .get(index + 1)
            .map_or(u32::MAX, |next| next.span.start);
        let all = record
            .written
            .tree
            .sections
            .iter()
            .zip(&record.written.bodies);
        let within =
            all.filter(|(section, _)| (own.span.start..next).contains(&section.open.start));
        let mut seen: Vec<Seen> = Vec::new();
        let mut is_more = false;
        for (section, body) in within {
            let schema = sections::named(self.source.slice(section.name));
            let (Some(schema), Some(body)) = (schema, body) else {
                continue;
            };
            let kind = TestKind::of(schema.name);
            let tests = self.wanted.tests;
            let is_wanted = match kind {
                Some(kind) => tests.is_empty() || tests.contains(&kind),
                None => schema.name == visit::SCHEMA.name,
            };
            if !is_wanted {
                continue;
            }
            let amended = body.fields.iter().any(|field| !field.amended.is_empty())
                || body.cells().any(|cells| !cells.row.amended.is_empty());
            is_more |= amended || !body.notes.is_empty() || !body.omissions.is_empty();
            let own = Seen::of(self.source, schema, section, body);
            if let Some(Given::Unreadable(_)) = body.field(STAGE).map(|field| &field.value) {
                let open = self.source.slice(section.open);
                let line = self.source.line(section.open.start);
                self.refused.push(format!(
                    "{open} of line {line} has a stage that cannot be read: correct it, or name the other tests by --tests"
                ));
                continue;
            }
            match own.why_not(&seen) {
                Some(why) => {
                    let open = self.source.slice(section.open);
                    // A visit that is only laid out stands in no file.
                    let line = self.source.line(section.open.start);
                    let at = if self.wanted.blanks {
                        String::new()
                    } else {
                        format!(" of line {line}")
                    };
                    self.left.push(format!("{open}{at} {why}, and is left out"));
                }
                None => {
                    let begins = own.begins();
                    self.section(schema, body, (&own.argument, &begins), heads);
                    if self.wanted.blanks {
                        let lines = record.written.tree.lines_of(section);
                        self.commented((schema, &begins), lines, heads);
                    }
                    seen.push(own);
                }
            }
        }
        if is_more {
            self.left
                .push("notes, amendments and what was not done stay in the record".to_owned());
        }
    }

    /// Headings of keys that stand in comments, to be filled in.
    fn commented(
        &self,
        (schema, begins): (&'static Section, &str),
        lines: &[Line],
        heads: &mut Heads,
    ) {
        let comments = lines
            .iter()
            .filter_map(|line| self.source.slice(line.body).strip_prefix('#'));
        let keys = comments.filter_map(|text| schema.key(text.split_once(':')?.0.trim()));
        for key in keys.filter(|key| !key.repeat && schema.column(key.word).is_none()) {
            let word = match key.kind {
                Kind::Quantity(dimension) => {
                    let unit = dimension.examples().split(',').next().unwrap_or_default();
                    format!("{}/{unit}", key.word)
                }
                _ => key.word.to_owned(),
            };
            heads.at(begins, &word);
        }
    }

    fn section(
        &mut self,
        schema: &'static Section,
        body: &Body,
        (argument, begins): (&str, &str),
        heads: &mut Heads,
    ) {
        let of_section = Of {
            core: self.record.core_of(argument).unwrap_or_default().to_owned(),
            on: argument.to_owned(),
        };
        let mut taken: Vec<(Of, usize)> = Vec::new();
        for table in &body.tables {
            self.table((schema, begins), table, &of_section, &mut taken, heads);
        }
        // The headings name its stage.
        let fields = body.fields.iter();
        for field in fields.filter(|field| field.key.word != STAGE || !schema.is_test()) {
            let word = field.key.word;
            let quantity = field.value.get().map(|datum| &datum.value);
            let (word, text) = match (schema.column(word), quantity) {
                (Some(_), _) if !body.tables.is_empty() => {
                    self.left
                        .push(format!("`{word}` of [{}] is left out", schema.name));
                    continue;
                }
                // The start of a demagnetisation by primary current is no voltage.
                (Some(column), Some(Datum::Quantity(value)))
                    if column.kind != Kind::Quantity(value.unit.dimension) =>
                {
                    self.left
                        .push(format!("`{word}` of [{}] is left out", schema.name));
                    continue;
                }
                // A heading of a column has its unit.
                (Some(_), Some(Datum::Quantity(value))) => (
                    format!("{word}/{}", value.unit.canonical),
                    value.written_number(),
                ),
                _ => (word.to_owned(), blank(&field.text.value)),
            };
            if field.key.repeat {
                self.left
                    .push(format!("`{word}` of [{}] is left out", schema.name));
                continue;
            }
            let cell = (heads.at(begins, &word), text);
            let row = match taken.first() {
                Some((_, row)) => Some(*row),
                None if argument.is_empty() => None,
                None => Some(self.row(&of_section, 0)),
            };
            match row.and_then(|row| self.rows.get_mut(row)) {
                Some(row) => row.cells.push(cell),
                None => self.whole.push(cell),
            }
        }
    }

    fn table(
        &mut self,
        (schema, begins): (&'static Section, &str),
        table: &Written,
        of_section: &Of,
        taken: &mut Vec<(Of, usize)>,
        heads: &mut Heads,
    ) {
        let text = self.source.slice(table.heading);
        let head = heading(text, table.heading, schema, &mut Vec::new());
        let word = |cell: &HeadCell| {
            let column = cell.column?;
            let unit = cell.unit.map(|unit| unit.canonical.clone());
            let word = unit.map_or(column.word.to_owned(), |unit| {
                format!("{}/{unit}", column.word)
            });
            Some((column, word))
        };
        let words: Option<Vec<_>> = head.columns.iter().map(word).collect();
        let Some(words) = words else {
            let line = self.source.line(table.heading.start);
            self.left.push(format!(
                "the table of line {line} has a column that is not known, and is left out"
            ));
            return;
        };
        let places: Vec<Option<usize>> = words
            .iter()
            .map(|(column, word)| {
                let names = matches!(column.kind, Kind::Pair | Kind::Core);
                (!names).then(|| heads.at(begins, word))
            })
            .collect();
        for row in &table.rows {
            let Some(cells) = self.texts(row.span, &head) else {
                continue;
            };
            let of = self
                .of(&words, &row.cells, &cells)
                .unwrap_or_else(|| of_section.clone());
            let before = taken.iter().filter(|(known, _)| *known == of).count();
            let at = self.row(&of, before);
            taken.push((of, at));
            let written = places.iter().zip(&cells);
            let written = written.filter_map(|(place, text)| Some(((*place)?, blank(text))));
            let written: Vec<(usize, String)> = written.collect();
            if let Some(row) = self.rows.get_mut(at) {
                row.cells.extend(written);
            }
        }
    }

    fn texts(&self, span: Span, head: &Head) -> Option<Vec<String>> {
        let pieces = pieces(self.source.slice(span), span.range().start, head)?;
        Some(
            pieces
                .iter()
                .map(|piece| piece.text.trim().to_owned())
                .collect(),
        )
    }

    /// What a row names.
    fn of(
        &self,
        words: &[(&'static Column, String)],
        read: &[Given<Datum>],
        cells: &[String],
    ) -> Option<Of> {
        let mut columns = words.iter().zip(cells).zip(read);
        columns.find_map(|(((column, _), text), read)| match column.kind {
            Kind::Pair => Some(Of {
                core: self.record.core_of(text).unwrap_or_default().to_owned(),
                on: text.clone(),
            }),
            Kind::Core => Some(Of {
                core: text.clone(),
                on: String::new(),
            }),
            Kind::Between => {
                let Datum::Between(between) = &read.get()?.value else {
                    return Some(Of::default());
                };
                match between.from.as_slice() {
                    [Item::Core(core)] => Some(Of {
                        core: core.clone(),
                        on: String::new(),
                    }),
                    _ => Some(Of::default()),
                }
            }
            _ => None,
        })
    }

    /// The row that the next of its readings goes into: one of the same pair, else one of the same core that has no pair yet.
    fn row(&mut self, of: &Of, before: usize) -> usize {
        let is_own = |row: &Row| match of.on.is_empty() {
            true => row.core == of.core,
            false => row.core == of.core && (row.on == of.on || row.on.is_empty()),
        };
        let rows = self.rows.iter().enumerate();
        let mut own = rows.filter(|(_, row)| is_own(row)).map(|(at, _)| at);
        if let Some(at) = own.nth(before) {
            if let Some(row) = self.rows.get_mut(at)
                && row.on.is_empty()
            {
                row.on.clone_from(&of.on);
            }
            return at;
        }
        self.rows.push(Row {
            core: of.core.clone(),
            on: of.on.clone(),
            cells: Vec::new(),
        });
        self.rows.len() - 1
    }
}

/// What tells a section from the others of its visit.
struct Seen {
    name: &'static str,
    /// Which of several equal tests it is.
    stage: Option<String>,
    argument: String,
    /// What names its rows.
    namer: Option<Kind>,
    /// Whether its rows name pairs, beside the one that it names itself.
    names_pairs: bool,
    /// Its keys with their values.
    keys: Vec<(&'static str, String)>,
}

impl Seen {
    fn of(
        source: &Source,
        schema: &'static Section,
        section: &syntax::Section,
        body: &Body,
    ) -> Self {
        let argument = match schema.is_test() {
            true => source.slice(section.argument).trim().to_owned(),
            false => String::new(),
        };
        let stage = body.field(STAGE).filter(|_| schema.is_test());
        let is_of_rows = |key: &str| schema.column(key).is_some() || key == STAGE;
        let fields = body
            .fields
            .iter()
            .map(|field| (field.key.word, field.text.value.clone()));
        Self {
            name: schema.name,
            stage: stage.map(|field| field.text.value.clone()),
            argument,
            namer: namer(schema),
            names_pairs: body.tables.iter().any(|table| table.has("on")),
            keys: fields.filter(|(key, _)| !is_of_rows(key)).collect(),
        }
    }

    /// What its headings begin with: `insulation as left`.
    fn begins(&self) -> String {
        match &self.stage {
            Some(stage) => format!("{} {stage}", self.name),
            None => self.name.to_owned(),
        }
    }

    /// Why a table cannot hold it beside those that it has.
    fn why_not(&self, seen: &[Self]) -> Option<&'static str> {
        let is_alike = |one: &&Self| one.name == self.name && one.stage == self.stage;
        let mut alike = seen.iter().filter(is_alike);
        if self.namer == Some(Kind::Pair) && self.names_pairs && !self.argument.is_empty() {
            return Some("is of a pair beside those of its rows");
        }
        if alike.clone().any(|one| one.argument == self.argument) {
            return Some("is a second one");
        }
        // Rows of several sections become one section, and keep their keys only where all have the same.
        let differs = |one: &Self| one.keys != self.keys;
        (self.namer.is_some() && alike.any(differs))
            .then_some("has other keys than the one before it")
    }
}

/// What names the rows of a section.
fn namer(schema: &Section) -> Option<Kind> {
    let kinds = schema.columns.iter().map(|column| column.kind);
    let mut names = kinds.filter(|kind| matches!(kind, Kind::Pair | Kind::Core | Kind::Between));
    names.next()
}

/// What waits to be read is an empty cell.
fn blank(text: &str) -> String {
    match text {
        "-" => String::new(),
        text => text.to_owned(),
    }
}
