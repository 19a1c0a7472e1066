//! A report on one line per core: for the matrix of a pack.

use super::Subject;
use crate::judge::finding::Grade;
use crate::record::tests::TestKind;

/// One test of one core.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    pub kind: TestKind,
    /// The worst grade among its findings; `None` when it was not done.
    pub grade: Option<Grade>,
    /// The word that belongs to the worst finding: "pass", "fail", "not done".
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
    /// `600/1 A, 5P20, 15 VA`.
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
    /// Worst grades of the transformer itself, of the circuit it serves, of the way of measuring.
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
        let complete = !subject.diagnostics.iter().any(crate::ground::diagnostic::Diagnostic::is_error);
        Self { complete, ..Self::default() }
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
