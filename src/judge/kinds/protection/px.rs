//! Rated knee and exciting currents of the plate: classes PX, PXR, older X and PS.

use super::{at_most, current, needs_up_to};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::knee::{Exciting, RatedKnee};
use crate::derive::knee::Knee;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::{WhyNot, Word};
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::plate;
use crate::judge::words::brief;
use crate::standards::px;

pub(super) fn knee(j: &Judging<'_>, rated: &RatedKnee) -> Finding {
    let least = rated.rated.si;
    let against = Against::at_least(least, &plate("rated knee point e.m.f.")).stated_at(rated.at);
    let finding = Finding::new(&rules::KNEE_EMF, rated.found.voltage(), unit::VOLT).headline();
    let Some((rise, row)) = rated.rise.zip(px(false)) else {
        let verdict = knee_verdict(j, &rated.found, &against, least);
        return finding.held(against, verdict);
    };
    // The routine test: two readings show on which side of the rated one the knee lies.
    let most = Against::at_most(row.knee_current_rise, &row.cited);
    let told = say!(
        "from the rated knee on, {} more voltage takes {} more current; at most {}",
        brief(row.knee_voltage_step, unit::PERCENT.word),
        j.number(rise, unit::PERCENT),
        brief(row.knee_current_rise, unit::PERCENT.word)
    );
    let verdict = j.hold(rise, &most);
    finding.held(against, verdict).remark(told)
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

pub(super) fn exciting(j: &Judging<'_>, accuracy: &Accuracy, exciting: &Exciting) -> Finding {
    let volts = exciting.voltage.si;
    let outcome = current(&exciting.found);
    let against = Against::at_most(exciting.limit, &plate("exciting current"));
    let against = against.stated_at(exciting.at);
    let verdict = match at_most(j, &outcome, &against, volts) {
        Verdict::Word(Word::Pass | Word::ConditionalPass) if is_lower(j, accuracy) => {
            Verdict::NotDecided(WhyNot::ReadsLow)
        }
        verdict => verdict,
    };
    let unit = unit::current(exciting.limit);
    Finding::new(&rules::EXCITING_CURRENT, outcome, unit)
        .under(Condition::Voltage(volts))
        .headline()
        .held(against, verdict)
}

/// Whether the curve was taken at less than rated frequency, where it takes less current.
fn is_lower(j: &Judging<'_>, accuracy: &Accuracy) -> bool {
    let rated = j.case.record.plate.rated_frequency();
    let both = accuracy.other_frequency.zip(rated);
    both.is_some_and(|(taken, rated)| taken < rated)
}
