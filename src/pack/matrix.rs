//! The summary matrix: CTs and their cores down, tests across. A cell is the standing of what is required
//! there, with the value that it rests on and the limit that this was held against; what a whole unit has
//! in common stands at its head. What is neither due nor tested is quiet.

use super::plan::{Entry, Spot};
use crate::document::{Grade, Phrase, joined, say};
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::requirement::{self, Overall, Shown, Standing, Sum};
use crate::judge::rules::Whose;
use crate::judge::words;
use crate::record::core::Core;
use crate::record::kinds::{Test, TestKind};
use crate::record::visit::Visit;
use crate::trade::{Class, Pair};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::sync::Arc;

/// One test of one core, or of a unit as a whole.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Cell {
    /// `None` where nothing is due and nothing was tested.
    pub grade: Option<Grade>,
    /// `met`, `met conditionally`, `measured`, `not shown`; empty where there is no grade.
    pub word: Cow<'static, str>,
    /// The value with its limit, what is missing, or what stands against it.
    pub text: Box<str>,
}

impl Cell {
    fn new(grade: impl Into<Option<Grade>>, word: &'static str, text: impl Into<Box<str>>) -> Self {
        Self {
            grade: grade.into(),
            word: word.into(),
            text: text.into(),
        }
    }
}

/// One core.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Row {
    /// Name of the core.
    pub core: String,
    /// `5P20, 600/1 A`.
    pub plate: String,
    /// `1S1-1S3`.
    pub tap: String,
    /// Of the tests that there is something to say of, in the order of a report.
    pub cells: Box<[(TestKind, Cell)]>,
    /// What the circuit asks of this core beyond its burden, which has a column of its own.
    pub circuit: Cell,
}

impl Row {
    /// What came of a test; nothing where it is neither due nor was done.
    pub fn cell(&self, kind: TestKind) -> Option<&Cell> {
        let own = self.cells.iter().find(|(of, _)| *of == kind);
        own.map(|(_, cell)| cell)
    }
}

/// One CT.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Block {
    #[serde(skip)]
    pub spot: Arc<Spot>,
    /// `2026-09-14 commissioning`, each visit of the job.
    pub visits: Box<[String]>,
    pub complete: bool,
    /// What the requirements of the transformer come to.
    pub ct: Cell,
    /// What those of the circuits that it serves come to.
    pub circuit: Cell,
    /// What is wrong with the way of measuring, or deserves a look there; else without a word.
    pub measurement: Cell,
    /// Tests of the unit as a whole: its state, the insulation of its primary.
    pub unit: Box<[(TestKind, Cell)]>,
    pub rows: Box<[Row]>,
}

/// The whole matrix.
#[derive(Clone, Debug, Default)]
pub struct Matrix {
    /// Tests that were done or due anywhere, in the order of a report.
    pub columns: Vec<TestKind>,
    pub blocks: Vec<Block>,
}

impl Matrix {
    pub fn of(blocks: Vec<Block>) -> Self {
        // Only tests that some core has something to say about get a column.
        let cells = blocks.iter().flat_map(|block| &block.rows);
        let kinds = cells.flat_map(|row| &row.cells).map(|(kind, _)| *kind);
        let columns: BTreeSet<TestKind> = kinds.collect();
        Self {
            columns: columns.into_iter().collect(),
            blocks,
        }
    }
}

impl Block {
    pub fn of(entry: &Entry<'_>) -> Self {
        let look = Look::of(entry);
        let cores = 0..entry.record().cores.len();
        let rows = cores.map(|core| look.row(core)).collect();
        let unit = look
            .cells(None, None)
            .filter(|(_, cell)| cell.grade.is_some());
        let unit = unit.collect();
        let visit = |(_, visit): (usize, &Visit)| {
            let purpose = visit.purpose.value().map_or("", String::as_str);
            format!("{} {purpose}", visit.name()).trim_end().to_owned()
        };
        Self {
            spot: Arc::clone(entry.spot),
            visits: entry
                .visits()
                .filter(|(_, visit)| !visit.as_found())
                .map(visit)
                .collect(),
            complete: entry.unit.is_complete(),
            ct: verdict(entry, entry.subject.summary().transformer.as_ref()),
            circuit: verdict(entry, entry.subject.summary().circuit.as_ref()),
            measurement: measurement(entry),
            unit,
            rows,
        }
    }
}

/// One CT, with its findings that still stand and what they show.
struct Look<'e, 'a> {
    entry: &'e Entry<'a>,
    /// The tests that something is said of; of the others there is nothing to be looked for.
    kinds: BTreeSet<TestKind>,
}

/// The connected burden is the circuit's, and a column of its own; what else the circuit asks is not.
fn of_circuit(whose: Whose, kind: TestKind) -> bool {
    whose == Whose::Circuit && kind != TestKind::Burden
}

/// Whether nothing of a transformer is shown by such a test: it has no column beside the circuit's.
fn is_of_circuit_alone(kind: TestKind) -> bool {
    let own = requirement::ALL.iter().filter(|one| one.kind == kind);
    let mut own = own.map(|one| of_circuit(one.whose, kind)).peekable();
    own.peek().is_some() && own.all(|is| is)
}

impl<'e, 'a> Look<'e, 'a> {
    fn of(entry: &'e Entry<'a>) -> Self {
        let claims = entry.claims();
        let shown = claims.shown.iter();
        let tests = entry.visits().flat_map(|(_, visit)| visit.own_tests());
        let kinds = shown.map(|one| one.required.requirement.kind);
        let kinds = kinds.chain(claims.standing().map(|told| told.rule.kind));
        let kinds = kinds.chain(tests.map(|test| test.kind));
        let kinds = kinds.filter(|kind| !is_of_circuit_alone(*kind));
        Self {
            entry,
            kinds: kinds.collect(),
        }
    }

    fn row(&self, core: usize) -> Row {
        let record = self.entry.record();
        let last = self.entry.visits().last().map(|(_, visit)| visit);
        let service = last.and_then(|visit| record.pair_in_service(core, visit));
        let known = record.cores.get(core);
        let tap = service.map(|pair| record.pair_text(pair));
        Row {
            core: known.map(|core| core.name.clone()).unwrap_or_default(),
            plate: known.map(|known| plate(known, service)).unwrap_or_default(),
            tap: tap.unwrap_or_default(),
            cells: self.cells(Some(core), service).collect(),
            circuit: self.circuit(core, service),
        }
    }

    /// What weighs most of a circuit, behind the count of what was asked of it.
    fn circuit(&self, core: usize, service: Option<Pair>) -> Cell {
        let mut cell = self.graded(Some(core), of_circuit, service);
        let tally = self.entry.claims().tally(Whose::Circuit, Some(core));
        if let Some(tally) = tally.filter(|tally| tally.due > 1) {
            let counted = format!("{} of {}", tally.met, tally.due);
            let text = Some(cell.text.to_string()).filter(|text| !text.is_empty());
            cell.text = joined([Some(counted), text], "; ").into();
        }
        cell
    }

    /// What came of each kind of test on a core, or on the unit as a whole, where anything did.
    fn cells(
        &self,
        core: Option<usize>,
        service: Option<Pair>,
    ) -> impl Iterator<Item = (TestKind, Cell)> {
        let all = self.kinds.iter();
        let all = all.map(move |kind| (*kind, self.cell(core, *kind, service)));
        all.filter(|(_, cell)| !cell.word.is_empty())
    }

    fn cell(&self, core: Option<usize>, kind: TestKind, service: Option<Pair>) -> Cell {
        let is = |whose, own| own == kind && !of_circuit(whose, own);
        let graded = self.graded(core, is, service);
        if graded.grade.is_some() {
            return graded;
        }
        let on = |test: &&Test| match core {
            Some(core) => test.touches(core),
            None => test.is_of_unit(),
        };
        let mut tests = self.entry.visits().flat_map(|(_, visit)| visit.own_tests());
        let last = tests.rfind(|test| test.kind == kind && on(test));
        last.map_or_else(Cell::default, unjudged)
    }

    /// What is required of a subject and was asked for or tested; then what no requirement asks for.
    fn graded(
        &self,
        core: Option<usize>,
        is: impl Fn(Whose, TestKind) -> bool,
        service: Option<Pair>,
    ) -> Cell {
        let claims = self.entry.claims();
        let shown = claims.shown.iter().filter(|one| {
            let requirement = one.required.requirement;
            let concerns = one.required.due || !one.evidence.is_empty() && one.earlier.is_none();
            one.required.core == core && is(requirement.whose, requirement.kind) && concerns
        });
        let shown: Vec<&Shown<'_>> = shown.collect();
        let evident = |finding: &Finding| {
            let mut evidence = shown.iter().flat_map(|one| &one.evidence);
            evidence.any(|own| own.is_same(finding))
        };
        let loose = claims.standing().map(|told| &**told);
        let loose = worst(loose.filter(|finding| {
            let own = finding.core == core && is(finding.rule.whose, finding.rule.kind);
            own && !evident(finding)
        }));
        let required = self.required(&shown, service);
        match (required, loose) {
            // Beside what is required, only what a person has to see.
            (Some(required), Some(loose)) if loose.grade() >= Grade::Review => {
                let worse = required.grade < Some(loose.grade());
                if worse { self.loose(loose) } else { required }
            }
            (Some(required), _) => required,
            (None, Some(loose)) => self.loose(loose),
            (None, None) => Cell::default(),
        }
    }

    /// The tap in service heads the cell; what is worse on another pair is named, never hidden. Where a cell
    /// stands for several things, it says which of them it tells.
    fn required(&self, shown: &[&Shown<'_>], service: Option<Pair>) -> Option<Cell> {
        let elsewhere = |one: &Shown<'_>| {
            let pair = one.required.pair.map(Pair::ascending);
            pair.filter(|pair| service.is_some_and(|service| service.ascending() != *pair))
        };
        // Beside what is asked for, what is not counts where it is good, or fails.
        let asked = shown.iter().any(|one| one.required.due);
        let counts = |one: &&&Shown<'_>| {
            let says = one.standing.is_met() || one.standing == Standing::NotMet;
            !asked || one.required.due || says
        };
        let (other, own): (Vec<&Shown<'_>>, Vec<&Shown<'_>>) = shown
            .iter()
            .filter(counts)
            .partition(|one| elsewhere(one).is_some());
        let (own, other) = (heaviest(&own), heaviest(&other));
        // A value of another pair is no better for being held against a limit.
        let worse = |own: &Shown<'_>, other: &Shown<'_>| {
            let conditional = other.standing == Standing::MetConditionally;
            (conditional || !other.standing.is_met()) && weight(other) > weight(own)
        };
        let one = match (own, other) {
            (Some(own), Some(other)) if worse(own, other) => other,
            (own, other) => own.or(other)?,
        };
        let requirement = one.required.requirement;
        let several = |other: &&Shown<'_>| other.required.requirement != requirement;
        let named = shown.iter().any(several).then_some(requirement.title);
        let proof = one.proof();
        // Of several values that can show it: which.
        let value = proof.filter(|_| requirement.evidence.len() > 1);
        let value = value.map(|proof| proof.rule.title);
        let why = one.standing.why();
        let title = value.filter(|title| why.is_none() && *title != requirement.title);
        let pair = elsewhere(one).map(|pair| self.entry.record().pair_text(pair));
        let told = why.or_else(|| self.value(proof?));
        let parts = [
            title.or(named).map(Phrase::from),
            pair.map(|pair| say!("on {}", Phrase::terminals(pair))),
            told.filter(|told| !told.is_empty()),
        ];
        let parts = parts.into_iter().flatten();
        let text = self.entry.unit.shown(&Phrase::join(parts, ": "));
        Some(Cell::new(one.standing.grade(), one.standing.word(), text))
    }

    /// A value, and the limit that it was held against.
    fn value(&self, finding: &Finding) -> Option<Phrase> {
        let unit = &self.entry.unit;
        let found = words::found(&unit.assessment.workings, &unit.setting.criteria, finding);
        let limit = words::limit(finding);
        let both = match limit.is_empty() {
            true => found,
            false => say!("{}, {}", found, limit),
        };
        let times = finding.conditions.iter().find_map(|one| match one {
            Condition::InTimesOf(what) if !both.is_empty() => Some(*what),
            _ => None,
        });
        let both = match times {
            Some(what) => say!("{} times {}", both, what),
            None => both,
        };
        let near = words::nearness(&unit.assessment.workings, &unit.setting.criteria, finding);
        let both = match near {
            Some(near) => say!("{}, {}", both, near),
            None => both,
        };
        (!both.is_empty()).then_some(both)
    }

    /// A finding that no requirement asks for.
    fn loose(&self, finding: &Finding) -> Cell {
        let word = match finding.grade() {
            Grade::Info => DONE,
            Grade::Pass => Standing::Met.word(),
            Grade::Open | Grade::Review | Grade::Fails => words::verdict(&finding.verdict),
        };
        let said = match self.value(finding) {
            Some(value) => say!("{}: {}", words::what(finding), value),
            None => words::what(finding),
        };
        Cell::new(finding.grade(), word, self.entry.unit.shown(&said))
    }
}

/// The word for a unit that has no visit.
pub const NOT_TESTED: &str = "not tested";

/// What heads that which is wrong with the way of measuring.
const MEASUREMENT: &str = "measurement";

/// The word for a test that no limit and no requirement speaks of.
const DONE: &str = "done";

/// What weighs most for a reader; of equals one that has a value, the first of them.
fn heaviest<'s, 'a>(shown: &[&'s Shown<'a>]) -> Option<&'s Shown<'a>> {
    let has_value = |one: &Shown<'_>| one.proof().is_some_and(|proof| proof.value().is_some());
    // Of equals `max_by_key` takes the last.
    let backwards = shown.iter().rev().copied();
    backwards.max_by_key(|one| (weight(one), has_value(one)))
}

/// Bad before good; of what is open, what was tested first.
fn weight(one: &Shown<'_>) -> (Grade, bool, bool) {
    let conditionally = one.standing == Standing::MetConditionally;
    (
        one.standing.grade(),
        one.standing.is_undecided(),
        conditionally,
    )
}

/// Class and ratio of what is in service.
fn plate(core: &Core, service: Option<Pair>) -> String {
    let own = service.and_then(|pair| core.tap(pair.from, pair.to));
    let class = service.and_then(|pair| core.class_of(pair));
    let ratio = own.and_then(|tap| tap.ratio.value().copied());
    let class = class.or(core.class.value()).map(Class::text);
    let ratio = ratio.or(core.full_ratio()).map(|ratio| ratio.text());
    joined([class, ratio], ", ")
}

/// A test that has no finding: quiet, unless it holds a line that is not understood or waits to be filled in.
fn unjudged(test: &Test) -> Cell {
    match test.doubtful {
        Some(_) => Cell::new(Grade::Open, "not judged", "a line is not understood"),
        None if test.waits => Cell::new(Grade::Open, "not filled in", ""),
        None => Cell::default(),
    }
}

/// The worst finding, the first of equals, one that heads its test before others.
fn worst<'a>(findings: impl DoubleEndedIterator<Item = &'a Finding>) -> Option<&'a Finding> {
    // Of equals `max_by_key` takes the last.
    findings
        .rev()
        .max_by_key(|finding| (finding.grade(), finding.headline))
}

/// What an owner's requirements come to, of whom nothing may be asked.
fn verdict(entry: &Entry<'_>, sum: Option<&Sum>) -> Cell {
    if entry.visits.is_empty() {
        let why = match entry.record().visits.is_empty() {
            true => "no visit on record",
            false => "no visit of this job",
        };
        return Cell::new(Grade::Open, NOT_TESTED, why);
    }
    let Some(sum) = sum else {
        return Cell::new(None, Overall::Unasked.word(), "");
    };
    let scope = sum.against.iter().cloned().chain(sum.elsewhere());
    let scope = Phrase::join(scope, "; ");
    let counted = (sum.due > 0).then(|| format!("{} of {}", sum.met, sum.due));
    let scope = Some(entry.unit.shown(&scope)).filter(|scope| !scope.is_empty());
    let said = joined([counted, scope], "; ");
    Cell::new(sum.grade(), sum.overall.word(), said)
}

/// What is to be measured again, and why.
fn measurement(entry: &Entry<'_>) -> Cell {
    let claims = entry.claims();
    match (claims.worst(Whose::Measurement), claims.measurement()) {
        (Some(grade), Some(said)) => Cell::new(grade, MEASUREMENT, entry.unit.shown(&said)),
        (grade, _) => Cell::new(grade, "", ""),
    }
}
