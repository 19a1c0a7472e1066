//! Classes TPX, TPY and TPZ.

use super::{at_most, current, told, volts};
use crate::derive::kinds::protection::transient::{Dimensioning, Peak};
use crate::derive::outcome::Outcome;
use crate::derive::transient::{Branch, Factor};
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::{not_judged, plate};
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

/// What the duty on the plate asks of the core, against the Ktd on the same plate. A contradiction on
/// the plate is no failed core: it is for review.
pub(super) fn dimensioning(j: &Judging<'_>, found: &Dimensioning) -> Finding {
    let shown = found.at_limit.as_ref().or(found.greatest.as_ref());
    let one = shown.map(|factor| Outcome::Known(factor.value));
    let value = match (found.double, found.of_cycle) {
        // Each of the two faults alone asks for no less.
        (true, Some(value)) => {
            let first = found.at_limit.map(|one| one.value);
            let more = first.filter(|first| first.si > value.si);
            Some(Outcome::Known(more.unwrap_or(value)))
        }
        // The first fault alone asks for this much.
        (true, None) => found.at_limit.map(|one| Outcome::AtLeast(one.value)),
        (false, _) => one,
    };
    let against = plate("transient dimensioning factor");
    let against = Against::at_most(found.rated.si, &against);
    let verdict = enough(j, found, value.as_ref(), &against);
    let mut finding = Finding::new(&rules::TRANSIENT_FACTOR, value, unit::ONE)
        .remark(say!("rated Ktd {}", quantity(found.rated.si, 3, unit::ONE)));
    finding = match (&found.at_limit, &found.greatest) {
        _ if found.double && found.of_cycle.is_none() => finding
            .remark("the duty is C-O-C-O, and the first fault of it alone is no measure of both"),
        _ if found.double => finding.remark("of both faults of the C-O-C-O duty"),
        (Some(_), Some(greatest)) => finding.remark(say!(
            "up to the accuracy time of the rating plate; however long the fault lasts {}",
            told(&Outcome::Known(greatest.value), unit::ONE)
        )),
        (Some(_), None) => finding.remark("up to the accuracy time of the rating plate"),
        (None, Some(_)) => finding.remark("greatest of the stated duty"),
        (None, None) => finding,
    };
    if let Some(phase) = found.by_gap {
        finding = finding.remark(say!(
            "phase displacement by the gap alone {}, from Ts",
            quantity(phase.si, 3, unit::MINUTE_OF_ARC)
        ));
    }
    finding
        .remark(if is_early(found) {
            "before half a cycle: the envelope overstates"
        } else {
            "envelope of the flux, valid from half a cycle on"
        })
        .held(against, verdict)
}

fn is_early(found: &Dimensioning) -> bool {
    let early = |factor: &Factor| factor.branch == Branch::UnderHalfCycle;
    found.at_limit.as_ref().is_some_and(early)
}

/// Whether the rated factor is enough for the duty.
fn enough(
    j: &Judging<'_>,
    found: &Dimensioning,
    value: Option<&Outcome>,
    against: &Against,
) -> Verdict {
    let over = value.and_then(|value| value.value()).map(|value| {
        let held = j.hold(value, against);
        matches!(held, Verdict::Word(Word::Fail | Word::ConditionalFail))
    });
    let lacks_times = found.double && found.of_cycle.is_none();
    let lacks_limit = !found.double && found.at_limit.is_none();
    match over {
        Some(false) if !lacks_times => Verdict::Observed(Grade::Pass),
        Some(true) if !lacks_limit && !is_early(found) => Verdict::Observed(Grade::Review),
        _ if lacks_times => Verdict::NotShown(
            "needs first duration, dead time and second accuracy time of the C-O-C-O duty on the rating plate".into(),
        ),
        Some(true) if lacks_limit => {
            Verdict::NotShown("needs the accuracy time on the rating plate".into())
        }
        Some(true) => Verdict::NotShown("before half a cycle the envelope overstates".into()),
        Some(false) | None => Verdict::NoLimit,
    }
}
