//! What a report comes to as a whole.

use super::Subject;
use crate::compare::standing;
use crate::document::{Grade, joined};
use crate::ground::diagnostic::Diagnostic;
use crate::judge::Assessment;
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
        let Some(visit) = subject.record.visits.last() else {
            return Self {
                complete,
                ..Self::default()
            };
        };
        let grade = |whose: Whose| {
            let own = counted(subject.assessment, whose);
            own.into_iter().map(Finding::grade).max()
        };
        let purpose = visit.purpose.value();
        Self {
            complete,
            visit: joined([Some(visit.name()), purpose.cloned()], ", "),
            ct: grade(Whose::Transformer),
            circuit: grade(Whose::Circuit),
            work: grade(Whose::Measurement),
        }
    }
}

/// The findings that count for one of the summary's grades: those of the last visit, and of earlier
/// ones what nothing later answers.
pub(super) fn counted(assessment: &Assessment, whose: Whose) -> Vec<&Finding> {
    let last = assessment.visits.last();
    let last = last.into_iter().flat_map(|assessed| &assessed.findings);
    let earlier = standing(assessment).into_iter().map(|(_, finding)| finding);
    last.chain(earlier)
        .filter(|finding| finding.rule.whose == whose)
        .collect()
}
