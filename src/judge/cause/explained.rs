//! What a cause explains: the readings that it accounts for, and the findings that rest on them.

use super::evidence::{Evidence, Item, Of};
use super::hypothesis::Hypothesis;
use crate::document::Grade;
use crate::judge::finding::{Behind, Finding};
use crate::judge::rules::{
    Rule, burden, excitation, insulation, polarity, ratio, resistance, restored,
};

/// A reading is explained where a cause takes off so much of what it is away by.
const MOST_OF_IT: f64 = 0.5;
/// Or leaves no more than this, in natural logarithms: two standard deviations.
const NOTHING_LEFT: f64 = 2.0;

/// Items that a cause explains, with what it adds to ln of each.
fn items<'a>(
    evidence: &'a Evidence<'_>,
    named: &'a Hypothesis,
) -> impl Iterator<Item = (Of, &'a Item, f64)> {
    named.shifts.iter().flat_map(|(at, shift)| {
        let family = evidence.families.get(*at);
        let all = family.into_iter().flat_map(move |family| {
            let items = family.items.iter().zip(shift);
            items.map(|(item, shift)| (family.of, item, *shift))
        });
        all.filter(|(_, item, shift)| {
            let left = (item.away - shift).abs();
            let most = left < (1.0 - MOST_OF_IT) * item.away.abs();
            let helps = item.cost(*shift) < item.cost(0.0);
            most || helps && item.cost(*shift) <= NOTHING_LEFT
        })
    })
}

/// Sections and pairs whose readings a cause explains.
fn places(evidence: &Evidence<'_>, named: &Hypothesis) -> Vec<(usize, Behind)> {
    let items = items(evidence, named).filter(|(of, ..)| !is_by_row(named, *of));
    let items = items.map(|(of, item, shift)| {
        let resistance = if of == Of::Resistance { shift } else { 0.0 };
        let pair = item.pair;
        (item.section, Behind { pair, resistance })
    });
    let curves = named.curves.iter();
    let curves = curves.filter_map(|(at, left)| Some((evidence.curves.get(*at)?, left)));
    let curves = curves.filter(|(held, left)| **left < (1.0 - MOST_OF_IT) * held.same());
    // What is scaled from a curve is as it is.
    let curves = curves.flat_map(|(held, _)| {
        let scaled = held.now.scaled.iter().map(|one| one.pair);
        let all = std::iter::once(held.now.pair).chain(scaled);
        all.map(|pair| {
            let (pair, resistance) = (pair.ascending(), 0.0);
            (held.now.test, Behind { pair, resistance })
        })
    });
    items.chain(curves).collect()
}

/// The pairs whose readings a cause explains, each once, with the most that it adds to them.
pub(super) fn pairs(evidence: &Evidence<'_>, named: &Hypothesis) -> Vec<Behind> {
    let mut pairs: Vec<Behind> = Vec::new();
    for (_, one) in places(evidence, named) {
        match pairs.iter_mut().find(|known| known.pair == one.pair) {
            Some(known) if known.resistance.abs() < one.resistance.abs() => *known = one,
            Some(_) => {}
            None => pairs.push(one),
        }
    }
    pairs
}

/// Marks the findings that rest on readings that a cause explains, where they are not good.
pub(super) fn mark(
    evidence: &Evidence<'_>,
    named: &Hypothesis,
    findings: &mut [Finding],
    number: usize,
) {
    let places = places(evidence, named);
    let groups: Vec<(Of, &Item)> = items(evidence, named)
        .filter(|(of, ..)| is_by_row(named, *of))
        .filter(|(of, item, _)| named.tells_of(*of, item))
        .map(|(of, item, _)| (of, item))
        .collect();
    let reads = |one: &Finding, (of, item): (Of, &Item)| {
        let here = one.section == Some(item.section);
        here && one.points_at.first() == item.at.first() && is_of(of, one.rule)
    };
    let rests = |one: &Finding| {
        let at = one.section.zip(one.pair);
        let of_pair = at.is_some_and(|(section, pair)| {
            let mut all = places.iter();
            all.any(|(test, one)| (*test, one.pair) == (section, pair.ascending()))
        });
        let counted = named.rule == &burden::SECOND_EARTH && one.rule == &restored::CIRCUIT_EARTHS;
        let of_core = one.core == named.seat.core;
        of_pair || counted && of_core || groups.iter().any(|item| reads(one, *item))
    };
    // Of a batch of wire the sisters tell, and nothing else; one of iron is no trouble that others stand under.
    let may = |one: &Finding| {
        let by_sisters = one.rule == &resistance::WINDING_RESISTANCE_PHASES;
        let of_wire = named.rule == &resistance::ANOTHER_BATCH;
        named.rule != &excitation::ANOTHER_IRON && (!of_wire || by_sisters)
    };
    for one in findings {
        let free = one.because.is_none() && one.explained.is_none() && may(one);
        if free && one.grade() >= Grade::Review && rests(one) {
            one.explained = Some(number);
        }
    }
}

/// Whether a cause explains readings of a quantity one by one, and not all of their pair.
fn is_by_row(named: &Hypothesis, of: Of) -> bool {
    of.is_of_groups() || of == Of::Error && NO_ERROR.contains(&named.rule)
}

/// Whether a rule speaks of a quantity, where one row holds more of them.
fn is_of(of: Of, rule: &Rule) -> bool {
    let both = rule == &ratio::TRANSFORMER_CORRECTION_FACTOR;
    let by_error = both || rule == &ratio::RATIO_ERROR || rule == &ratio::RATIO_CORRECTION_FACTOR;
    let by_phase = both || rule == &ratio::PHASE_DISPLACEMENT;
    match of {
        Of::ErrorRow | Of::Error => by_error,
        Of::PhaseRow => by_phase,
        _ => true,
    }
}

/// What draws current from a driven winding: with it, the voltages of a ratio test say nothing either.
static CLOSED_PATHS: &[&Rule] = &[
    &excitation::PRIMARY_LOOP_SUSPECTED,
    &excitation::BURDEN_LEFT_ON,
    &excitation::SHORT_LEFT_ON,
];

/// Takes out what the voltages of a ratio test are off by while the primary is closed.
pub(super) fn silence(evidence: &mut Evidence<'_>, named: &Hypothesis) {
    if named.rule != &excitation::PRIMARY_LOOP_SUSPECTED {
        return;
    }
    let families = evidence.families.iter_mut();
    let turns = families.filter(|family| family.of == Of::Turns);
    for item in turns.flat_map(|family| &mut family.items) {
        item.away = 0.0;
    }
}

/// With these an insulation reading is not one of the insulation.
static NO_INSULATION: &[&Rule] = &[
    &burden::SECOND_EARTH,
    &insulation::INSULATION_EARTH_ON,
    &insulation::INSULATION_TEST_LEAD,
    &insulation::INSULATION_SURFACE,
    &insulation::INSULATION_SLIP,
];

/// With these a turns ratio is not that of its pair.
static NO_TURNS: &[&Rule] = &[
    &ratio::WRONG_TAP,
    &ratio::RATIO_SLIP,
    &ratio::RATIO_ROWS_EXCHANGED,
];

/// With these a polarity is not that of the terminals.
static NO_POLARITY: &[&Rule] = &[
    &polarity::POLARITY_CONTRADICTION,
    &polarity::LEADS_FROM_THE_OTHER_END,
];

/// With these an error by current is not that of its row.
static NO_ERROR: &[&Rule] = &[
    &ratio::ERROR_SLIP,
    &ratio::PHASE_SLIP,
    &ratio::ERRORS_EXCHANGED,
];

/// With these a reading is not one of the circuit of one phase.
static NO_CIRCUIT: &[&Rule] = &[&burden::CIRCUIT_TWO_PHASES, &burden::CIRCUIT_SLIP];

/// Whether a finding rests on a reading of something else than it says, by a cause.
pub(super) fn reads_something_else(cause: &Finding, one: &Finding) -> bool {
    let is = |all: &[&Rule], rule: &Rule| all.contains(&rule);
    let of_it = cause.core.is_none() || one.core == cause.core;
    let by_turns = is(&[&ratio::TURNS_RATIO, &ratio::WRONG_TAP], one.rule);
    let of_insulation = one.rule == &insulation::INSULATION_RESISTANCE;
    let of_circuit = one.rule == &burden::CIRCUIT_BURDEN;
    let by_polarity = is(NO_POLARITY, cause.rule);
    let explained = cause.explains(one);
    let of_turns = is(&[&ratio::TURNS_RATIO, &ratio::TAP_SUM], one.rule);
    // A closed primary leaves no voltage to read; what is closed over a winding moves the ratios that it explains.
    let by_path = cause.rule == &excitation::PRIMARY_LOOP_SUSPECTED || explained;
    is(CLOSED_PATHS, cause.rule) && of_it && by_turns && by_path
        || is(NO_INSULATION, cause.rule) && of_insulation && explained
        || is(NO_TURNS, cause.rule) && of_turns && explained
        || by_polarity && one.rule == &polarity::POLARITY && explained
        || is(NO_ERROR, cause.rule) && explained
        || is(NO_CIRCUIT, cause.rule) && of_circuit && explained
}
