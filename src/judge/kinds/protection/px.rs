//! Rated knee and exciting currents of the plate: classes PX, PXR, older X and PS.

use super::{at_most, current, needs_up_to};
use crate::derive::kinds::protection::knee::{Exciting, RatedKnee};
use crate::derive::knee::Knee;
use crate::document::Phrase;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::plate;
use crate::standards::px;

pub(super) fn knee(j: &Judging<'_>, rated: &RatedKnee) -> Finding {
    let least = rated.rated.si;
    let against = Against::at_least(least, &plate("rated knee point e.m.f.")).stated_at(rated.at);
    let verdict = knee_verdict(j, &rated.found, &against, least);
    Finding::new(&rules::KNEE_EMF, rated.found.voltage(), unit::VOLT)
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
    let step = px(false).map_or(0.0, |row| row.knee_voltage_step);
    let beyond = needs_up_to((1.0 + step / 100.0) * least);
    let before = Verdict::NotShown(Phrase::default());
    j.one_sided(&knee.voltage(), against, beyond, before)
}

pub(super) fn exciting(j: &Judging<'_>, exciting: &Exciting) -> Finding {
    let volts = exciting.voltage.si;
    let outcome = current(&exciting.found);
    let against = Against::at_most(exciting.limit, &plate("exciting current"));
    let against = against.stated_at(exciting.at);
    let verdict = at_most(j, &outcome, &against, volts);
    let unit = unit::current(exciting.limit);
    Finding::new(&rules::EXCITING_CURRENT, outcome, unit)
        .under(Condition::Voltage(volts))
        .headline()
        .held(against, verdict)
}
