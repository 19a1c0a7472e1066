//! Why readings are as they are. Each cause that is known says what it would make of the evidence of a visit; one
//! scorer holds all of them against each other, and names the likeliest where it is far likelier than that nothing
//! is wrong. What is named is taken out of the evidence, and the rest looked at again.

mod beside;
mod circuit;
mod curve;
mod digits;
mod evidence;
mod explained;
mod held;
mod hypothesis;
mod identity;
mod insulation;
mod path;
mod resistance;
mod told;
mod turns;
mod unexplained;

use self::evidence::Evidence;
use self::hypothesis::{Best, Hypothesis, TIE, best};
use super::assess::Judging;
use super::finding::{Because, Finding};
use super::travel;
use crate::document::Grade;
use std::collections::BTreeSet;

/// Everything that is known to go wrong, by the evidence that tells of it.
static CAUSES: &[fn(&Judging<'_>, &Evidence<'_>) -> Vec<Hypothesis>] = &[
    curve::all,
    resistance::all,
    turns::all,
    insulation::all,
    circuit::all,
    identity::all,
];

/// So many things may be wrong at once.
const AT_ONCE: usize = 6;

/// Names what is behind the readings of a visit.
pub(super) fn name(j: &Judging<'_>, findings: &mut Vec<Finding>) {
    let mut evidence = Evidence::of(j, findings);
    let gone = name_all(j, &mut evidence, findings);
    findings.extend(unexplained::curves(j, &evidence, findings));
    let mut at = 0..;
    findings.retain(|_| at.next().is_some_and(|at| !gone.contains(&at)));
}

/// Names them one after the other; gives the places of findings that a cause explains otherwise.
fn name_all(
    j: &Judging<'_>,
    evidence: &mut Evidence<'_>,
    findings: &mut Vec<Finding>,
) -> BTreeSet<usize> {
    let mut gone = BTreeSet::new();
    // What paper contradicts is seen although no reading is off.
    let mut papers = identity::on_paper(j, evidence, findings);
    let before = j.earlier.iter().flat_map(|visit| &visit.findings);
    let first = before.filter(|one| one.because.is_some()).count();
    for number in first..first + AT_ONCE + papers.len() {
        let off = evidence.is_off();
        if !off && papers.is_empty() {
            return gone;
        }
        let of_readings = CAUSES.iter().filter(|_| off);
        let of_readings = of_readings.flat_map(|of| of(j, evidence));
        // What is left where a cause sits is no second one.
        let of_readings = of_readings.filter(|one| !is_named(one, findings));
        let Some(best) = best(
            of_readings.chain(papers.iter().cloned()).collect(),
            evidence,
        ) else {
            return gone;
        };
        let named = best.named.clone();
        papers.retain(|one| one.rule != named.rule || one.seat != named.seat);
        gone.extend(turns::settle(evidence, &named, findings));
        let mut made = finding(j, evidence, best, number);
        explained::mark(evidence, &named, findings, number);
        turns::mark_class(j, &named, findings, number);
        resistance::settle(evidence, &named, &mut made, findings);
        curve::settle(evidence, &named, &mut made, findings);
        for one in findings.iter_mut() {
            let not_its_own = explained::reads_something_else(&made, one);
            if one.grade() >= Grade::Review && not_its_own {
                travel::withhold_by(one, &made);
            }
        }
        // Both ends of the primary said to be earthed were told of the unit as a whole; a pair that reads as another
        // one, where it was judged.
        let same = |one: &&mut Finding| {
            let judged = one.rule == named.rule && one.grade() >= Grade::Review;
            judged && one.because.is_none() && (one.core, one.pair) == (made.core, made.pair)
        };
        match findings.iter_mut().find(same) {
            Some(one) => {
                one.because = made.because;
                one.explained = None;
            }
            None => findings.push(made),
        }
        evidence.explain(&named);
        explained::silence(evidence, &named);
    }
    gone
}

/// Whether a cause was named where it sits.
fn is_named(one: &Hypothesis, findings: &[Finding]) -> bool {
    let seat = &one.seat;
    let mut named = findings.iter().filter(|named| named.because.is_some());
    named.any(|named| {
        let here = (named.section, named.core, named.pair) == (seat.section, seat.core, seat.pair);
        named.rule == one.rule && here && named.points_at.first() == seat.at.first()
    })
}

/// The finding of a cause. It is a defect only where nothing else explains nearly as much.
fn finding(j: &Judging<'_>, evidence: &Evidence<'_>, best: Best, number: usize) -> Finding {
    let Best { named, gain, next } = best;
    let tied = next.is_some_and(|(_, lead)| lead < 2.0 * TIE);
    let grade = match tied {
        true => named.grade.min(Grade::Review),
        false => named.grade,
    };
    let (speaks_for, speaks_against) = told::both(j, evidence, &named);
    let behind = explained::pairs(evidence, &named);
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
        number,
        behind,
        of: named.of,
    }));
    made
}
