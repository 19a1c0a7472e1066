//! The summary matrix: CTs and their cores down, tests across. Each cell is a word with a shape, of
//! the worst that the tap in service came to; what a whole unit has in common stands at its head.

use super::plan::Entry;
use crate::document::{Grade, Phrase, joined};
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::judge::standing::Told;
use crate::judge::words;
use crate::record::core::Core;
use crate::record::due::{self, Due};
use crate::record::kinds::{Test, TestKind};
use crate::trade::{Class, Pair};

/// The word for a test that is due and neither there nor explained.
const MISSING: &str = "missing";
/// The word for a test that the record says was not done, and why.
const NOT_DONE: &str = "not done";

/// One test of one core, or of a unit as a whole.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// `None` where the test was not done, or is not due.
    pub grade: Option<Grade>,
    /// `pass`, `fail`, `done`, `not done`, `missing`; empty where the test is not due.
    pub word: &'static str,
    /// The headline value, the reason for an omission, or where the bad one is.
    pub text: String,
}

impl Cell {
    fn new(grade: impl Into<Option<Grade>>, word: &'static str, text: impl Into<String>) -> Self {
        Self {
            grade: grade.into(),
            word,
            text: text.into(),
        }
    }
}

/// One core.
#[derive(Clone, Debug)]
pub struct Row {
    /// Name of the core.
    pub core: String,
    /// `5P20, 600/1 A`.
    pub plate: String,
    /// `1S1-1S3`.
    pub tap: String,
    /// One per column of the matrix.
    pub cells: Vec<Cell>,
    /// What the circuit asks of this core beyond its burden, which has a column of its own.
    pub circuit: Cell,
}

/// One CT.
#[derive(Clone, Debug)]
pub struct Block<'a> {
    pub entry: &'a Entry,
    pub complete: bool,
    /// What the requirements of the transformer come to.
    pub ct: Cell,
    /// What those of the circuits that it serves come to.
    pub circuit: Cell,
    /// Tests of the unit as a whole: its state, the insulation of its primary.
    pub unit: Vec<(TestKind, Cell)>,
    pub rows: Vec<Row>,
}

/// The whole matrix.
#[derive(Clone, Debug, Default)]
pub struct Matrix<'a> {
    /// Tests that were done or due anywhere, in the order of a report.
    pub columns: Vec<TestKind>,
    pub blocks: Vec<Block<'a>>,
}

/// Makes the matrix of a plan.
pub fn matrix(entries: &[Entry]) -> Matrix<'_> {
    let mut blocks: Vec<Block<'_>> = entries.iter().map(block).collect();
    // Only tests that some core has something to say about get a column.
    let said = |at: usize| {
        let mut rows = blocks.iter().flat_map(|block| &block.rows);
        rows.any(|row| row.cells.get(at).is_some_and(|cell| !cell.word.is_empty()))
    };
    let kept: Vec<bool> = (0..TestKind::ALL.len()).map(said).collect();
    for row in blocks.iter_mut().flat_map(|block| &mut block.rows) {
        let mut keep = kept.iter();
        row.cells.retain(|_| keep.next() == Some(&true));
    }
    let columns = TestKind::ALL.iter().zip(&kept).filter(|(_, kept)| **kept);
    Matrix {
        columns: columns.map(|(kind, _)| *kind).collect(),
        blocks,
    }
}

fn block(entry: &Entry) -> Block<'_> {
    let looks = Look {
        entry,
        standing: standing(entry),
    };
    let cores = 0..entry.record().cores.len();
    let rows: Vec<Row> = cores.map(|core| looks.row(core)).collect();
    let kinds = TestKind::ALL.iter();
    let unit = kinds.filter_map(|kind| Some((*kind, looks.whole(*kind)?)));
    let complete = entry.unit.is_complete();
    Block {
        entry,
        complete,
        ct: verdict(entry, Whose::Transformer),
        circuit: verdict(entry, Whose::Circuit),
        unit: unit.collect(),
        rows,
    }
}

/// The findings of the job that still stand.
pub fn standing(entry: &Entry) -> Vec<Told<'_>> {
    entry.claims().standing().cloned().collect()
}

/// One CT, with its findings that still stand.
struct Look<'a> {
    entry: &'a Entry,
    standing: Vec<Told<'a>>,
}

impl<'a> Look<'a> {
    fn of(&self, is: impl Fn(&Finding) -> bool) -> Vec<&Finding> {
        let found = self.standing.iter().map(|told| &**told);
        found.filter(|finding| is(finding)).collect()
    }

    fn tests(&self) -> impl DoubleEndedIterator<Item = &'a Test> {
        self.entry.visits().flat_map(|(_, visit)| &visit.tests)
    }

    /// A test of the unit as a whole: findings without a core, or a section that no core's row speaks of.
    fn whole(&self, kind: TestKind) -> Option<Cell> {
        let findings = self.of(|finding| finding.core.is_none() && finding.rule.kind == kind);
        if !findings.is_empty() {
            return Some(self.graded(&findings, None, false));
        }
        // Tests whose tables name cores themselves (state, restored) belong to the unit.
        let cores = self.entry.record().cores.len();
        let no_core =
            |test: &&Test| test.kind == kind && !(0..cores).any(|core| test.touches(core));
        self.tests().rfind(no_core).map(unjudged)
    }

    fn row(&self, core: usize) -> Row {
        let record = self.entry.record();
        let last = self.entry.visits().last().map(|(_, visit)| visit);
        let service = last.and_then(|visit| record.pair_in_service(core, visit));
        // The connected burden is the circuit's, and a column of its own; what else the circuit asks is not.
        let of_circuit = |finding: &Finding| {
            finding.rule.whose == Whose::Circuit && finding.rule.kind != TestKind::Burden
        };
        let own = |finding: &Finding| finding.core == Some(core);
        let cells = TestKind::ALL.iter().map(|kind| {
            let findings = self.of(|one| own(one) && one.rule.kind == *kind && !of_circuit(one));
            self.cell(core, *kind, &findings, service)
        });
        let circuit = self.of(|one| own(one) && of_circuit(one));
        let known = record.cores.get(core);
        let tap = service.map(|pair| record.pair_text(pair));
        Row {
            core: known.map(|core| core.name.clone()).unwrap_or_default(),
            plate: known.map(|known| plate(known, service)).unwrap_or_default(),
            tap: tap.unwrap_or_default(),
            cells: cells.collect(),
            circuit: self.graded(&circuit, service, true),
        }
    }

    fn cell(
        &self,
        core: usize,
        kind: TestKind,
        findings: &[&Finding],
        service: Option<Pair>,
    ) -> Cell {
        if !findings.is_empty() {
            return self.graded(findings, service, false);
        }
        let record = self.entry.record();
        let on_core = |test: &&Test| test.kind == kind && test.touches(core);
        if let Some(test) = self.tests().rfind(on_core) {
            return unjudged(test);
        }
        let visits = || self.entry.visits().map(|(_, visit)| visit);
        let mut why = visits()
            .rev()
            .flat_map(|visit| due::omissions(record, visit));
        if let Some((_, omission)) = why.find(|(scope, _)| scope.covers(kind, Some(core), false)) {
            return Cell::new(None, NOT_DONE, &omission.why);
        }
        if visits().any(|visit| due::due(record, visit).contains(&Due { kind, core })) {
            return Cell::new(None, MISSING, "due, no reason given");
        }
        Cell::default()
    }

    /// The tap in service heads the cell; a worse one on another tap is named, never hidden. Where a cell
    /// stands for several things, it says which of them its value is.
    fn graded(&self, findings: &[&Finding], service: Option<Pair>, several: bool) -> Cell {
        let on_service = |finding: &&&Finding| {
            let pair = finding.pair.map(Pair::ascending);
            pair.is_none() || service.is_none() || pair == service
        };
        let own: Vec<&Finding> = findings.iter().filter(on_service).copied().collect();
        let Some(all) = worst(findings) else {
            return Cell::default();
        };
        let worst = worst(&own).unwrap_or(all);
        let unit = &self.entry.unit;
        if all.grade() >= Grade::Review && all.grade() > worst.grade() {
            let pair = all.pair.map(|pair| unit.record.pair_text(pair));
            let text = format!("on {}", pair.unwrap_or_default());
            return Cell::new(all.grade(), words::verdict(&all.verdict), text);
        }
        let heading = |finding: &&&Finding| finding.headline && finding.value().is_some();
        // The value beside a bad word is the one that is bad.
        let shown = if worst.grade() >= Grade::Review {
            Some(worst)
        } else {
            own.iter().find(heading).copied()
        };
        let text = shown.map(|finding| {
            let (w, criteria) = (&unit.assessment.workings, &unit.setting.criteria);
            let value = unit.plain(&words::found(w, criteria, finding));
            match several && !value.is_empty() {
                true => format!("{}: {value}", finding.rule.title),
                false => value,
            }
        });
        let word = words::verdict(&worst.verdict);
        Cell::new(worst.grade(), word, text.unwrap_or_default())
    }
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

/// A test that was done and has no finding.
fn unjudged(test: &Test) -> Cell {
    match test.doubtful {
        Some(_) => Cell::new(Grade::Open, "not judged", "a line is not understood"),
        None => Cell::new(Grade::Info, "done", ""),
    }
}

/// The worst finding, the first of equals, one that heads its test before others.
fn worst<'a>(findings: &[&'a Finding]) -> Option<&'a Finding> {
    // Of equals `max_by_key` takes the last.
    let backwards = findings.iter().rev().copied();
    backwards.max_by_key(|finding| (finding.grade(), finding.headline))
}

/// What an owner's requirements come to; an empty cell where nothing is asked.
fn verdict(entry: &Entry, whose: Whose) -> Cell {
    entry
        .claims()
        .sum(whose, None)
        .map_or_else(Cell::default, |sum| {
            let scope = Phrase::join(sum.against.iter().cloned(), "; ");
            let counted = (sum.due > 0).then(|| format!("{} of {}", sum.met, sum.due));
            let scope = Some(entry.unit.plain(&scope)).filter(|scope| !scope.is_empty());
            Cell::new(
                sum.overall.grade(),
                sum.overall.word(),
                joined([counted, scope], "; "),
            )
        })
}
