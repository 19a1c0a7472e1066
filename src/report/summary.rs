//! What a report comes to as a whole.

use super::Subject;
use crate::compare::standing;
use crate::document::Grade;
use crate::ground::diagnostic::Diagnostic;
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;

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
}

impl Summary {
    /// The summary of a CT's last visit.
    pub fn of(subject: &Subject<'_>) -> Self {
        let complete = !subject.diagnostics.iter().any(Diagnostic::is_error);
        let (Some(visit), Some(assessed)) = (
            subject.record.visits.last(),
            subject.assessment.visits.last(),
        ) else {
            return Self {
                complete,
                ..Self::default()
            };
        };
        let standing = standing(subject.assessment);
        let grade = |whose: Whose| {
            let all = assessed
                .findings
                .iter()
                .chain(standing.iter().map(|(_, finding)| *finding));
            all.filter(|finding| finding.rule.whose == whose)
                .map(Finding::grade)
                .max()
        };
        let purpose = visit
            .purpose
            .value()
            .map(|purpose| format!(", {purpose}"))
            .unwrap_or_default();
        Self {
            complete,
            visit: format!("{}{purpose}", visit.name()),
            ct: grade(Whose::Transformer),
            circuit: grade(Whose::Circuit),
            work: grade(Whose::Measurement),
        }
    }
}
