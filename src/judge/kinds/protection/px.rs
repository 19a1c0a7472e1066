//! Rated knee and exciting currents of the plate: classes PX, PXR, older X and PS.

use super::{at_most, current, needs_up_to, new, not_judged};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::knee::{Exciting, RatedKnee};
use crate::derive::knee::Knee;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::kinds::excitation::reason;
use crate::judge::rules;
use crate::judge::verdict::{judge as hold, plate_limit};
use crate::standards::px;

pub(super) fn knee(j: &Judging<'_>, accuracy: &Accuracy, rated: &RatedKnee) -> Finding {
    let requirement = Requirement::at_least(rated.rated.si);
    let against = plate_limit(requirement, "rated knee point e.m.f.", rated.at);
    let verdict = knee_verdict(j, &rated.found, &against, rated.rated.si);
    new(
        accuracy,
        &rules::KNEE_EMF,
        rated.found.voltage(),
        unit::VOLT,
    )
    .headline()
    .held(against, verdict)
}

/// Holds a knee against the `least` volt; one above the readings can only meet it.
pub(in crate::judge::kinds) fn knee_verdict(
    j: &Judging<'_>,
    knee: &Knee,
    against: &Against,
    least: f64,
) -> Verdict {
    match knee {
        Knee::At(point) => hold(j.w, j.case.criteria, point.voltage, against),
        Knee::NotReached { beyond } => match hold(j.w, j.case.criteria, *beyond, against) {
            pass @ Verdict::Word(Word::Pass) => pass,
            _ => {
                let step = px(false).map_or(0.0, |row| row.knee_voltage_step);
                needs_up_to((1.0 + step / 100.0) * least)
            }
        },
        Knee::Lacking(why) => not_judged(reason(*why)),
    }
}

pub(super) fn exciting(j: &Judging<'_>, accuracy: &Accuracy, exciting: &Exciting) -> Finding {
    let volts = exciting.voltage.si;
    let outcome = current(&exciting.found);
    let requirement = Requirement::at_most(exciting.limit);
    let against = plate_limit(requirement, "exciting current", exciting.at);
    let verdict = at_most(j, &outcome, &against, volts);
    let unit = unit::current(exciting.limit);
    new(accuracy, &rules::EXCITING_CURRENT, outcome, unit)
        .under(Condition::Voltage(volts))
        .headline()
        .held(against, verdict)
}
