//! The tests of the trade: one file each, with its schema and its typed readings.
#![deny(clippy::wildcard_enum_match_arm)]

pub mod burden;
pub mod continuity;
pub mod demagnetisation;
pub mod dissipation_factor;
pub mod excitation;
pub mod injection;
pub mod inspection;
pub mod insulation;
pub mod inter_turn;
pub mod load;
pub mod partial_discharge;
pub mod polarity;
pub mod primary_resistance;
pub mod ratio;
pub mod ratio_setting;
pub mod remanence;
pub mod resistance;
pub mod restored;
pub mod self_check;
pub mod single_earth;
pub mod stability;
pub mod state;
pub mod test_links;
pub mod type_test;
pub mod withstand;

use super::body::{Body, Cells, Table};
use super::core::{Core, core_index, core_unknown, resolve};
use super::fence::Taken;
use super::inputs::{self, Fed};
use super::readings::Measure;
use super::schema::{FoundBy, Section, Stage};
use super::value::Omission;
use super::words;
use crate::ground::date::Date;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::{Given, Located, Span};
use crate::trade::between::is_of_primary;
use crate::trade::{Between, Item, Pair, PairName};
use test_links::Position;

/// Declares the kinds once: the variant, its module and type, its title, what it does to the core's flux,
/// and what else holds for it. The module holds the section, and gives the accessor of [`Test`] its name.
macro_rules! kinds {
    ($($kind:ident: $module:ident::$body:ident, $title:literal, $flux:ident $($fact:ident($($value:expr),*))*;)*) => {
        /// The kinds of test, in the order in which reports show them.
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
        )]
        pub enum TestKind { $($kind,)* }

        impl TestKind {
            /// All kinds in the order of a report.
            pub const ALL: &'static [Self] = &[$(Self::$kind,)*];

            /// Keys, columns and name of its section.
            pub fn schema(self) -> &'static Section {
                match self { $(Self::$kind => &$module::SCHEMA,)* }
            }

            fn facts(self) -> Facts {
                match self { $(Self::$kind => Facts::of($title, Flux::$flux)$(.$fact($($value),*))*,)* }
            }

            fn read(self, c: &mut Context<'_>) -> TestBody {
                match self { $(Self::$kind => TestBody::$kind($module::$body::read(c)),)* }
            }
        }

        /// The readings of a test.
        #[derive(Clone, Debug)]
        pub enum TestBody { $($kind($module::$body),)* }

        impl Taken for TestBody {
            fn take_out(&mut self, places: &[Span]) {
                match self { $(Self::$kind(body) => body.take_out(places),)* }
            }
        }

        impl Test {$(
            /// Its readings, when it is of this kind.
            pub fn $module(&self) -> Option<&$module::$body> {
                if let TestBody::$kind(body) = &self.body { Some(body) } else { None }
            }
        )*}
    };
}

kinds! {
    Inspection: inspection::Inspection, "Inspection", Untouched;
    State: state::State, "State as found", Untouched;
    SelfCheck: self_check::SelfCheck, "Instrument check", Untouched;
    Insulation: insulation::Insulation, "Insulation resistance", Untouched opens();
    Withstand: withstand::Withstand, "Withstand voltage", Untouched opens() sections();
    InterTurn: inter_turn::InterTurn, "Inter-turn overvoltage", Untouched opens();
    PartialDischarge: partial_discharge::PartialDischarge, "Partial discharge", Untouched;
    DissipationFactor: dissipation_factor::DissipationFactor, "Dissipation factor", Untouched test_tap();
    TypeTest: type_test::TypeTest, "Type tests", Untouched;
    PrimaryResistance: primary_resistance::PrimaryResistance, "Primary resistance", Remains;
    Resistance: resistance::Resistance, "Winding resistance", Remains opens();
    Demagnetisation: demagnetisation::Demagnetisation, "Demagnetisation", Cleared opens() repeats();
    Excitation: excitation::Excitation, "Excitation", Measured opens();
    Remanence: remanence::Remanence, "Remanence", Untouched opens();
    Ratio: ratio::RatioTest, "Ratio", Untouched opens();
    Polarity: polarity::Polarity, "Polarity", Untouched opens();
    Burden: burden::BurdenTest, "Burden", Untouched opens();
    Continuity: continuity::Continuity, "Continuity of the circuit", Untouched;
    SingleEarth: single_earth::SingleEarth, "Single earth", Untouched;
    TestLinks: test_links::TestLinks, "Test links", Untouched;
    RatioSetting: ratio_setting::RatioSetting, "Ratio setting", Untouched repeats();
    Injection: injection::Injection, "Secondary injection", Untouched opens() repeats();
    Load: load::Load, "Current on load", Untouched repeats();
    Stability: stability::Stability, "Stability", Untouched repeats();
    Restored: restored::Restored, "As left", Untouched;
}

/// What holds for every test of a kind.
struct Facts {
    title: &'static str,
    flux: Flux,
    repeats: bool,
    opens: bool,
    /// What its readings may be between, beside windings and earth.
    sections: bool,
    test_tap: bool,
}

impl Facts {
    /// `flux`: what it does to the core's flux, unless its reader finds otherwise.
    fn of(title: &'static str, flux: Flux) -> Self {
        Self {
            title,
            flux,
            repeats: false,
            opens: false,
            sections: false,
            test_tap: false,
        }
    }

    /// The same again is no mistake.
    fn repeats(self) -> Self {
        let repeats = true;
        Self { repeats, ..self }
    }

    /// The circuit of the winding is opened for it.
    fn opens(self) -> Self {
        let opens = true;
        Self { opens, ..self }
    }

    /// It may be between sections of a winding.
    fn sections(self) -> Self {
        let sections = true;
        Self { sections, ..self }
    }

    /// It may be taken at the test tap of the primary's insulation.
    fn test_tap(self) -> Self {
        let test_tap = true;
        Self { test_tap, ..self }
    }
}

impl TestKind {
    /// The section's name.
    pub fn name(self) -> &'static str {
        self.schema().name
    }

    /// What it is called in headings.
    pub fn title(self) -> &'static str {
        self.facts().title
    }

    /// Whether a visit may hold it several times with the same keys.
    pub fn may_repeat(self) -> bool {
        self.facts().repeats
    }

    /// Whether the circuit of the winding is opened for it.
    pub fn opens(self) -> bool {
        self.facts().opens
    }

    /// The kind of a section's name.
    pub fn of(name: &str) -> Option<Self> {
        let called = |kind: &Self| kind.schema().is_called(name);
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
    pub temperature: Given<Quantity>,
    pub temperature_by: Given<FoundBy>,
    pub stage: Given<Stage>,
    pub notes: Vec<Located<String>>,
    pub omissions: Vec<Omission>,
    /// The last day on which something in it was amended.
    pub amended: Option<Located<Date>>,
    /// The first line that was not understood; the test is shown, not judged.
    pub doubtful: Option<Span>,
    /// Something in it could not be read, or says what it may not: what its readings are of is not sure.
    pub misread: bool,
    /// What tells it from other tests of the visit: kind, pair and every distinguishing key written.
    pub identity: String,
    /// What it does to the core's flux.
    pub flux: Flux,
    /// The readings that an instrument took, in the order of the file.
    pub readings: Vec<(Measure, Reading)>,
    /// Cores that it has a reading on.
    touched: Vec<usize>,
    /// Whether readings of it wait to be filled in, which was told.
    pub waits: bool,
    pub span: Span,
    pub body: TestBody,
}

impl Test {
    /// Readings in these places count as unreadable from now on.
    pub(super) fn take_out(&mut self, places: &[Span]) {
        self.temperature.take_out(places);
        self.body.take_out(places);
        self.readings
            .retain(|(_, reading)| !places.contains(&reading.span));
    }

    /// Whether it has no core's readings: its table, where it has one, names cores itself.
    pub fn is_of_unit(&self) -> bool {
        self.touched.is_empty()
    }

    /// Whether it has a reading on a core.
    pub fn touches(&self, core: usize) -> bool {
        self.touched.contains(&core)
    }

    /// Whether another one is of the same kind, and on a core that this one is on; or both are of the primary.
    pub fn is_of_the_same(&self, other: &Self) -> bool {
        let shares = other.touched.iter().any(|core| self.touches(*core));
        self.kind == other.kind && (shares || (self.is_of_unit() && other.is_of_unit()))
    }

    /// Whether others are of the same kind, and on every core that it is on, or like it of the primary.
    pub fn is_made_again_by(&self, others: &[&Self]) -> bool {
        let mut same = others
            .iter()
            .filter(|other| other.is_of_the_same(self))
            .peekable();
        let is_there = same.peek().is_some();
        let same: Vec<_> = same.collect();
        let on = |core: &usize| same.iter().any(|other| other.touches(*core));
        is_there && self.touched.iter().all(on)
    }

    /// Which turn it has among equal tests of a visit: what was found, then what has no stage, then what
    /// was left or tested again.
    pub fn turn(&self) -> usize {
        match self.stage.value() {
            Some(Stage::AsFound) => 0,
            None => 1,
            Some(Stage::AsLeft | Stage::Retest) => 2,
        }
    }

    /// What it did to a core's flux: nothing while its rows on the core wait to be filled in.
    pub fn flux_on(&self, core: usize) -> Flux {
        if self.is_done_on(core) {
            self.flux
        } else {
            Flux::Untouched
        }
    }

    /// Whether it opened a core's circuit, which is then to be put back: common practice, no source.
    pub fn opened(&self, core: usize) -> bool {
        self.kind.facts().opens && self.is_done_on(core)
    }

    /// Whether terminals or links of a core's circuit were moved for it.
    pub fn moved(&self, core: usize) -> bool {
        let mut loops = self.continuity().into_iter().flat_map(|body| &body.rows);
        let mut links = self.test_links().into_iter().flat_map(|body| &body.rows);
        let read = loops.any(|row| row.core == Some(core) && !row.waits());
        let is_off = |position: &Position| *position != Position::Through;
        let off =
            links.any(|row| row.core == Some(core) && row.position.value().is_some_and(is_off));
        read || off || self.opened(core)
    }

    /// Whether it says how a core's circuit was put back.
    pub fn restores(&self, core: usize) -> bool {
        self.restored().is_some_and(|left| left.names(core))
    }

    /// Whether it holds readings of an instrument; currents that go into a circuit or through it are such as well.
    pub fn has_readings(&self) -> bool {
        let mut fed = self.injection().into_iter().flat_map(|body| &body.rows);
        let mut on_load = self.load().into_iter().flat_map(|body| &body.rows);
        let mut zones = self.stability().into_iter().flat_map(|body| &body.rows);
        let currents = fed.any(|row| !row.reading.is_missing())
            || on_load.any(|row| !row.current.is_missing())
            || zones.any(|row| !row.operate.is_missing());
        currents || !self.readings.is_empty()
    }

    /// Whether it has more on a core than rows that wait to be filled in.
    fn is_done_on(&self, core: usize) -> bool {
        let on = |pair: Option<Located<Pair>>| pair.is_some_and(|pair| pair.value.core == core);
        match &self.body {
            TestBody::Resistance(body) => body.rows.iter().any(|row| {
                on(row.on) && !(row.resistance.is_missing() && row.voltage.is_missing())
            }),
            TestBody::Demagnetisation(body) => body.rows.iter().any(|row| {
                let blank = row.start.is_missing() && row.end.is_missing();
                on(row.on) && !(blank && row.time.is_missing())
            }),
            TestBody::Polarity(body) => body
                .rows
                .iter()
                .any(|row| on(row.on) && !(row.deflection.is_missing() && row.result.is_missing())),
            TestBody::Excitation(body) => {
                let mut rows = body.rows.iter();
                self.touches(core) && rows.any(|row| !row.current.is_missing())
            }
            // A direct current through the primary is around every core.
            TestBody::PrimaryResistance(body) => body.is_done(),
            TestBody::Inspection(_)
            | TestBody::State(_)
            | TestBody::SelfCheck(_)
            | TestBody::Insulation(_)
            | TestBody::Withstand(_)
            | TestBody::InterTurn(_)
            | TestBody::PartialDischarge(_)
            | TestBody::DissipationFactor(_)
            | TestBody::TypeTest(_)
            | TestBody::Remanence(_)
            | TestBody::Ratio(_)
            | TestBody::Burden(_)
            | TestBody::Continuity(_)
            | TestBody::SingleEarth(_)
            | TestBody::TestLinks(_)
            | TestBody::RatioSetting(_)
            | TestBody::Injection(_)
            | TestBody::Load(_)
            | TestBody::Stability(_)
            | TestBody::Restored(_) => self.touches(core),
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
    /// The same, until the voltage was cut off: what that left in the core no reading of it shows.
    Tripped,
    Untouched,
}

/// Words of columns that a test needs: one of each group.
pub type Needs = &'static [&'static [&'static str]];

/// What the typed readers of one test get.
pub struct Context<'a> {
    pub body: &'a Body,
    pub cores: &'a [Core],
    pub pair: Option<Located<Pair>>,
    /// What the test does to the core's flux.
    pub flux: Flux,
    kind: TestKind,
    /// The section's name.
    name: &'static str,
    touched: Vec<usize>,
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
            rows.reserve(table.rows.len());
            for cells in table.cells() {
                self.cells_needed(&cells, needed);
                rows.push(row(self, &cells));
            }
        }
        rows
    }

    /// The rows of a test whose table names its cores: it has a reading on each of them.
    fn rows_of_cores<T>(
        &mut self,
        needs: Needs,
        row: impl FnMut(&mut Self, &Cells<'a>) -> T,
        core: impl Fn(&T) -> Option<usize>,
    ) -> Vec<T> {
        let rows = self.rows(needs, row);
        self.touch(rows.iter().filter_map(core));
        rows
    }

    /// The rows, or one that the section's keys make on its own pair.
    pub fn rows_or_one<T>(
        &mut self,
        row: impl FnMut(&mut Self, &Cells<'a>) -> T,
        one: impl FnOnce(&Self, Option<Located<Pair>>) -> T,
    ) -> Vec<T> {
        let mut rows = self.rows(&[], row);
        if rows.is_empty() {
            // Without a pair, the full winding of the only core is meant.
            let whole = self.pair.or(self.only_core().map(|core| self.full(core)));
            self.touch(whole.map(|pair| pair.value.core));
            rows.push(one(self, whole));
        }
        rows
    }

    /// Remembers cores that the test has a reading on.
    fn touch(&mut self, cores: impl IntoIterator<Item = usize>) {
        self.touched.extend(cores);
    }

    /// The pair that a row was read on: its `on` cell, else the section's pair; told when neither is there.
    pub fn on(&mut self, cells: &Cells<'_>) -> Option<Located<Pair>> {
        let pair = match cells.get::<PairName>("on") {
            Given::Written(name) => resolve(self.cores, &name.value, name.span, self.found)
                .map(|pair| Located::new(pair, name.span)),
            Given::Unreadable(_) => None,
            Given::Missing => {
                // With one core of two terminals there is only one pair that can be meant.
                let only = self.only_core().filter(|core| core.marks.len() == 2);
                let pair = self.pair.or(only.map(|core| self.full(core)));
                if pair.is_none() {
                    self.pair_missing(cells);
                }
                pair
            }
        };
        self.touch(pair.map(|pair| pair.value.core));
        pair
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

    /// The input of a summation CT that a row names, or all of them in series.
    pub fn input(&mut self, cells: &Cells<'_>) -> Option<Fed> {
        let name = cells.get::<String>("input");
        let name = name.get()?;
        inputs::resolve(self.cores, &name.value, name.span, self.found)
    }

    /// Where a row stands.
    pub fn span(&self, cells: &Cells<'_>) -> Span {
        cells.row.span
    }

    /// The core that a row names.
    pub fn core(&mut self, cells: &Cells<'_>) -> Option<usize> {
        let name = cells.get::<String>("core");
        name.get()
            .and_then(|name| self.named(&name.value, name.span))
    }

    /// What a row was measured between; the named cores must exist, and have a reading by it.
    pub fn between(&mut self, cells: &Cells<'_>) -> Given<Between> {
        let mut between = cells.get::<Between>("between");
        if let Given::Written(Located { value, span }) = &mut between {
            for item in value.from.iter_mut().chain(&mut value.to) {
                self.item(item, *span);
            }
            // All of them where they are tested together.
            if value.from.contains(&Item::Cores) {
                self.touch(0..self.cores.len());
            }
        }
        between
    }

    /// What is named on either side: a core, and where the test may be between them, a section or the test tap.
    fn item(&mut self, item: &mut Item, span: Span) {
        let facts = self.kind.facts();
        let section = |name: &String| match core_index(self.cores, name) {
            None if facts.sections => Item::section(name),
            _ => None,
        };
        match item {
            Item::Core(name) => {
                if let Some(ends) = section(name) {
                    let mut inputs = self.cores.iter().flat_map(|core| &core.inputs);
                    let own = is_of_primary(&ends.from) && is_of_primary(&ends.to)
                        || inputs.any(|input| input.name == *name);
                    let core = match own {
                        true => None,
                        false => resolve(self.cores, &ends, span, self.found),
                    };
                    self.touch(core.map(|pair| pair.core));
                    *item = Item::Section(ends);
                } else {
                    let core = self.named(name, span);
                    self.touch(core);
                }
            }
            Item::TestTap if !facts.test_tap => {
                self.named("test tap", span);
            }
            Item::Section(_) | Item::TestTap | Item::Primary | Item::Earth | Item::Cores => {}
        }
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
        if !table.any_unknown() && !words.iter().any(|word| table.has(word)) {
            let words = words::one_of(words.iter().copied());
            self.found
                .push(words::column_missing(&words, table.heading, self.name));
        }
    }

    /// Tells that a row holds none of some readings, where its heading has a column for them.
    ///
    /// A row whose readings are all `-` is a row that waits to be filled in; it is told once a section.
    fn cells_needed(&mut self, cells: &Cells<'_>, needs: Needs) {
        if cells.is_blank() {
            self.waiting.get_or_insert((cells.row.span, 0)).1 += 1;
            return;
        }
        for group in needs {
            let known = || group.iter().copied().filter(|word| cells.table.has(word));
            if known().next().is_some() && known().all(|word| cells.is_missing(word)) {
                let told = words::cell_missing(&words::one_of(known()), cells.row.span);
                self.found.push(told);
            }
        }
    }

    fn pair_missing(&mut self, cells: &Cells<'_>) {
        // A pair of the section, or a column, that could not be read was told there.
        let is_told = !self.body.argument.is_empty() || cells.table.any_unknown();
        if !is_told && !std::mem::replace(&mut self.pair_told, true) {
            self.found
                .push(words::pair_missing(cells.row.span, self.name));
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
        flux: kind.facts().flux,
        kind,
        name,
        touched: pair.iter().map(|pair| pair.value.core).collect(),
        pair_told: false,
        waiting: None,
        found,
    };
    let test = kind.read(&mut context);
    let Context {
        flux,
        touched,
        waiting,
        ..
    } = context;
    let told = match waiting {
        Some((first, count)) => Some(words::rows_waiting(first, count, name)),
        None => body
            .is_blank()
            .then(|| words::keys_waiting(body.open, name)),
    };
    let waits = told.is_some();
    found.extend(told);
    Test {
        kind,
        pair,
        instrument: body.get("instrument"),
        reference: body.get("reference"),
        temperature: body.get("temperature"),
        temperature_by: body.get("temperature by"),
        stage: body.get("stage"),
        notes: body.notes.clone(),
        omissions: body.omissions.clone(),
        amended: body.last_amended(),
        doubtful: body.doubtful,
        misread: false,
        identity: identity(kind, pair, body, cores),
        flux,
        readings: body.readings().collect(),
        touched,
        waits,
        span: body.open,
        body: test,
    }
}

/// `ratio 1S 1S1-1S2, method current`: two tests of a visit that say the same here are one test twice.
fn identity(kind: TestKind, pair: Option<Located<Pair>>, body: &Body, cores: &[Core]) -> String {
    let mut said = kind.name().to_owned();
    if let Some(pair) = pair.map(|pair| pair.value)
        && let Some(core) = cores.get(pair.core)
    {
        let marks = core.pair_text(pair.from, pair.to);
        said += &[" ", &core.name, " ", &marks].concat();
    }
    for key in [
        "method",
        "burden",
        "links",
        "frequency",
        "guard",
        "ended",
        "stage",
    ] {
        if let Some(field) = body.field(key) {
            said += &[", ", key, " ", &field.text.value].concat();
        }
    }
    said
}
