//! The tests of the trade: one file each, with its schema and its typed readings.
#![deny(clippy::wildcard_enum_match_arm)]

pub mod burden;
pub mod demagnetisation;
pub mod excitation;
pub mod inspection;
pub mod insulation;
pub mod load;
pub mod polarity;
pub mod ratio;
pub mod remanence;
pub mod resistance;
pub mod restored;
pub mod self_check;
pub mod state;
pub mod withstand;

use super::body::{Body, Cells, Table};
use super::core::{Core, core_index, core_unknown, resolve};
use super::schema::{Section, Stage};
use super::value::{Amendment, Omission, choices};
use super::words;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::trade::{Between, Item, Pair, PairName};

choices!(Stage);

/// Declares the kinds once: the variant, its module and type, and its title. The module holds the
/// schema and the reader, and gives the accessor of [`Test`] its name.
macro_rules! kinds {
    ($($kind:ident: $module:ident::$body:ident, $title:literal;)*) => {
        /// The kinds of test, in the order in which reports show them.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum TestKind { $($kind,)* }

        impl TestKind {
            /// All kinds in the order of a report.
            pub const ALL: &'static [Self] = &[$(Self::$kind,)*];

            /// Keys, columns and name of its section.
            pub fn schema(self) -> &'static Section {
                match self { $(Self::$kind => &$module::SCHEMA,)* }
            }

            /// What it is called in headings.
            pub fn title(self) -> &'static str {
                match self { $(Self::$kind => $title,)* }
            }

            fn read(self, c: &mut Context<'_>) -> TestBody {
                match self { $(Self::$kind => TestBody::$kind($module::read(c)),)* }
            }
        }

        /// The readings of a test.
        #[derive(Clone, Debug)]
        pub enum TestBody { $($kind($module::$body),)* }

        impl Test {$(
            /// Its readings, when it is of this kind.
            pub fn $module(&self) -> Option<&$module::$body> {
                if let TestBody::$kind(body) = &self.body { Some(body) } else { None }
            }
        )*}
    };
}

kinds! {
    Inspection: inspection::Inspection, "Inspection";
    State: state::State, "State as found";
    SelfCheck: self_check::SelfCheck, "Instrument check";
    Insulation: insulation::Insulation, "Insulation resistance";
    Withstand: withstand::Withstand, "Withstand voltage";
    Resistance: resistance::Resistance, "Winding resistance";
    Demagnetisation: demagnetisation::Demagnetisation, "Demagnetisation";
    Excitation: excitation::Excitation, "Excitation";
    Remanence: remanence::Remanence, "Remanence";
    Ratio: ratio::RatioTest, "Ratio";
    Polarity: polarity::Polarity, "Polarity";
    Burden: burden::BurdenTest, "Burden";
    Load: load::Load, "Current on load";
    Restored: restored::Restored, "As left";
}

impl TestKind {
    /// The section's name.
    pub fn name(self) -> &'static str {
        self.schema().name
    }

    /// The kind of a section's name.
    pub fn of(name: &str) -> Option<Self> {
        let called = |kind: &Self| kind.name() == name || kind.schema().also.contains(&name);
        Self::ALL.iter().copied().find(called)
    }
}

/// One test section of a visit.
#[derive(Clone, Debug)]
pub struct Test {
    pub kind: TestKind,
    /// The pair that was driven, when the section names one.
    pub pair: Option<Located<Pair>>,
    pub instrument: Given<String>,
    pub reference: Given<String>,
    pub range: Given<String>,
    pub stage: Given<Stage>,
    pub temperature: Given<Quantity>,
    pub notes: Vec<Located<String>>,
    pub omissions: Vec<Omission>,
    /// Amendments of fields and rows, in order.
    pub amended: Vec<Amendment>,
    /// The first line that was not understood; the test is shown, not judged.
    pub doubtful: Option<Span>,
    /// What tells it from other tests of the visit: kind, pair and every distinguishing key written.
    pub identity: String,
    pub span: Span,
    pub body: TestBody,
}

impl Test {
    /// What it does to the core's flux.
    pub fn flux(&self) -> Flux {
        match &self.body {
            TestBody::Resistance(_) => Flux::Remains,
            TestBody::Polarity(test) => match test.method.value() {
                Some(polarity::Method::Kick) => Flux::Remains,
                Some(polarity::Method::Comparison | polarity::Method::Phase) | None => {
                    Flux::Untouched
                }
            },
            TestBody::Demagnetisation(_) => Flux::Cleared,
            TestBody::Excitation(_) => Flux::Measured,
            TestBody::Inspection(_)
            | TestBody::State(_)
            | TestBody::SelfCheck(_)
            | TestBody::Insulation(_)
            | TestBody::Withstand(_)
            | TestBody::Remanence(_)
            | TestBody::Ratio(_)
            | TestBody::Burden(_)
            | TestBody::Load(_)
            | TestBody::Restored(_) => Flux::Untouched,
        }
    }
}

/// What a test does to the flux of a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flux {
    /// A direct current or a battery was on the winding, so that the core may be left magnetised.
    Remains,
    Cleared,
    /// What remains shows in the readings.
    Measured,
    Untouched,
}

/// Words of columns that a test needs: one of each group.
pub type Needs = &'static [&'static [&'static str]];

/// What the typed readers of one test get.
pub struct Context<'a> {
    pub body: &'a Body,
    pub cores: &'a [Core],
    pub pair: Option<Located<Pair>>,
    /// The section's name.
    name: &'static str,
    /// Rows without a pair are told once a section.
    pair_told: bool,
    /// The first row that waits to be filled in, and how many there are.
    waiting: Option<(Span, usize)>,
    pub found: &'a mut Vec<Diagnostic>,
}

impl<'a> Context<'a> {
    /// Reads every row of the section, and tells what its tables lack of what is needed.
    pub fn rows<T>(&mut self, needs: Needs, row: impl FnMut(&mut Self, &Cells<'a>) -> T) -> Vec<T> {
        self.rows_by(|_| needs, row)
    }

    /// The same, where a table's columns decide what is needed.
    pub fn rows_by<T>(
        &mut self,
        needs: impl Fn(&Table) -> Needs,
        mut row: impl FnMut(&mut Self, &Cells<'a>) -> T,
    ) -> Vec<T> {
        let mut rows = Vec::new();
        for table in &self.body.tables {
            let needed = needs(table);
            for words in needed {
                self.column_needed(table, words);
            }
            for cells in table.cells() {
                self.cells_needed(&cells, needed);
                rows.push(row(self, &cells));
            }
        }
        rows
    }

    /// The pair that a row was read on: its `on` cell, else the section's pair; told when neither is there.
    pub fn on(&mut self, cells: &Cells<'_>) -> Option<Located<Pair>> {
        match cells.get::<PairName>("on") {
            Given::Written(name) => resolve(self.cores, &name.value, name.span, self.found)
                .map(|pair| Located::new(pair, name.span)),
            Given::Unreadable(_) => None,
            Given::Missing => {
                // With one core of two terminals there is only one pair that can be meant.
                let only = self.only_core().filter(|core| core.marks.len() == 2);
                let pair = self.pair.or(only.map(|core| self.full(core)));
                if pair.is_none() {
                    self.pair_missing(cells.row.span);
                }
                pair
            }
        }
    }

    /// The pair of a section without rows: its own, else the full winding of the only core.
    pub fn whole(&self) -> Option<Located<Pair>> {
        self.pair.or(self.only_core().map(|core| self.full(core)))
    }

    fn only_core(&self) -> Option<&'a Core> {
        self.cores.first().filter(|_| self.cores.len() == 1)
    }

    fn full(&self, core: &Core) -> Located<Pair> {
        let to = core.last_mark();
        Located::new(
            Pair {
                core: 0,
                from: 0,
                to,
            },
            self.body.open,
        )
    }

    /// The core that a row names.
    pub fn core(&mut self, cells: &Cells<'_>) -> Option<usize> {
        let name = cells.get::<String>("core");
        name.get()
            .and_then(|name| self.named(&name.value, name.span))
    }

    /// What a row was measured between; the named cores must exist.
    pub fn between(&mut self, cells: &Cells<'_>) -> Given<Between> {
        let between = cells.get::<Between>("between");
        if let Given::Written(Located { value, span }) = &between {
            for item in value.from.iter().chain(&value.to) {
                if let Item::Core(name) = item {
                    self.named(name, *span);
                }
            }
        }
        between
    }

    /// The core of this name, told when there is none.
    fn named(&mut self, name: &str, span: Span) -> Option<usize> {
        let found = core_index(self.cores, name);
        if found.is_none() {
            self.found.push(core_unknown(name, span, self.cores));
        }
        found
    }

    /// Tells that a column is missing, unless its heading was already told to be wrong.
    pub fn column_needed(&mut self, table: &Table, words: &[&str]) {
        let any_unknown = table.columns.iter().any(Option::is_none);
        if !any_unknown && !words.iter().any(|word| table.has(word)) {
            let words = words::one_of(words.iter().copied());
            self.found
                .push(words::column_missing(&words, table.heading, self.name));
        }
    }

    /// Tells that a row holds none of some readings, where its heading has a column for them.
    ///
    /// A row whose readings are all `-` is a row that waits to be filled in; it is told once a section.
    fn cells_needed(&mut self, cells: &Cells<'_>, needs: Needs) {
        if needs.is_empty() {
            return;
        }
        if cells.is_blank() {
            self.waiting.get_or_insert((cells.row.span, 0)).1 += 1;
            return;
        }
        for group in needs {
            let known = group.iter().copied().filter(|word| cells.table.has(word));
            let known: Vec<&str> = known.collect();
            if !known.is_empty() && known.iter().all(|word| cells.is_missing(word)) {
                let told = words::cell_missing(&words::one_of(known), cells.row.span);
                self.found.push(told);
            }
        }
    }

    fn pair_missing(&mut self, row: Span) {
        // A pair of the section that could not be read was told there.
        if self.body.argument.is_empty() && !std::mem::replace(&mut self.pair_told, true) {
            self.found.push(words::pair_missing(row));
        }
    }
}

/// Reads one test section.
pub fn read(
    kind: TestKind,
    body: &Body,
    cores: &[Core],
    pair: Option<Located<Pair>>,
    found: &mut Vec<Diagnostic>,
) -> Test {
    let name = kind.name();
    let mut context = Context {
        body,
        cores,
        pair,
        name,
        pair_told: false,
        waiting: None,
        found,
    };
    let test = kind.read(&mut context);
    if let Some((first, count)) = context.waiting {
        found.push(words::rows_waiting(first, count, name));
    }
    let rows = body.tables.iter().flat_map(|table| &table.rows);
    let fields = body.fields.iter().flat_map(|field| &field.amended);
    Test {
        kind,
        pair,
        instrument: body.get("instrument"),
        reference: body.get("reference"),
        range: body.get("range"),
        stage: body.get("stage"),
        temperature: body.get("temperature"),
        notes: body.notes.clone(),
        omissions: body.omissions.clone(),
        amended: fields
            .chain(rows.flat_map(|row| &row.amended))
            .cloned()
            .collect(),
        doubtful: body.doubtful,
        identity: identity(kind, pair, body),
        span: body.open,
        body: test,
    }
}

fn identity(kind: TestKind, pair: Option<Located<Pair>>, body: &Body) -> String {
    let pair = pair
        .map(|pair| format!(" {:?}", pair.value))
        .unwrap_or_default();
    let keys = ["method", "burden", "frequency", "stage"];
    let written = keys
        .iter()
        .filter_map(|key| body.field(key))
        .map(|field| format!(" {}={}", field.key.word, field.text.value));
    format!("{}{pair}{}", kind.name(), written.collect::<String>())
}
