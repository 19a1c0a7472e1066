//! The tests of the trade: one file each, with its schema and its typed readings.

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

use super::aside::Omission;
use super::core::{Core, resolve};
use super::reader::{Body, Cells};
use super::schema::Section;
use super::value::{Amendment, Pair};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};

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
    pub stage: Given<&'static str>,
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
    /// Whether a direct current or a battery was on the winding, so that the core may be left magnetised.
    pub fn leaves_remanence(&self) -> bool {
        let kick = |polarity: &polarity::Polarity| polarity.method.value() == Some(&"kick");
        self.kind == TestKind::Resistance || self.polarity().is_some_and(kick)
    }
}

/// What the typed readers of one test get.
pub struct Context<'a> {
    pub body: &'a Body,
    pub cores: &'a [Core],
    pub pair: Option<Located<Pair>>,
    /// The section's name.
    pub name: &'static str,
    /// Rows without a pair are told once a section.
    pub pair_told: bool,
    /// The first row that waits to be filled in, and how many there are.
    waiting: Option<(Span, usize)>,
    /// The last such row: several of its cells may be asked for.
    waited: Option<Span>,
    pub found: &'a mut Vec<Diagnostic>,
}

impl Context<'_> {
    /// The pair that a row was read on: its `on` cell, else the section's pair.
    pub fn on(&mut self, cells: &Cells<'_>) -> Option<Located<Pair>> {
        match cells.pair("on") {
            Given::Written(name) => resolve(self.cores, &name.value, name.span, self.found)
                .map(|pair| Located::new(pair, name.span)),
            Given::Unreadable(_) => None,
            Given::Missing => match (self.pair, self.cores.first()) {
                (Some(pair), _) => Some(pair),
                // With one core of two terminals there is only one pair that can be meant.
                (None, Some(core)) if self.cores.len() == 1 && core.marks.len() == 2 => {
                    Some(Located::new(
                        Pair {
                            core: 0,
                            from: 0,
                            to: 1,
                        },
                        self.body.open,
                    ))
                }
                _ => None,
            },
        }
    }

    /// Tells that a column is missing, unless its heading was already told to be wrong.
    pub fn column_needed(&mut self, table: &super::reader::Table, words: &[&str]) {
        let any_unknown = table.columns.iter().any(Option::is_none);
        if !any_unknown && !words.iter().any(|word| table.has(word)) {
            self.found.push(super::words::column_missing(
                &super::words::one_of(words.iter().copied()),
                table.heading,
                self.name,
            ));
        }
    }

    /// Tells that a row holds none of these readings, where its heading has a column for them.
    ///
    /// A row whose readings are all `-` is a row that waits to be filled in; it is told once a section.
    pub fn cell_needed(&mut self, cells: &Cells<'_>, words: &[&str]) {
        if cells.is_blank() {
            self.waiting.get_or_insert((cells.row.span, 0)).1 +=
                usize::from(self.waited != Some(cells.row.span));
            self.waited = Some(cells.row.span);
            return;
        }
        let known: Vec<&str> = words
            .iter()
            .copied()
            .filter(|word| cells.table.has(word))
            .collect();
        if !known.is_empty() && known.iter().all(|word| cells.quantity(word).is_missing()) {
            self.found.push(super::words::cell_missing(
                &super::words::one_of(known),
                cells.row.span,
            ));
        }
    }

    /// Tells that a row lacks its pair.
    pub fn pair_needed(&mut self, cells: &Cells<'_>) {
        if cells.pair("on").is_missing() && !self.body.argument.is_empty() {
            return; // the section's own pair was told to be wrong
        }
        if cells.pair("on").is_missing() && !self.pair_told {
            self.pair_told = true;
            let span = cells.row.span;
            self.found.push(
                Diagnostic::new(crate::ground::diagnostic::Code::PairUnreadable, span, "nobody says on which terminals this was read")
                    .label("which pair?")
                    .help("add a column `on`, or name the pair in the section's head: [resistance 1S1-1S2]"),
            );
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
    let mut context = Context {
        body,
        cores,
        pair,
        name: kind.name(),
        pair_told: false,
        waiting: None,
        waited: None,
        found,
    };
    let test = kind.read(&mut context);
    if let Some((first, count)) = context.waiting {
        context
            .found
            .push(super::words::rows_waiting(first, count, kind.name()));
    }
    let rows = body
        .tables
        .iter()
        .flat_map(|table| &table.rows)
        .flat_map(|row| &row.amended);
    Test {
        kind,
        pair,
        instrument: body.text("instrument"),
        reference: body.text("reference"),
        range: body.text("range"),
        stage: body.choice("stage"),
        temperature: body.quantity("temperature"),
        notes: body.notes.clone(),
        omissions: body.omissions.clone(),
        amended: body
            .fields
            .iter()
            .flat_map(|field| &field.amended)
            .chain(rows)
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
