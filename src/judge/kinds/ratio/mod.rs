//! Ratio: what turns by voltage and errors by current come to against class, client and sense.

mod class;
mod current;
mod ieee;
mod shown;
mod sums;
mod voltage;

use crate::derive::kinds::ratio::{Unread, WhyUnread};
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Unit, Verdict, Whose, unit};
use crate::judge::verdict::cited_limit;
use crate::record::kinds::TestKind;
use crate::record::value::Pair;
use crate::standards::Cited;

pub use class::{EnvelopeRow, envelope};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    unread(j);
    voltage::judge(j);
    sums::judge(j);
    current::judge(j);
    sums::estimates(j);
}

/// The reason of a section with a stray line.
const DOUBTFUL: &str = "a line of this section is not understood";

/// A finding of the transformer on a pair.
fn finding(rule: &'static str, what: impl Into<String>, value: Value, unit: Unit) -> Finding {
    Finding::new(
        rule,
        TestKind::Ratio,
        Whose::Ct,
        what,
        Found::Known(value),
        unit,
    )
}

/// Either way from zero by this much.
fn within(limit: f64, cited: &Cited) -> Against {
    cited_limit(Requirement::at_most(limit), cited).magnitude()
}

/// Holds a finding against a limit, unless its section is in doubt.
fn held(j: &Judging<'_>, finding: Finding, against: Against, doubtful: Option<Span>) -> Finding {
    match doubtful {
        Some(_) => in_doubt(
            Finding {
                against: Some(against),
                ..finding
            },
            doubtful,
        ),
        None => finding.against(j.w, j.case.criteria, against),
    }
}

/// Takes the verdict away where a line of the section was not understood.
fn in_doubt(mut finding: Finding, doubtful: Option<Span>) -> Finding {
    if let Some(span) = doubtful {
        finding.verdict = Verdict::NotJudged(DOUBTFUL.to_owned());
        finding.points_at.push(span);
    }
    finding
}

fn unread(j: &mut Judging<'_>) {
    let told: Vec<Finding> = j.derived.ratio.unread.iter().map(not_judged).collect();
    j.findings.extend(told);
}

fn not_judged(row: &Unread) -> Finding {
    let why = match row.why {
        WhyUnread::Unreadable => "a reading of the row is not understood",
        WhyUnread::Bound => "a bound stands where a value is needed",
        WhyUnread::Driven => "nobody says which pair was driven or read",
        WhyUnread::NoRatio => "the plate gives no ratio of this pair",
        WhyUnread::NoPrimary => "the row has no primary current",
    };
    let mut told = Finding::new(
        "ratio-reading",
        TestKind::Ratio,
        Whose::Work,
        "ratio",
        Found::Nothing,
        unit::ONE,
    );
    told.section = Some(row.test);
    told.core = row.pair.map(|pair| pair.core);
    told.pair = row.pair;
    told.points_at = vec![row.row];
    told.verdict = Verdict::NotJudged(why.to_owned());
    told
}

/// The pair that heads the summary of its core: in service, else the full winding.
fn heads(j: &Judging<'_>, pair: Pair) -> bool {
    let in_service = j
        .case
        .record
        .pair_in_service(pair.core, j.case.visit)
        .map(Pair::ascending);
    let measured = |wanted: Pair| {
        let ratio = &j.derived.ratio;
        ratio.turns.iter().any(|turns| turns.pair == wanted)
            || ratio.runs.iter().any(|run| run.pair == wanted)
    };
    match in_service.filter(|wanted| measured(*wanted)) {
        Some(wanted) => wanted == pair,
        None => j.case.full(pair.core) == Some(pair),
    }
}

/// `1, 5 and 20`.
fn list(items: &[String]) -> String {
    match items.split_last() {
        Some((last, first)) if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => items.concat(),
    }
}

/// A plain number without trailing zeros.
fn plain(x: f64) -> String {
    let text = crate::judge::say::rounded(x, 4);
    match text.contains('.') && !text.contains('e') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

#[cfg(test)]
mod tests;
