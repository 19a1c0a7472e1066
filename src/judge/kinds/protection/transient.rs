//! Classes TPX, TPY and TPZ.

use super::{at_most, current, told, volts};
use crate::derive::kinds::protection::transient::{Dimensioning, Peak};
use crate::derive::outcome::Outcome;
use crate::derive::transient::Branch;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::quantity;
use crate::standards;

pub(super) fn peak(j: &Judging<'_>, peak: &Peak) -> Finding {
    let outcome = peak.peak.as_ref().map(current);
    let unit = unit::current(peak.limit.map_or(0.0, |limit| limit.si));
    let rms = told(&current(&peak.rms), unit);
    let finding = Finding::new(&rules::PEAK_EXCITING_CURRENT, outcome, unit)
        .under(Condition::Class(peak.class.name().to_owned()))
        .headline()
        .remark(say!(
            "Eal {}, r.m.s. current there {}",
            volts(peak.emf.si),
            rms
        ));
    let row = standards::transient(peak.class);
    let (Some(limit), Some(row)) = (peak.limit, row) else {
        let why = "the rating plate lacks the loop time constant that the limit needs";
        return finding.verdict(not_judged(why));
    };
    let against = Against::at_most(limit.si, &row.cited);
    let verdict = match outcome {
        Some(outcome) => at_most(j, &outcome, &against, peak.emf.si),
        None => not_judged("the peak of the exciting current was not recorded"),
    };
    finding.held(against, verdict)
}

pub(super) fn dimensioning(found: &Dimensioning) -> Finding {
    let shown = found.at_limit.as_ref().or(found.greatest.as_ref());
    let value = shown.map(|factor| Outcome::Known(factor.value));
    let mut finding = Finding::new(&rules::TRANSIENT_FACTOR, value, unit::ONE)
        .remark(say!("rated Ktd {}", quantity(found.rated.si, 3, unit::ONE)));
    finding = match (&found.at_limit, &found.greatest) {
        (Some(_), Some(greatest)) => finding.remark(say!(
            "at the accuracy time of the rating plate; however long the fault lasts {}",
            told(&Outcome::Known(greatest.value), unit::ONE)
        )),
        (Some(_), None) => finding.remark("at the accuracy time of the rating plate"),
        (None, Some(_)) => finding.remark("greatest of the stated duty"),
        (None, None) => finding,
    };
    let early = found
        .at_limit
        .is_some_and(|factor| factor.branch == Branch::UnderHalfCycle);
    finding.remark(if early {
        "before half a cycle: the envelope overstates"
    } else {
        "envelope of the flux, valid from half a cycle on"
    })
}
