//! Why readings are as they are. Each cause that is known says what it would make of the evidence of a visit; one
//! scorer holds all of them against each other, and names the likeliest where it is far likelier than that nothing
//! is wrong. What is named is taken out of the evidence, and the rest looked at again.

mod curve;
mod evidence;
mod held;
mod hypothesis;
mod resistance;
mod told;
mod turns;

use self::evidence::Evidence;
use self::hypothesis::{Best, Hypothesis, TIE, best};
use super::assess::Judging;
use super::finding::{Because, Finding};
use crate::document::Grade;

/// Everything that is known to go wrong, by the evidence that tells of it.
static CAUSES: &[fn(&Judging<'_>, &Evidence<'_>) -> Vec<Hypothesis>] =
    &[curve::all, resistance::all, turns::all];

/// So many things may be wrong at once.
const AT_ONCE: usize = 6;

/// Names what is behind the readings of a visit.
pub(super) fn name(j: &Judging<'_>, findings: &mut Vec<Finding>) {
    let mut evidence = Evidence::of(j, findings);
    for _ in 0..AT_ONCE {
        if !evidence.is_off() {
            return;
        }
        let all = CAUSES.iter().flat_map(|of| of(j, &evidence)).collect();
        let Some(best) = best(all, &evidence) else {
            return;
        };
        // Where both ends of the primary are said to be earthed, that was told of the unit as a whole.
        let told = |one: &Finding| one.rule == best.named.rule && one.core == best.named.seat.core;
        let named = best.named.clone();
        if !findings.iter().any(told) {
            findings.push(finding(j, &evidence, best));
        }
        evidence.explain(&named);
    }
}

/// The finding of a cause. It is a defect only where nothing else explains nearly as much.
fn finding(j: &Judging<'_>, evidence: &Evidence<'_>, best: Best) -> Finding {
    let Best { named, gain, next } = best;
    let tied = next.is_some_and(|(_, lead)| lead < 2.0 * TIE);
    let grade = if tied { Grade::Review } else { named.grade };
    let (speaks_for, speaks_against) = told::both(j, evidence, &named);
    let mut made = Finding::observation(named.rule, named.observed, grade);
    made.section = named.seat.section;
    made.core = named.seat.core;
    made.pair = named.seat.pair;
    made.points_at = named.seat.at;
    made.remarks = named.remarks;
    made.because = Some(Box::new(Because {
        gain,
        next,
        speaks_for,
        speaks_against,
        decide: named.decide,
    }));
    made
}

/// Middle of some values; of an even number the mean of the two in the middle.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = *values.get(values.len() / 2)?;
    let lower = *values.get(values.len().checked_sub(1)? / 2)?;
    let median = 0.5 * lower + 0.5 * upper;
    median.is_finite().then_some(median)
}
