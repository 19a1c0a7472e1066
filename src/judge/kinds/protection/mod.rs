//! Protection classes and the security factor from the excitation curve. One-sided truths stay
//! one-sided: past the readings a requirement is not met, or not shown, never passed by guess.

mod factor;
mod limit;
mod px;
mod relay;
mod remanence;
mod security;
mod transient;

pub(super) use px::knee_verdict;
pub(super) use relay::on_tap;

use super::excitation::primary_loop;
use crate::derive::accuracy::AtEmf;
use crate::derive::kinds::protection::burden::Impedance;
use crate::derive::kinds::protection::{Accuracy, Check, Lack};
use crate::derive::kinds::resistance::From as Origin;
use crate::derive::outcome::Outcome;
use crate::derive::workings::Value;
use crate::document::{Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Unit, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::{not_judged, reason};
use crate::judge::words::quantity;
use crate::trade::{Class, Pair};

/// Judges what the excitation curves of a visit show of the classes.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    of(j, |check| !is_of_remanence(check), out);
    primary_loop::suspect(j, out);
}

/// Judges remanence and loop time constant of a visit.
pub fn remanence(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    of(j, is_of_remanence, out);
    out.extend(remanence::lacking(j));
}

fn of(j: &Judging<'_>, is_asked: fn(&Check) -> bool, out: &mut Vec<Finding>) {
    let checked = j.derived.protection.iter();
    let asked = checked.filter(|accuracy| is_asked(&accuracy.check));
    out.extend(asked.map(|accuracy| {
        let finding = check(j, accuracy);
        beside(j, accuracy, finding)
    }));
}

/// Whether a check belongs to the remanence test; the others read the excitation curve.
#[deny(clippy::wildcard_enum_match_arm)]
fn is_of_remanence(check: &Check) -> bool {
    match check {
        Check::Remanence(_) | Check::LoopConstant(_) => true,
        Check::Limit(_)
        | Check::Factor(_)
        | Check::Knee(_)
        | Check::Exciting(_)
        | Check::Relay(_)
        | Check::Transient(_)
        | Check::Dimensioning(_)
        | Check::Security(_)
        | Check::Lacking(..) => false,
    }
}

/// What a check comes to, on the pair of its requirement.
fn check(j: &Judging<'_>, accuracy: &Accuracy) -> Finding {
    let placed = |finding: Finding| {
        let points_at = [accuracy.readings.as_slice(), &finding.points_at].concat();
        finding.by_curve(accuracy.at, accuracy.pair, points_at)
    };
    placed(match &accuracy.check {
        Check::Limit(found) => limit::judge(j, accuracy, found),
        Check::Factor(found) => factor::judge(j, accuracy, found),
        Check::Knee(found) => px::knee(j, found),
        Check::Exciting(found) => px::exciting(j, accuracy, found),
        Check::Relay(found) => relay::judge(j, accuracy, found),
        Check::Transient(found) => transient::peak(j, found),
        Check::Dimensioning(found) => transient::dimensioning(j, found),
        Check::Security(found) => security::judge(j, accuracy, found),
        Check::Remanence(found) => remanence::factor(j, accuracy, *found),
        Check::LoopConstant(found) => remanence::loop_constant(j, accuracy, found),
        Check::Lacking(class, lack) => lacking(class, *lack),
    })
}

/// What belongs beside every value of this kind: where curve and resistance come from.
fn beside(j: &Judging<'_>, accuracy: &Accuracy, finding: Finding) -> Finding {
    let other_frequency = accuracy.other_frequency.is_some();
    let mut finding = of_curve(j, finding, accuracy.scaled_from, other_frequency);
    if let Some((rct, from)) = accuracy.rct {
        finding = finding.remark(say!("winding resistance {}", resistance(rct, from)));
    }
    finding.withheld(accuracy.doubtful)
}

/// What belongs beside everything that rests on a curve of another pair or frequency.
pub(super) fn of_curve(
    j: &Judging<'_>,
    mut finding: Finding,
    scaled_from: Option<Pair>,
    other_frequency: bool,
) -> Finding {
    if let Some(from) = scaled_from {
        let pair = Phrase::terminals(j.case.record.pair_text(from));
        finding = finding.remark(say!(
            "scaled by turns from {}, approximate on partial windings",
            pair
        ));
    }
    if other_frequency {
        finding =
            finding.remark("from another frequency: currents are on the low side below saturation");
    }
    finding
}

/// The winding resistance that a value rests on, and where it comes from.
pub(super) fn resistance(rct: Value, from: Origin) -> Phrase {
    let origin = match from {
        Origin::Measured => "measured",
        Origin::WithLeads => "measured, the leads may be in it",
        Origin::Plate => "from the rating plate, none was measured at this visit",
    };
    say!("{} at {}, {}", ohm(rct), Quantity::new("75", "°C"), origin)
}

fn ohm(value: Value) -> Quantity {
    quantity(value.si, 4, unit::OHM)
}

fn volts(si: f64) -> Quantity {
    quantity(si, 4, unit::VOLT)
}

fn impedance(burden: &Impedance) -> Condition {
    Condition::Impedance(burden.z.si, Some(burden.power_factor.si))
}

/// A current at an e.m.f. as a one-sided truth.
fn current(at: &AtEmf) -> Outcome {
    match at {
        AtEmf::Within { current } => Outcome::Known(*current),
        AtEmf::Above { last_current, .. } => Outcome::AtLeast(*last_current),
        AtEmf::Below { first_current, .. } => Outcome::AtMost(*first_current),
    }
}

/// Holds an outcome against an upper limit; where it is not shown, with the e.m.f. in volt that
/// readings are needed at.
fn at_most(j: &Judging<'_>, outcome: &Outcome, against: &Against, emf: f64) -> Verdict {
    let before = Verdict::NotShown(say!("needs readings down to {}", volts(emf)));
    j.one_sided(outcome, against, needs_up_to(emf), before)
}

pub(super) fn needs_up_to(emf: f64) -> Verdict {
    Verdict::NotShown(say!("needs readings up to {}", volts(emf)))
}

/// A one-sided number for a remark: `at least 0.31 %`.
fn told(outcome: &Outcome, unit: Unit) -> Phrase {
    let number = |value: &Value| quantity(value.si, 3, unit);
    match outcome {
        Outcome::Known(value) => number(value).into(),
        Outcome::AtLeast(value) => say!("at least {}", number(value)),
        Outcome::AtMost(value) => say!("at most {}", number(value)),
        Outcome::NotReached { beyond } => say!("above {}", number(beyond)),
        Outcome::Lacking(why) => reason(*why).into(),
    }
}

#[deny(clippy::wildcard_enum_match_arm)]
fn lacking(class: &Class, lack: Lack) -> Finding {
    let rule = match class {
        Class::Protection { .. } => &rules::COMPOSITE_ERROR,
        Class::Measuring { .. } => &rules::SECURITY_FACTOR,
        Class::IeeeRelay { .. } => &rules::EXCITING_AT_CLASS,
        Class::Transient(_) | Class::Knee { .. } | Class::IeeeMetering { .. } | Class::Other(_) => {
            &rules::PEAK_EXCITING_CURRENT
        }
    };
    let why = match lack {
        Lack::Resistance => "no winding resistance at 75 °C is known",
        Lack::Burden => "no usable rated burden on the rating plate",
        Lack::RatedCurrent => "no rated secondary current on the rating plate",
        Lack::TransientPlate => "Kssc or Ktd is missing on the rating plate",
    };
    Finding::without(rule, unit::ONE)
        .verdict(not_judged(why))
        .under(Condition::Class(class.text()))
}

#[cfg(test)]
mod tests;
