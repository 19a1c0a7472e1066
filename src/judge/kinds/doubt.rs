//! What every judge does with a section that was not wholly understood: it is shown, not judged.

use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, Verdict};

/// Why a section with a stray line has no verdict.
pub const NOT_UNDERSTOOD: &str = "a line of this section is not understood";

/// Withholds the verdict of a finding that rests on a section or reading not understood.
#[must_use]
pub fn withheld(mut finding: Finding, doubtful: Option<Span>) -> Finding {
    if let Some(span) = doubtful {
        finding.verdict = Verdict::NotJudged(NOT_UNDERSTOOD.into());
        finding.next = Some("correct the line that the diagnostic points at".into());
        finding.points_at.push(span);
    }
    finding
}

/// Holds a finding against a limit; the limit is shown even where the verdict is withheld.
#[must_use]
pub fn held(
    j: &Judging<'_>,
    finding: Finding,
    against: Against,
    doubtful: Option<Span>,
) -> Finding {
    withheld(finding.against(j.w, j.case.criteria, against), doubtful)
}
