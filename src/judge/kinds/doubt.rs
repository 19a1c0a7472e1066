//! What every judge does with a section that was not wholly understood: it is shown, not judged.

use crate::ground::span::Span;
use crate::judge::finding::{Finding, Verdict};

/// Withholds the verdict of a finding that rests on a section or reading not understood.
#[must_use]
pub fn withheld(mut finding: Finding, doubtful: Option<Span>) -> Finding {
    if let Some(span) = doubtful {
        finding.verdict = Verdict::NotJudged("a line of this section is not understood".to_owned());
        finding.next = Some("mend the line that the diagnostic points at".to_owned());
        finding.points_at.push(span);
    }
    finding
}
