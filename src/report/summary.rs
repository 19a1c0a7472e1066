//! A report on one line per core: for the matrix of a pack.

use super::Subject;
use crate::compare::standing;
use crate::ground::diagnostic::Diagnostic;
use crate::judge::finding::{Finding, Grade, Verdict, Weight, Whose};
use crate::judge::say;
use crate::record::due::{self, Due};
use crate::record::tests::TestKind;
use crate::record::value::Pair;
use crate::record::visit::Visit;

/// One test of one core.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    pub kind: TestKind,
    /// The worst grade among its findings; `None` when there is none.
    pub grade: Option<Grade>,
    /// The word that belongs to the worst finding: "pass", "fail", "not done", "done".
    pub word: String,
    /// The headline value, or the reason why it was not done.
    pub text: String,
}

/// One core with the tap that is in service.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CoreSummary {
    pub name: String,
    /// `1S1-1S3`, when known.
    pub in_service: Option<String>,
    /// `600/1 A, 5P20`.
    pub plate: String,
    pub cells: Vec<Cell>,
}

/// One CT.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Whether the record could be read without an error.
    pub complete: bool,
    /// The visit that is reported: "2026-09-16, commissioning"; empty without a visit.
    pub visit: String,
    /// Worst grades of the transformer itself, of the circuit it serves, of the way of measuring;
    /// findings of earlier visits that nothing later answers count.
    pub ct: Option<Grade>,
    pub circuit: Option<Grade>,
    pub work: Option<Grade>,
    /// Tests of the unit as a whole: state, insulation of the primary.
    pub whole: Vec<Cell>,
    pub cores: Vec<CoreSummary>,
}

impl Summary {
    /// The summary of a CT's last visit.
    pub fn of(subject: &Subject<'_>) -> Self {
        let complete = !subject.diagnostics.iter().any(Diagnostic::is_error);
        let record = subject.record;
        let (Some(visit), Some(assessed)) = (record.visits.last(), subject.assessment.visits.last()) else {
            return Self { complete, ..Self::default() };
        };
        let standing = standing(subject.assessment);
        let grade = |whose: Whose| {
            let all = assessed.findings.iter().chain(standing.iter().map(|(_, finding)| *finding));
            all.filter(|finding| finding.whose == whose).map(Finding::grade).max()
        };
        let purpose = visit.purpose.value().map(|purpose| format!(", {purpose}")).unwrap_or_default();
        let maker = Maker { subject, visit, findings: &assessed.findings, missing: due::missing(record, visit) };
        Self {
            complete,
            visit: format!("{}{purpose}", visit.name()),
            ct: grade(Whose::Ct),
            circuit: grade(Whose::Circuit),
            work: grade(Whose::Work),
            whole: maker.cells(None),
            cores: (0..record.cores.len()).filter_map(|core| maker.core(core)).collect(),
        }
    }
}

struct Maker<'a> {
    subject: &'a Subject<'a>,
    visit: &'a Visit,
    findings: &'a [Finding],
    missing: Vec<Due>,
}

impl Maker<'_> {
    fn core(&self, index: usize) -> Option<CoreSummary> {
        let record = self.subject.record;
        let core = record.cores.get(index)?;
        let pair = record.pair_in_service(index, self.visit).map(Pair::ascending);
        let tap = pair.and_then(|pair| core.tap(pair.from, pair.to));
        let ratio = tap.and_then(|tap| tap.ratio.value().copied()).or_else(|| core.full_ratio());
        let class = pair.and_then(|pair| core.class_of(pair)).or_else(|| core.class.value());
        let parts = [ratio.map(|ratio| format!("{} A", ratio.text())), class.map(crate::record::class::Class::text)];
        Some(CoreSummary {
            name: core.name.clone(),
            in_service: pair.map(|pair| core.pair_text(pair.from, pair.to)),
            plate: parts.into_iter().flatten().collect::<Vec<_>>().join(", "),
            cells: self.cells(Some(index)),
        })
    }

    fn cells(&self, core: Option<usize>) -> Vec<Cell> {
        TestKind::ALL.iter().copied().filter_map(|kind| self.cell(kind, core)).collect()
    }

    fn cell(&self, kind: TestKind, core: Option<usize>) -> Option<Cell> {
        let own: Vec<&Finding> = self.findings.iter().filter(|finding| finding.test == kind && finding.core == core).collect();
        let worst = own.iter().max_by_key(|finding| finding.grade());
        if let Some(worst) = worst {
            let grade = worst.grade();
            let speaks = if grade >= Grade::Doubt { Some(*worst) } else { self.headline(&own, core).or(Some(*worst)) };
            let text = speaks.map(|finding| self.value(finding)).unwrap_or_default();
            return Some(Cell { kind, grade: Some(grade), word: short(&worst.verdict), text });
        }
        let core = core?;
        let record = self.subject.record;
        if let Some((_, omission)) = due::omissions(record, self.visit).iter().find(|(scope, _)| scope.covers(kind, Some(core), false)) {
            let asked = due::due(record, self.visit).contains(&Due { kind, core });
            return asked.then(|| Cell { kind, grade: None, word: "not done".to_owned(), text: omission.why.clone() });
        }
        if self.missing.contains(&Due { kind, core }) {
            return Some(Cell { kind, grade: None, word: "missing".to_owned(), text: String::new() });
        }
        let done = self.visit.tests.iter().any(|test| test.kind == kind && due::touches(record, test, core));
        done.then(|| Cell { kind, grade: None, word: "done".to_owned(), text: String::new() })
    }

    /// The headline of the tap in service, else any.
    fn headline<'f>(&self, own: &[&'f Finding], core: Option<usize>) -> Option<&'f Finding> {
        let pair = core.and_then(|core| self.subject.record.pair_in_service(core, self.visit)).map(Pair::ascending);
        let heads = || own.iter().copied().filter(|finding| finding.headline);
        heads().find(|finding| finding.pair.map(Pair::ascending) == pair).or_else(|| heads().next())
    }

    fn value(&self, finding: &Finding) -> String {
        let text = say::found(&self.subject.assessment.workings, self.subject.criteria, finding);
        if text.is_empty() { finding.what.clone() } else { text }
    }
}

/// A verdict's word without its reason.
pub fn short(verdict: &Verdict) -> String {
    match verdict {
        Verdict::NotShown(_) => "not shown".to_owned(),
        Verdict::NotDecided(_) => "not decided".to_owned(),
        Verdict::NotJudged(_) => "not judged".to_owned(),
        Verdict::NoLimit => "no limit".to_owned(),
        Verdict::Observed(Weight::Information) => "noted".to_owned(),
        Verdict::Observed(Weight::Doubt) => "look".to_owned(),
        other => say::verdict(other),
    }
}

/// The shape that goes with a grade, so that nothing is told by colour alone.
pub fn mark(grade: Option<Grade>) -> &'static str {
    match grade {
        Some(Grade::Good) => "●",
        Some(Grade::Doubt) => "▲",
        Some(Grade::Bad) => "■",
        Some(Grade::Open) => "○",
        Some(Grade::Plain) => "·",
        None => "–",
    }
}

/// The word that goes with a grade where no finding gives a better one.
pub fn word(grade: Option<Grade>) -> &'static str {
    match grade {
        Some(Grade::Good) => "pass",
        Some(Grade::Doubt) => "deserves a look",
        Some(Grade::Bad) => "fail",
        Some(Grade::Open) => "open",
        Some(Grade::Plain) => "no verdict",
        None => "not done",
    }
}

/// The class of a verdict that starts with one of the marks.
pub(crate) fn class_of_mark(mark: char) -> Option<&'static str> {
    match mark {
        '●' => Some("good"),
        '◐' => Some("fair"),
        '▲' => Some("doubt"),
        '■' => Some("bad"),
        '○' => Some("open"),
        _ => None,
    }
}
