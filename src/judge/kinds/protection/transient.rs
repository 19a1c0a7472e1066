//! Classes TPX, TPY and TPZ.

use super::{at_most, current, found, held, new, told};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::transient::{Dimensioning, Peak};
use crate::derive::outcome::Outcome;
use crate::derive::transient::{Branch, Factor};
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, unit};
use crate::judge::kinds::excitation::not_judged;
use crate::judge::say::rounded;
use crate::judge::verdict::cited_limit;
use crate::standards;

pub(super) fn peak(j: &Judging<'_>, accuracy: &Accuracy, peak: &Peak) -> Finding {
    let volts = peak.emf.si;
    let what = format!(
        "peak exciting current at Eal {} V, class {}",
        rounded(volts, 4),
        peak.class.name()
    );
    let outcome = peak.peak.as_ref().map(current);
    let shown = outcome.as_ref().map_or(Found::Nothing, found);
    let unit = unit::current(peak.limit.map_or(0.0, |limit| limit.si));
    let mut finding = new(accuracy, "peak-exciting-current", what, shown, unit).headline();
    let rms = current(&peak.rms);
    finding = finding.remark(format!("r.m.s. current there {}", told(&rms, unit)));
    let row = standards::transient(peak.class);
    let (Some(limit), Some(row)) = (peak.limit, row) else {
        finding.verdict = not_judged("the plate lacks the loop time constant that the limit needs");
        return finding;
    };
    let against = cited_limit(Requirement::at_most(limit.si), &row.cited);
    let verdict = match outcome {
        Some(outcome) => at_most(j, &outcome, &against, volts),
        None => not_judged("the peak of the exciting current was not recorded"),
    };
    held(finding, against, verdict)
}

pub(super) fn dimensioning(accuracy: &Accuracy, found: &Dimensioning) -> Finding {
    let value = |factor: &Factor| Found::Known(factor.value);
    let (what, shown) = match (&found.at_limit, &found.greatest) {
        (Some(factor), _) => (
            "transient factor at the accuracy time of the plate",
            value(factor),
        ),
        (None, Some(factor)) => (
            "greatest transient factor of the stated duty",
            value(factor),
        ),
        (None, None) => ("transient factor of the stated duty", Found::Nothing),
    };
    let mut finding = new(accuracy, "transient-factor", what, shown, unit::ONE)
        .remark(format!("rated Ktd {}", rounded(found.rated.si, 3)));
    if let (Some(_), Some(greatest)) = (&found.at_limit, &found.greatest) {
        finding = finding.remark(format!(
            "however long the fault lasts {}",
            told(&Outcome::Known(greatest.value), unit::ONE)
        ));
    }
    let early = found
        .at_limit
        .is_some_and(|factor| factor.branch == Branch::UnderHalfCycle);
    finding.remark(if early {
        "before half a cycle: the envelope overstates"
    } else {
        "envelope of the flux, valid from half a cycle on"
    })
}
