//! What a report comes to as a whole.

use super::Subject;
use crate::document::{Grade, joined};
use crate::ground::diagnostic::Diagnostic;
use crate::judge::requirement::{Claims, Overall, Sum};
use crate::judge::rules::Whose;
use crate::trade::Purpose;

/// One CT.
#[derive(Clone, Debug, Default)]
pub struct Summary {
    /// Whether the record could be read without an error.
    pub readable: bool,
    /// The visit that is reported: "2026-09-16, commissioning"; empty without a visit.
    pub visit: String,
    /// What the transformer, and the circuit it serves, come to.
    pub transformer: Option<Sum>,
    pub circuit: Option<Sum>,
    /// The worst grade of the way of measuring.
    pub measurement: Option<Grade>,
}

impl Summary {
    /// The summary of a CT's last visit, and of what that tests again.
    pub fn of(subject: &Subject<'_>, claims: &Claims<'_>) -> Self {
        let last = subject.visits.last();
        let visit = last.and_then(|last| subject.record.visits.get(*last));
        let purpose = visit.and_then(|visit| visit.purpose.value());
        let name = visit.map(crate::record::visit::Visit::name);
        Self {
            readable: readable(subject),
            visit: joined([name, purpose.cloned()], ", "),
            transformer: claims.sum(Whose::Transformer, None),
            circuit: claims.sum(Whose::Circuit, None),
            measurement: claims.worst(Whose::Measurement),
        }
    }
}

/// Whether an owner has no requirement at all at a visit whose purpose is known: that is neither good nor bad.
pub fn asks_nothing(sum: &Sum) -> bool {
    let known = sum.purpose != Purpose::Other;
    sum.overall == Overall::Incomplete && sum.due == 0 && known
}

fn readable(subject: &Subject<'_>) -> bool {
    let broken = subject.criteria.broken || subject.instruments.is_some_and(|known| known.broken);
    !broken && !subject.diagnostics.iter().any(Diagnostic::is_error)
}

/// What the record of a report may claim.
pub(super) fn claims<'a>(subject: &Subject<'a>) -> Claims<'a> {
    Claims::of(
        subject.record,
        subject.assessment,
        &subject.visits,
        readable(subject),
    )
}
