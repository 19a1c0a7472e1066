//! Rated knee and exciting currents of the plate: classes PX, PXR, older X and PS.

use super::{at_most, current, found, held, needs_up_to, new};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::knee::{Exciting, RatedKnee};
use crate::derive::knee::Knee;
use crate::judge::assess::Judging;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::kinds::excitation::{not_judged, reason};
use crate::judge::say::rounded;
use crate::judge::verdict::{judge as hold, plate_limit};
use crate::standards::px;

pub(super) fn knee(j: &Judging<'_>, accuracy: &Accuracy, rated: &RatedKnee) -> Finding {
    let finding = new(
        accuracy,
        "knee-emf",
        "knee point e.m.f.",
        found(&rated.found.voltage()),
        unit::VOLT,
    )
    .headline();
    let against = plate_limit(
        Requirement::at_least(rated.rated.si),
        "rated knee point e.m.f.",
        rated.at,
    );
    let verdict = match rated.found {
        Knee::At(point) => hold(j.w, j.case.criteria, point.voltage, &against),
        // The knee lies above this, so that a requirement below it is met.
        Knee::NotReached { beyond } => match hold(j.w, j.case.criteria, beyond, &against) {
            Verdict::Word(Word::Pass) => Verdict::Word(Word::Pass),
            _ => {
                let step = px(false).map_or(0.0, |row| row.knee_voltage_step);
                Verdict::NotShown(needs_up_to((1.0 + step / 100.0) * rated.rated.si))
            }
        },
        Knee::Lacking(why) => not_judged(reason(why)),
    };
    held(finding, against, verdict)
}

pub(super) fn exciting(j: &Judging<'_>, accuracy: &Accuracy, exciting: &Exciting) -> Finding {
    let volts = exciting.voltage.si;
    let outcome = current(&exciting.found);
    let what = format!("exciting current at {} V", rounded(volts, 4));
    let finding = new(
        accuracy,
        "exciting-current",
        what,
        found(&outcome),
        unit::current(exciting.limit),
    )
    .headline();
    let against = plate_limit(
        Requirement::at_most(exciting.limit),
        "exciting current",
        exciting.at,
    );
    let verdict = at_most(j, &outcome, &against, volts);
    held(finding, against, verdict)
}
