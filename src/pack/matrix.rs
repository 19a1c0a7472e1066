//! The summary matrix: CTs and their cores down, tests across. Each cell is a word with a shape, of
//! the worst that the tap in service came to; what a whole unit has in common stands at its head.

use super::plan::Entry;
use crate::judge::finding::{Finding, Grade, Whose};
use crate::judge::words;
use crate::record::due;
use crate::record::kinds::{Test, TestKind};
use crate::trade::Pair;

/// The word for a test that is due and neither there nor explained.
const MISSING: &str = "missing";
/// The word for a test that the record says was not done, and why.
const NOT_DONE: &str = "not done";

/// One test of one core, or of a unit as a whole.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    /// `None` where the test was not done, or is not due.
    pub grade: Option<Grade>,
    /// `pass`, `fail`, `done`, `not done`, `missing`; empty where the test is not due.
    pub word: &'static str,
    /// The headline value, the reason for an omission, or where the bad one is.
    pub text: String,
}

/// One core.
#[derive(Clone, Debug, PartialEq, Eq)]
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
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// Index into the plan.
    pub entry: usize,
    pub complete: bool,
    /// The worst of the transformer and of the way it was measured.
    pub ct: Cell,
    /// The worst of the circuits that it serves.
    pub circuit: Cell,
    /// Tests of the unit as a whole: its state, the insulation of its primary.
    pub unit: Vec<(TestKind, Cell)>,
    pub rows: Vec<Row>,
}

/// The whole matrix.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Matrix {
    /// Tests that were done or due anywhere, in the order of a report.
    pub columns: Vec<TestKind>,
    pub blocks: Vec<Block>,
}

/// Makes the matrix of a plan.
pub fn matrix(entries: &[Entry]) -> Matrix {
    let mut blocks: Vec<Block> = entries
        .iter()
        .enumerate()
        .map(|(index, entry)| block(index, entry))
        .collect();
    // Only tests that some core has something to say about get a column.
    let said = |at: usize| {
        blocks
            .iter()
            .flat_map(|block| &block.rows)
            .any(|row| row.cells.get(at).is_some_and(|cell| !cell.word.is_empty()))
    };
    let kept: Vec<bool> = (0..TestKind::ALL.len()).map(said).collect();
    for row in blocks.iter_mut().flat_map(|block| &mut block.rows) {
        let mut keep = kept.iter();
        row.cells.retain(|_| keep.next().copied().unwrap_or(false));
    }
    let columns = TestKind::ALL
        .iter()
        .zip(&kept)
        .filter(|(_, kept)| **kept)
        .map(|(kind, _)| *kind)
        .collect();
    Matrix { columns, blocks }
}

fn block(index: usize, entry: &Entry) -> Block {
    let rows: Vec<Row> = (0..entry.record().cores.len())
        .map(|core| core_row(entry, core))
        .collect();
    let unit: Vec<(TestKind, Cell)> = TestKind::ALL
        .iter()
        .filter_map(|kind| Some((*kind, whole(entry, *kind)?)))
        .collect();
    let of = |circuit: bool| {
        standing(entry)
            .into_iter()
            .filter(|finding| (finding.rule.whose == Whose::Circuit) == circuit)
            .collect()
    };
    let count = |word: &str| {
        rows.iter()
            .flat_map(|row| &row.cells)
            .filter(|cell| cell.word == word)
            .count()
    };
    let complete = entry.unit.is_complete();
    let ct = verdict_line(of(false), count(MISSING), count(NOT_DONE), complete);
    Block {
        entry: index,
        complete,
        ct,
        circuit: verdict_line(of(true), 0, 0, true),
        unit,
        rows,
    }
}

/// The findings of the job that still stand: one that a later visit measured again is replaced by it.
pub fn standing(entry: &Entry) -> Vec<&Finding> {
    let mut kept: Vec<&Finding> = Vec::new();
    for &index in &entry.visits {
        let Some(assessed) = entry.unit.assessment.visits.get(index) else {
            continue;
        };
        let again = |old: &&Finding| assessed.findings.iter().any(|new| new.answers(old));
        kept.retain(|old| !again(old));
        kept.extend(&assessed.findings);
    }
    kept
}

/// A test of the unit as a whole: findings without a core, or a section that no core's row speaks of.
fn whole(entry: &Entry, kind: TestKind) -> Option<Cell> {
    let findings: Vec<&Finding> = standing(entry)
        .into_iter()
        .filter(|finding| finding.core.is_none() && finding.rule.kind == kind)
        .collect();
    if !findings.is_empty() {
        return Some(graded(entry, &findings, None));
    }
    // Tests whose tables name cores themselves (state, restored) belong to the unit.
    let cores = entry.record().cores.len();
    let no_core = |test: &&Test| test.kind == kind && !(0..cores).any(|core| test.touches(core));
    let test = entry
        .visits()
        .flat_map(|(_, visit)| &visit.tests)
        .rfind(no_core)?;
    Some(done(entry, &findings, None, test))
}

fn core_row(entry: &Entry, core: usize) -> Row {
    let record = entry.record();
    let last = entry.visits().last().map(|(_, visit)| visit);
    let service = last.and_then(|visit| record.pair_in_service(core, visit));
    let all = standing(entry);
    let own: Vec<&Finding> = all
        .into_iter()
        .filter(|finding| finding.core == Some(core))
        .collect();
    let cells = TestKind::ALL.iter().map(|kind| {
        // The connected burden is the circuit's, and a column of its own; what else the circuit asks is not.
        let in_column = |f: &&Finding| {
            f.rule.kind == *kind && (f.rule.whose != Whose::Circuit || *kind == TestKind::Burden)
        };
        let of: Vec<&Finding> = own.iter().copied().filter(in_column).collect();
        core_cell(entry, core, *kind, &of, service)
    });
    let of_circuit = |finding: &&Finding| {
        finding.rule.whose == Whose::Circuit && finding.rule.kind != TestKind::Burden
    };
    let circuit: Vec<&Finding> = own.iter().copied().filter(of_circuit).collect();
    let known = record.cores.get(core);
    Row {
        core: known.map(|core| core.name.clone()).unwrap_or_default(),
        plate: known.map(|known| plate(known, service)).unwrap_or_default(),
        tap: service
            .map(|pair| record.pair_text(pair))
            .unwrap_or_default(),
        cells: cells.collect(),
        circuit: if circuit.is_empty() {
            Cell::default()
        } else {
            named(graded(entry, &circuit, service), &circuit, entry)
        },
    }
}

/// The circuit asks several things of a core: its cell says which of them the value is.
fn named(mut cell: Cell, findings: &[&Finding], entry: &Entry) -> Cell {
    let value = |finding: &&&Finding| found(entry, finding) == cell.text;
    if let (false, Some(finding)) = (cell.text.is_empty(), findings.iter().find(value)) {
        cell.text = format!("{}: {}", finding.rule.title, cell.text);
    }
    cell
}

fn found(entry: &Entry, finding: &Finding) -> String {
    let unit = &entry.unit;
    let (w, criteria) = (&unit.assessment.workings, &unit.setting.criteria);
    words::found(w, criteria, finding).plain(|span| unit.source.line(span.start))
}

/// Class and ratio of what is in service.
fn plate(core: &crate::record::core::Core, service: Option<Pair>) -> String {
    let own = service.and_then(|pair| core.tap(pair.from, pair.to));
    let class = service
        .and_then(|pair| core.class_of(pair))
        .or(core.class.value())
        .map(crate::trade::Class::text);
    let ratio = own
        .and_then(|tap| tap.ratio.value().copied())
        .or(core.full_ratio())
        .map(|ratio| ratio.text());
    [class, ratio]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

fn core_cell(
    entry: &Entry,
    core: usize,
    kind: TestKind,
    findings: &[&Finding],
    service: Option<Pair>,
) -> Cell {
    let record = entry.record();
    let test = entry
        .visits()
        .flat_map(|(_, visit)| &visit.tests)
        .rfind(|test| test.kind == kind && test.touches(core));
    if let Some(test) = test {
        return done(entry, findings, service, test);
    }
    if !findings.is_empty() {
        return graded(entry, findings, service);
    }
    let mut why = entry
        .visits()
        .rev()
        .flat_map(|(_, visit)| due::omissions(record, visit));
    if let Some((_, omission)) = why.find(|(scope, _)| scope.covers(kind, Some(core), false)) {
        return Cell {
            grade: None,
            word: NOT_DONE,
            text: omission.why.clone(),
        };
    }
    let due = entry.visits().any(|(_, visit)| {
        due::due(record, visit)
            .iter()
            .any(|due| due.kind == kind && due.core == core)
    });
    if due {
        Cell {
            grade: None,
            word: MISSING,
            text: "due, no reason given".to_owned(),
        }
    } else {
        Cell::default()
    }
}

/// A test that was done, with or without findings.
fn done(entry: &Entry, findings: &[&Finding], service: Option<Pair>, test: &Test) -> Cell {
    if findings.is_empty() && test.doubtful.is_some() {
        return Cell {
            grade: Some(Grade::Open),
            word: "not judged",
            text: "a line is not understood".to_owned(),
        };
    }
    if findings.is_empty() {
        return Cell {
            grade: Some(Grade::Info),
            word: "done",
            text: String::new(),
        };
    }
    graded(entry, findings, service)
}

/// The tap in service heads the cell; a worse one on another tap is named, never hidden.
fn graded(entry: &Entry, findings: &[&Finding], service: Option<Pair>) -> Cell {
    let on_service = |finding: &&&Finding| {
        finding.pair.is_none() || service.is_none() || finding.pair.map(Pair::ascending) == service
    };
    let own: Vec<&Finding> = findings.iter().filter(on_service).copied().collect();
    let (Some(worst), Some(all)) = (worst(&own).or_else(|| worst(findings)), worst(findings))
    else {
        return Cell::default();
    };
    if all.grade() >= Grade::Review && all.grade() > worst.grade() {
        let pair = all
            .pair
            .map(|pair| entry.record().pair_text(pair))
            .unwrap_or_default();
        return Cell {
            grade: Some(all.grade()),
            word: words::verdict(&all.verdict),
            text: format!("on {pair}"),
        };
    }
    let heading = |finding: &&&Finding| finding.headline && finding.found.value().is_some();
    // The value beside a bad word is the one that is bad.
    let shown = if worst.grade() >= Grade::Review {
        Some(worst)
    } else {
        own.iter().find(heading).copied()
    };
    let text = shown.map(|finding| found(entry, finding));
    Cell {
        grade: Some(worst.grade()),
        word: words::verdict(&worst.verdict),
        text: text.unwrap_or_default(),
    }
}

/// The worst finding, the first of equals, one that heads its test before others.
fn worst<'a>(findings: &[&'a Finding]) -> Option<&'a Finding> {
    let mut worst: Option<&Finding> = None;
    for finding in findings {
        let rank = |finding: &Finding| (finding.grade(), finding.headline);
        if worst.is_none_or(|known| rank(finding) > rank(known)) {
            worst = Some(finding);
        }
    }
    worst
}

/// One line for all findings of an owner. It says "pass" only when everything that was due is there,
/// could be read, and was decided.
fn verdict_line(findings: Vec<&Finding>, missing: usize, not_done: usize, complete: bool) -> Cell {
    let count = |grade: Grade| {
        findings
            .iter()
            .filter(|finding| finding.grade() == grade)
            .count()
    };
    let (bad, doubt, open, good) = (
        count(Grade::Fails),
        count(Grade::Review),
        count(Grade::Open),
        count(Grade::Pass),
    );
    let (grade, word) = match (bad, doubt) {
        (1.., _) => (Grade::Fails, "fails"),
        (0, 1..) => (Grade::Review, "review"),
        (0, 0) if !complete => (Grade::Open, "not complete"),
        (0, 0) if open + missing > 0 && good > 0 => (Grade::Open, "pass in part"),
        (0, 0) if open + missing > 0 => (Grade::Open, "open"),
        (0, 0) if good > 0 => (Grade::Pass, "pass"),
        (0, 0) => (Grade::Info, "no verdict"),
    };
    let parts = [
        (bad, "fails"),
        (doubt, "review"),
        (open, "not decided"),
        (missing, "missing"),
        (if bad + doubt == 0 { good } else { 0 }, "pass"),
        (not_done, "not done"),
    ];
    let mut said: Vec<String> = parts
        .iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, what)| format!("{n} {what}"))
        .collect();
    if !complete && word != "not complete" {
        said.push("not complete".to_owned());
    }
    Cell {
        grade: Some(grade),
        word,
        text: said.join(", "),
    }
}
