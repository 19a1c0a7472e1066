//! Protection classes and the security factor from the excitation curve. One-sided truths stay
//! one-sided: past the readings a requirement is not met, or not shown, never passed by guess.

mod factor;
mod limit;
mod px;
mod relay;
mod remanence;
mod security;
mod transient;

use super::excitation::{DOUBTFUL, not_judged, primary_loop, reason};
use crate::derive::accuracy::AtEmf;
use crate::derive::kinds::protection::{Accuracy, Check, Lack};
use crate::derive::kinds::resistance::From;
use crate::derive::outcome::Outcome;
use crate::derive::workings::Value;
use crate::judge::assess::Judging;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Found, Unit, Verdict, Whose, unit};
use crate::judge::say::rounded;
use crate::judge::verdict::judge as hold;
use crate::record::class::Class;
use crate::record::kinds::TestKind;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for accuracy in &derived.protection {
        let finding = match &accuracy.check {
            Check::Limit(found) => limit::judge(j, accuracy, found),
            Check::Factor(found) => factor::judge(j, accuracy, found),
            Check::Knee(found) => px::knee(j, accuracy, found),
            Check::Exciting(found) => px::exciting(j, accuracy, found),
            Check::Relay(found) => relay::judge(j, accuracy, found),
            Check::Transient(found) => transient::peak(j, accuracy, found),
            Check::Dimensioning(found) => transient::dimensioning(accuracy, found),
            Check::Security(found) => security::judge(j, accuracy, found),
            Check::Remanence(found) => remanence::factor(j, accuracy, *found),
            Check::LoopConstant(found) => remanence::loop_constant(j, accuracy, found),
            Check::Lacking(class, lack) => lacking(accuracy, class, *lack),
        };
        let finding = beside(j, accuracy, finding);
        j.findings.push(finding);
    }
    primary_loop::suspect(j);
}

/// A finding of the CT on the pair of a requirement.
fn new(
    accuracy: &Accuracy,
    rule: &'static str,
    what: impl Into<String>,
    found: Found,
    unit: Unit,
) -> Finding {
    let kind = match accuracy.check {
        Check::Remanence(_) | Check::LoopConstant(_) => TestKind::Remanence,
        _ => TestKind::Excitation,
    };
    Finding::new(rule, kind, Whose::Ct, what, found, unit).at(
        accuracy.test,
        accuracy.pair,
        accuracy.readings.clone(),
    )
}

/// What belongs beside every value of this kind: where curve and resistance come from.
fn beside(j: &Judging<'_>, accuracy: &Accuracy, mut finding: Finding) -> Finding {
    if let Some(from) = accuracy.scaled_from {
        finding = finding.remark(format!(
            "scaled by turns from {}, approximate on partial windings",
            j.case.record.pair_text(from)
        ));
    }
    if let Some((rct, from)) = accuracy.rct {
        let ohm = rounded(rct.si, 4);
        finding = finding.remark(match from {
            From::Measured => format!("winding resistance at 75 °C {ohm} ohm, measured"),
            From::Plate => format!(
                "winding resistance {ohm} ohm by the plate, none was measured at this visit"
            ),
        });
    }
    if accuracy.other_frequency.is_some() {
        finding =
            finding.remark("from another frequency: currents are on the low side below saturation");
    }
    if accuracy.doubtful.is_some() {
        finding.verdict = not_judged(DOUBTFUL);
    }
    finding
}

/// A current at an e.m.f. as a one-sided truth.
fn current(at: &AtEmf) -> Outcome {
    match at {
        AtEmf::Within { current } => Outcome::Known(*current),
        AtEmf::Above { last_current, .. } => Outcome::AtLeast(*last_current),
        AtEmf::Below { first_current, .. } => Outcome::AtMost(*first_current),
    }
}

fn found(outcome: &Outcome) -> Found {
    match outcome {
        Outcome::Known(value) => Found::Known(*value),
        Outcome::AtLeast(value) => Found::AtLeast(*value),
        Outcome::AtMost(value) => Found::AtMost(*value),
        Outcome::NotReached { beyond } => Found::NotReached { beyond: *beyond },
        Outcome::Lacking(_) => Found::Nothing,
    }
}

/// Holds an outcome against an upper limit: a value past the readings can only break it, one before
/// them only keep it; all else is not shown, with the e.m.f. in volt that readings are needed at.
fn at_most(j: &Judging<'_>, outcome: &Outcome, against: &Against, volts: f64) -> Verdict {
    let word = |value: Value| hold(j.w, j.case.criteria, value, against);
    let open = || Verdict::NotShown(needs_up_to(volts));
    match outcome {
        Outcome::Known(value) => word(*value),
        Outcome::AtLeast(value) => {
            if word(*value) == Verdict::Word(Word::Fail) {
                Verdict::NotMet
            } else {
                open()
            }
        }
        Outcome::AtMost(value) => match word(*value) {
            Verdict::Word(Word::Pass) => Verdict::Word(Word::Pass),
            _ => Verdict::NotShown(format!("needs readings down to {} V", rounded(volts, 4))),
        },
        Outcome::NotReached { .. } => open(),
        Outcome::Lacking(why) => not_judged(reason(*why)),
    }
}

/// Puts limit and verdict on a finding.
fn held(mut finding: Finding, against: Against, verdict: Verdict) -> Finding {
    finding.points_at.extend(against.span);
    finding.against = Some(against);
    finding.verdict = verdict;
    finding
}

fn needs_up_to(volts: f64) -> String {
    format!("needs readings up to {} V", rounded(volts, 4))
}

/// The word of a verdict alone, for a value that stands beside the one that is judged.
fn short(verdict: &Verdict) -> String {
    match verdict {
        Verdict::NotShown(_) => "not shown".to_owned(),
        other => crate::judge::say::verdict(other),
    }
}

/// A one-sided number for a remark: `at least 0.31 %`.
fn told(outcome: &Outcome, unit: Unit) -> String {
    let text = |value: &Value| {
        let shown = rounded(value.si * unit.per_si, 3);
        if unit.word.is_empty() {
            shown
        } else {
            format!("{shown} {}", unit.word)
        }
    };
    match outcome {
        Outcome::Known(value) => text(value),
        Outcome::AtLeast(value) => format!("at least {}", text(value)),
        Outcome::AtMost(value) => format!("at most {}", text(value)),
        Outcome::NotReached { beyond } => format!("above {}", text(beyond)),
        Outcome::Lacking(why) => reason(*why).to_owned(),
    }
}

fn lacking(accuracy: &Accuracy, class: &Class, lack: Lack) -> Finding {
    let (rule, what) = match class {
        Class::Protection { .. } => ("composite-error", "composite error at the accuracy limit"),
        Class::Measuring { .. } => ("security-factor", "instrument security factor"),
        Class::IeeeRelay { .. } => ("exciting-at-class", "exciting current at the class voltage"),
        _ => (
            "peak-exciting-current",
            "peak exciting current at the equivalent limiting e.m.f.",
        ),
    };
    let mut finding = new(
        accuracy,
        rule,
        format!("{what}, class {}", class.text()),
        Found::Nothing,
        unit::ONE,
    );
    finding.verdict = not_judged(match lack {
        Lack::Resistance => "no winding resistance at 75 °C is known",
        Lack::Burden => "no usable rated burden on the plate",
        Lack::RatedCurrent => "no rated secondary current on the plate",
        Lack::TransientPlate => "Kssc or Ktd is missing on the plate",
    });
    finding
}

#[cfg(test)]
mod tests;
