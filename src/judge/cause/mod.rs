//! Why readings are as they are. Each cause that is known says what it would make of the evidence of a visit; one
//! scorer holds all of them against each other, and names the likeliest where it is far likelier than that nothing
//! is wrong. What is named is taken out of the evidence, and the rest looked at again.

mod beside;
mod circuit;
mod curve;
mod digits;
mod evidence;
mod held;
mod hypothesis;
mod identity;
mod insulation;
mod resistance;
mod told;
mod turns;

use self::evidence::{Evidence, Item, Of};
use self::hypothesis::{Best, Hypothesis, TIE, best};
use super::assess::Judging;
use super::finding::{Because, Finding};
use super::rules::{Rule, burden, excitation, insulation as insulation_rules, ratio, restored};
use super::travel;
use crate::document::Grade;
use crate::trade::Pair;
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
    let gone = name_all(j, findings);
    take_out(findings, &gone);
}

/// Takes findings out; what causes explain is counted anew.
fn take_out(findings: &mut Vec<Finding>, gone: &BTreeSet<usize>) {
    if gone.is_empty() {
        return;
    }
    for because in findings.iter_mut().filter_map(|one| one.because.as_mut()) {
        because.explains.retain(|at| !gone.contains(at));
        for at in &mut because.explains {
            *at -= gone.range(..*at).count();
        }
    }
    let mut at = 0..;
    findings.retain(|_| at.next().is_some_and(|at| !gone.contains(&at)));
}

/// Names them one after the other; gives the places of findings that a cause explains otherwise.
fn name_all(j: &Judging<'_>, findings: &mut Vec<Finding>) -> BTreeSet<usize> {
    let mut gone = BTreeSet::new();
    let mut evidence = Evidence::of(j, findings);
    // What paper contradicts is seen although no reading is off.
    let mut papers = identity::on_paper(j, &evidence);
    for _ in 0..AT_ONCE + papers.len() {
        let off = evidence.is_off();
        if !off && papers.is_empty() {
            return gone;
        }
        let of_readings = CAUSES.iter().filter(|_| off);
        let of_readings = of_readings.flat_map(|of| of(j, &evidence));
        let Some(best) = best(
            of_readings.chain(papers.iter().cloned()).collect(),
            &evidence,
        ) else {
            return gone;
        };
        let named = best.named.clone();
        papers.retain(|one| one.rule != named.rule || one.seat != named.seat);
        gone.extend(turns::settle(&evidence, &named, findings));
        let made = finding(j, &evidence, findings, best);
        let explained = made.because.as_ref().map(|because| &because.explains);
        for (at, one) in findings.iter_mut().enumerate() {
            let is_explained = explained.is_some_and(|all| all.contains(&at));
            let withheld =
                explains_ratio(&named, one) || is_explained && reads_something_else(&named, one);
            if one.grade() >= Grade::Review && withheld {
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
            Some(one) => one.because = made.because,
            None => findings.push(made),
        }
        evidence.explain(&named);
    }
    gone
}

/// The finding of a cause. It is a defect only where nothing else explains nearly as much.
fn finding(j: &Judging<'_>, evidence: &Evidence<'_>, findings: &[Finding], best: Best) -> Finding {
    let Best { named, gain, next } = best;
    let tied = next.is_some_and(|(_, lead)| lead < 2.0 * TIE);
    let grade = if tied { Grade::Review } else { named.grade };
    let (speaks_for, speaks_against) = told::both(j, evidence, &named);
    let explains = explained(evidence, &named, findings);
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
        explains,
    }));
    made
}

/// The findings that rest on readings that a cause explains, where they are not good.
fn explained(evidence: &Evidence<'_>, named: &Hypothesis, findings: &[Finding]) -> Vec<usize> {
    let moved = named.shifts.iter().filter_map(|(at, shift)| {
        let family = evidence.families.get(*at)?;
        let items = family.items.iter().zip(shift);
        let items = items.filter(|(_, shift)| **shift != 0.0);
        Some(items.map(move |(item, _)| (family.of, item)))
    });
    let moved: Vec<(Of, &Item)> = moved.flatten().collect();
    let of_pairs = moved.iter().filter(|(of, _)| !of.is_of_groups());
    let items = of_pairs.map(|(_, item)| (item.section, item.pair));
    let curves = named.curves.iter();
    let curves = curves.filter_map(|(at, _)| evidence.curves.get(*at));
    let curves = curves.map(|held| (held.now.test, held.now.pair));
    let places: Vec<(usize, Pair)> = items.chain(curves).collect();
    let all = findings.iter().enumerate();
    let reads = |one: &Finding, (of, item): &(Of, &Item)| {
        let here = of.is_of_groups() && one.section == Some(item.section);
        here && one.points_at.first() == item.at.first()
    };
    let rests = |one: &Finding| {
        let at = one.section.zip(one.pair);
        let of_pair =
            at.is_some_and(|(section, pair)| places.contains(&(section, pair.ascending())));
        let counted = named.rule == &burden::SECOND_EARTH && one.rule == &restored::CIRCUIT_EARTHS;
        let of_core = one.core == named.seat.core;
        of_pair || counted && of_core || moved.iter().any(|item| reads(one, item))
    };
    let bad =
        all.filter(|(_, one)| one.grade() >= Grade::Review && one.because.is_none() && rests(one));
    bad.map(|(at, _)| at).collect()
}

/// What draws current from a driven winding: with it, the voltages of a ratio test say nothing either.
static CLOSED_PATHS: &[&Rule] = &[
    &excitation::PRIMARY_LOOP_SUSPECTED,
    &excitation::BURDEN_LEFT_ON,
    &excitation::SHORT_LEFT_ON,
];

/// Of a closed path, whether it explains what the ratio test of a core shows.
fn explains_ratio(named: &Hypothesis, one: &Finding) -> bool {
    let of_it = named.seat.core.is_none() || one.core == named.seat.core;
    let by_turns = [&ratio::TURNS_RATIO, &ratio::WRONG_TAP].contains(&one.rule);
    CLOSED_PATHS.contains(&named.rule) && of_it && by_turns
}

/// What a finding says that rests on a reading of something else.
fn reads_something_else(named: &Hypothesis, one: &Finding) -> bool {
    let is = |all: &[&Rule], rule: &Rule| all.contains(&rule);
    is(NO_INSULATION, named.rule) && one.rule == &insulation_rules::INSULATION_RESISTANCE
        || is(NO_CIRCUIT, named.rule) && one.rule == &burden::CIRCUIT_BURDEN
}

/// With these an insulation reading is not one of the insulation.
static NO_INSULATION: &[&Rule] = &[
    &burden::SECOND_EARTH,
    &insulation_rules::INSULATION_EARTH_ON,
    &insulation_rules::INSULATION_TEST_LEAD,
    &insulation_rules::INSULATION_SURFACE,
    &insulation_rules::INSULATION_SLIP,
];

/// With these a reading is not one of the circuit of one phase.
static NO_CIRCUIT: &[&Rule] = &[&burden::CIRCUIT_TWO_PHASES, &burden::CIRCUIT_SLIP];
