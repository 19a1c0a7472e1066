//! Excitation: the knees, the way the curve was taken, the curve against an earlier one.

mod knees;
pub(super) mod primary_loop;
mod reference;
mod work;

use crate::derive::kinds::excitation::Excited;
use crate::derive::outcome::Reason;
use crate::judge::assess::Judging;
use crate::judge::finding::Verdict;
use crate::record::core::Core;
use crate::record::kinds::excitation::Excitation;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for excited in &derived.excitation {
        knees::judge(j, excited);
        work::judge(j, excited);
        reference::judge(j, excited);
    }
}

/// Why nothing of a section is judged that has a line nobody understood.
pub(super) const DOUBTFUL: &str = "a line of this section is not understood";

pub(super) fn not_judged(why: &'static str) -> Verdict {
    Verdict::NotJudged(why.into())
}

/// The section of a curve.
fn section<'a>(j: &Judging<'a>, excited: &Excited) -> Option<&'a Excitation> {
    j.case.visit.tests.get(excited.test)?.excitation()
}

/// Whether the plate states a knee for the pair of a curve.
fn has_rated_knee(core: &Core, excited: &Excited) -> bool {
    let tap = core
        .tap(excited.pair.from, excited.pair.to)
        .is_some_and(|tap| !tap.knee.is_missing());
    tap || (core.is_full(excited.pair) && !core.knee.is_missing())
}

/// Why a curve gives no answer, in words.
pub(super) fn reason(reason: Reason) -> &'static str {
    match reason {
        Reason::TooFewPoints => "too few readings",
        Reason::NotRising => "the current does not rise with the voltage",
        Reason::NoCrossing => "the curve has no knee by this rule within its readings",
        Reason::BelowFirstReading => "it lies below the first reading",
        Reason::OutOfDomain => "the values do not allow it",
        Reason::TooLong => "the calculation would take too long",
    }
}

#[cfg(test)]
pub(super) mod tests;
