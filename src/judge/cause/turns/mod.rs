//! Why turns ratios and polarities are as they are.

mod by_current;
mod closed_path;
mod contradicted;
mod errors;
mod families;
mod lead;
mod marks;
mod primary;
mod read;
mod slip;
#[cfg(test)]
mod tests;

pub(super) use by_current::mark_class;
pub(super) use families::families;
pub(super) use marks::mostly;

use super::evidence::{By, Evidence, Family, Of};
use super::hypothesis::Hypothesis;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::{polarity, ratio as rules};
use crate::trade::Pair;

/// All that is known to move turns ratios and to turn polarities.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let mut all = errors::all(j, evidence);
    all.extend(by_current::all(j, evidence));
    let turns = evidence.families_of(Of::Turns);
    let polarity = evidence.families_of(Of::Polarity);
    if !turns.chain(polarity).any(|(_, family)| family.is_off()) {
        return all;
    }
    all.extend(marks::all(j, evidence));
    all.extend(primary::factors(j, evidence));
    all.extend(primary::reversed(evidence));
    all.extend(contradicted::all(j, evidence));
    all.extend(read::saturated(j, evidence));
    all.extend(read::pick_up(j, evidence));
    all.extend(slip::all(j, evidence));
    all.extend(closed_path::all(j, evidence));
    all
}

/// The places of what the ratios of some pairs were said to be, where a cause explains them otherwise.
pub(super) fn settle(
    evidence: &Evidence<'_>,
    named: &Hypothesis,
    findings: &mut [Finding],
) -> Vec<usize> {
    if named.rule == &rules::WRONG_TAP {
        return Vec::new();
    }
    // What is one cause of all pairs is not told of each of them as well.
    if named.rule == &polarity::POLARITY_CONTRADICTION && named.seat.pair.is_none() {
        let all = findings.iter().enumerate();
        let each = all.filter(|(_, one)| one.rule == named.rule && one.because.is_none());
        return each.map(|(at, _)| at).collect();
    }
    let moved = |pair: Pair| {
        let of = named.shifts.iter().filter_map(|(at, shift)| {
            let family = evidence.families.get(*at)?;
            (family.of == Of::Turns).then_some((family, shift))
        });
        let mut all = of.flat_map(|(family, shift)| family.items.iter().zip(shift));
        all.any(|(item, shift)| item.pair == pair && shift.abs() > MOST_OF * item.away.abs())
    };
    let errors = findings.iter_mut().filter(|one| {
        let of_turns = one.rule == &rules::TURNS_RATIO && one.next.is_some();
        of_turns && one.pair.is_some_and(moved)
    });
    for one in errors {
        one.next = Some(say!("settle this first: {}", named.rule.title));
    }
    let all = findings.iter().enumerate();
    let taken = all.filter(|(_, one)| {
        let is_one = one.rule == &rules::WRONG_TAP && one.because.is_none();
        is_one && one.pair.is_some_and(moved)
    });
    taken.map(|(at, _)| at).collect()
}

/// What moves a ratio by less than this share of what it is off does not say what it is.
const MOST_OF: f64 = 0.5;

/// Turns ratios beside the plate, with their place.
pub(super) fn by_plate<'e>(evidence: &'e Evidence<'_>) -> Option<(usize, &'e Family)> {
    let mut all = evidence.families_of(Of::Turns);
    all.find(|(_, family)| family.items.iter().all(|item| item.by == By::Plate))
}
