//! Ratio: what turns by voltage and errors by current come to against class, client and sense.

mod class;
mod current;
mod ieee;
mod shown;
mod sums;
mod voltage;

use crate::derive::kinds::ratio::{Unread, WhyUnread};
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Verdict, unit};
use crate::judge::rules;
use crate::judge::verdict::cited_limit;
use crate::standards::Cited;
use crate::trade::Pair;

pub use class::{EnvelopeRow, envelope};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    unread(j);
    voltage::judge(j);
    sums::judge(j);
    current::judge(j);
    sums::estimates(j);
}

/// An error further off than this, per cent, is wrong even where no limit is known: no error of a
/// class but of the connection. Common practice, no source.
const FAR_OFF: f64 = 5.0;

/// What to do about a ratio that is off by a factor of two.
const FACTOR_OF_TWO: &str =
    "a factor of two: look at tap, primary links and passes, then measure again";

/// What to do about a ratio that is far off by this factor; `near` says how near it has to be to a
/// factor of two, relative.
fn advice(factor: f64, near: f64) -> &'static str {
    let is = |wanted: f64| (factor / wanted - 1.0).abs() <= near;
    if is(2.0) || is(0.5) {
        FACTOR_OF_TWO
    } else {
        "check the leads, the pair and the plate's ratio, then measure again"
    }
}

/// Either way from zero by this much.
fn within(limit: f64, cited: &Cited) -> Against {
    cited_limit(Requirement::at_most(limit), cited).magnitude()
}

fn unread(j: &mut Judging<'_>) {
    let findings = j.derived.ratio.unread.iter().map(not_judged);
    j.findings.extend(findings);
}

fn not_judged(row: &Unread) -> Finding {
    let why = match row.why {
        WhyUnread::Unreadable => "a reading of the row is not understood",
        WhyUnread::Bound => "the row has a bound where a value is needed",
        WhyUnread::Driven => "which pair was driven or read is not stated",
        WhyUnread::NoRatio => "the plate gives no ratio of this pair",
        WhyUnread::NoPrimary => "the row has no primary current",
    };
    let mut finding = Finding::new(&rules::RATIO_READING, Found::Nothing, unit::ONE);
    finding.section = Some(row.test);
    finding.core = row.pair.map(|pair| pair.core);
    finding.pair = row.pair;
    finding.points_at = vec![row.row];
    finding.verdict = Verdict::NotJudged(why.into());
    finding
}

/// The pair that heads the summary of its core: in service, else the full winding.
fn heads(j: &Judging<'_>, pair: Pair) -> bool {
    let in_service = j.case.record.pair_in_service(pair.core, j.case.visit);
    let ratio = &j.derived.ratio;
    let measured = |wanted: &Pair| {
        ratio.turns.iter().any(|turns| turns.pair == *wanted)
            || ratio.runs.iter().any(|run| run.pair == *wanted)
    };
    match in_service.map(Pair::ascending).filter(measured) {
        Some(wanted) => wanted == pair,
        None => j.case.full(pair.core) == Some(pair),
    }
}

#[cfg(test)]
mod tests;
