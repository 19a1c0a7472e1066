//! Demagnetisation: a source that cannot saturate the core did not demagnetise it.

use super::doubt::withheld;
use crate::derive::kinds::demagnetisation::{Brought, End, Start};
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, Verdict, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::cited_limit;
use crate::record::kinds::demagnetisation::Method;
use crate::standards::threshold;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for brought in &derived.demagnetisation {
        j.findings.push(start(brought));
        j.findings.extend(end(brought));
    }
}

fn made(brought: &Brought, rule: &'static Rule, found: Found) -> Finding {
    let made = Finding::new(rule, found, unit::ONE);
    made.at(brought.test, brought.pair, brought.readings.clone())
}

fn start(brought: &Brought) -> Finding {
    let (over, found) = match brought.start {
        Start::OverKnee(value) => (Some("the knee"), Found::Known(value)),
        Start::OverKneeLess(value) => (Some("the knee"), Found::AtMost(value)),
        Start::OverRated(value) => (Some("rated primary current"), Found::Known(value)),
        Start::Alone | Start::Unstated => (None, Found::Nothing),
    };
    let mut finding = made(brought, &rules::DEMAGNETISATION_START, found).headline();
    finding = finding.under(over.map(Condition::InTimesOf));
    let least = match brought.start {
        Start::OverKnee(value) | Start::OverKneeLess(value) => {
            threshold("demagnetisation-above-knee").map(|row| (value, row))
        }
        Start::OverRated(value) => threshold("demagnetisation-closed").map(|row| (value, row)),
        Start::Alone | Start::Unstated => None,
    };
    // Less than the last reading's share: below the limit, the start is too low for certain.
    let low = least.is_some_and(|(value, row)| value.si < row.limit * (1.0 - 1e-9));
    finding.against =
        least.map(|(_, row)| cited_limit(Requirement::at_least(row.limit), &row.cited));
    finding.verdict = match brought.start {
        Start::OverKneeLess(_) if !low => {
            Verdict::NotShown("needs a curve that reaches the knee".into())
        }
        Start::Unstated if brought.method != Method::Dc => {
            Verdict::NotShown("needs the value where it started".into())
        }
        Start::Unstated | Start::Alone => Verdict::NoLimit,
        _ if low => Verdict::Observed(Grade::Review),
        _ => Verdict::Observed(Grade::Info),
    };
    withheld(remarked(brought, finding), brought.doubtful)
}

fn remarked(brought: &Brought, mut finding: Finding) -> Finding {
    if let Some(rule) = brought.knee {
        finding = finding.remark(say!("knee of this visit, {}", rule));
    }
    match brought.method {
        Method::Open if matches!(brought.start, Start::Alone) => {
            finding = finding
                .remark("not held against a knee: no usable curve of this core at this visit");
        }
        Method::Dc => finding = finding.remark(
            "by falling reversals of direct current; repeat the low end of the curve to show it",
        ),
        Method::Open | Method::Closed => {}
    }
    if brought.end == End::Zero {
        finding.remark("run down to zero")
    } else {
        finding
    }
}

fn end(brought: &Brought) -> Option<Finding> {
    let (observed, verdict) = match brought.end {
        End::Zero => return None,
        End::Above => ("not run down to zero", Verdict::Observed(Grade::Review)),
        End::Unstated => (
            "",
            Verdict::NotShown("needs the value where it ended".into()),
        ),
    };
    let mut finding = made(brought, &rules::DEMAGNETISATION_END, Found::Nothing);
    finding = finding.observed(observed);
    finding.verdict = verdict;
    Some(withheld(finding, brought.doubtful))
}

#[cfg(test)]
mod tests {
    use crate::document::Grade;
    use crate::judge::finding::Verdict;
    use crate::judge::kinds::bench::{assessed, of_rule};

    #[test]
    fn the_closed_method_starts_at_more_than_rated_current() {
        let start = |amperes: &str| {
            let text = format!(
                "[demagnetisation 1S1-1S2]\nmethod: closed\nstart: {amperes} A\nend: 0 A\n"
            );
            of_rule(&assessed("", &text), "demagnetisation-start").remove(0)
        };
        assert_eq!(start("720").grade(), Grade::Info);
        assert_eq!(start("500").grade(), Grade::Review);
    }

    /// A curve with its 10 % knee near 300 V on the full winding, 150 V on half of it.
    const CURVE: &str = "[excitation 2S1-2S3]\nvoltmeter: mean\nvoltage/V current/mA\n30 1.0\n60 1.6\n120 2.6\n180 3.4\n240 4.2\n\
        270 4.7\n300 5.5\n320 8.0\n340 20\n360 80\n\n";

    #[test]
    fn a_source_that_does_not_reach_the_knee_did_not_demagnetise() {
        let start = |pair: &str, rest: &str| {
            let text = format!("{CURVE}[demagnetisation {pair}]\n{rest}\nend: 0 V\n");
            of_rule(&assessed("", &text), "demagnetisation-start").remove(0)
        };
        assert_eq!(start("2S1-2S3", "start: 360 V").grade(), Grade::Info);
        assert_eq!(start("2S1-2S3", "start: 180 V").grade(), Grade::Review);
        assert!(start("2S1-2S3", "start: 180 V").action().is_some());
        // Half of the turns need half of the volts; a fifth of the frequency a fifth.
        assert_eq!(start("2S1-2S2", "start: 180 V").grade(), Grade::Info);
        assert_eq!(
            start("2S1-2S3", "start: 72 V\nfrequency: 10 Hz").grade(),
            Grade::Info
        );
        assert_eq!(
            start("2S1-2S3", "start: 36 V\nfrequency: 10 Hz").grade(),
            Grade::Review
        );
    }

    #[test]
    fn an_end_above_zero_is_told_and_a_missing_one_not_shown() {
        let end = |line: &str| {
            of_rule(
                &assessed(
                    "",
                    &format!("[demagnetisation 1S1-1S2]\nstart: 480 V\n{line}\n"),
                ),
                "demagnetisation-end",
            )
        };
        assert!(end("end: 0 V").is_empty());
        assert_eq!(end("end: 40 V").remove(0).grade(), Grade::Review);
        assert!(matches!(
            end("duration: 30 s").remove(0).verdict,
            Verdict::NotShown(_)
        ));
    }
}
