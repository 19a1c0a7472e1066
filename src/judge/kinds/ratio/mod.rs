//! Ratio: what turns by voltage and errors by current come to against class, client and sense.

mod class;
mod current;
mod ieee;
mod overall;
mod shown;
mod sums;
mod voltage;

pub use voltage::turns_tolerance;

use crate::derive::kinds::ratio::{Unread, WhyUnread};
use crate::document::Grade;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::rules::ratio as rules;
use crate::judge::verdict::not_judged;
use crate::record::inputs::Fed;
use crate::record::kinds::Test;
use crate::standards::threshold;
use crate::trade::Pair;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    let before = out.len();
    out.extend(j.derived.ratio.unread.iter().map(unread));
    voltage::judge(j, out);
    sums::judge(j, out);
    current::judge(j, out);
    sums::estimates(j, out);
    overall::judge(j, out);
    by_links(j, out.get_mut(before..).unwrap_or_default());
}

/// Ratios that are taken in a position of the primary links of their own are told apart by it.
fn by_links(j: &Judging<'_>, found: &mut [Finding]) {
    for finding in found {
        let test = finding.section.and_then(|at| j.case.visit.tests.get(at));
        let ratio = test.and_then(Test::ratio);
        let links = ratio.and_then(|ratio| ratio.links.value());
        finding
            .conditions
            .extend(links.cloned().map(Condition::Item));
    }
}

/// The inputs of a summation CT that something was read of.
pub(super) fn of_input(j: &Judging<'_>, pair: Pair, fed: Option<Fed>) -> Option<Condition> {
    j.case.core(pair)?.fed_text(fed?).map(Condition::Item)
}

/// Whether an error, per cent, is no error of a class but of the connection: wrong even where no limit
/// is known.
fn is_far_off(error: f64) -> bool {
    threshold("ratio-far-off").is_some_and(|row| error.abs() > row.limit)
}

/// A far-off ratio without a limit is for review; `factor` says by how much it is off.
fn far_off(mut finding: Finding, factor: f64, fed: Option<Fed>) -> Finding {
    if finding.verdict == Verdict::NoLimit {
        finding = finding.graded(Grade::Review);
    }
    if let Some(fed) = fed {
        return finding.next(match fed {
            Fed::One(_) => "look which input the leads were on, and that the others were open and not shorted; then measure again",
            Fed::All => "one input the other way round takes its share off twice: measure each input by itself, with its polarity",
        });
    }
    let near = threshold("ratio-factor-of-two").map_or(0.0, |row| row.limit / 100.0);
    let is = |wanted: f64| (factor / wanted - 1.0).abs() <= near;
    finding.next(if is(2.0) || is(0.5) {
        "a factor of two: look at tap, primary links and passes, then measure again"
    } else {
        "check the leads, the pair and the plate's ratio, then measure again"
    })
}

fn unread(row: &Unread) -> Finding {
    let why = match row.why {
        WhyUnread::Unreadable => "a reading of the row is not understood",
        WhyUnread::Bound => "the row has a bound where a value is needed",
        WhyUnread::Driven => "which pair was driven or read is not stated",
        WhyUnread::NoRatio => "the plate gives no ratio of this pair",
        WhyUnread::Input => "which input of the summation CT was driven or read is not stated",
        WhyUnread::NoPrimary => "the row has no primary current",
    };
    let core = row.pair.map(|pair| pair.core);
    let mut finding =
        Finding::without(&rules::RATIO_READING, unit::ONE).within(row.test, core, row.row);
    finding.pair = row.pair;
    finding.verdict(not_judged(why))
}

/// The pair that heads the summary of its core: in service, else the full winding.
fn heads(j: &Judging<'_>, pair: Pair) -> bool {
    let in_service = j.case.record.pair_in_service(pair.core, j.case.visit);
    let ratio = &j.derived.ratio;
    let of_input = |wanted: &Pair| ratio.input_turns.iter().any(|turns| turns.pair == *wanted);
    let measured = |wanted: &Pair| {
        ratio.turns.iter().any(|turns| turns.pair == *wanted)
            || ratio.runs.iter().any(|run| run.pair == *wanted)
            || of_input(wanted)
    };
    match in_service.map(Pair::ascending).filter(measured) {
        Some(wanted) => wanted == pair,
        None => j.case.full(pair.core) == Some(pair),
    }
}

#[cfg(test)]
mod tests;
