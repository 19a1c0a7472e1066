//! A second earth on a circuit: the ground lies beside its neutral lead, and a core that is still on its circuit
//! reads to earth.

use super::Circuit;
use crate::document::{Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::insulation::{Wall, is_on, walls};
use crate::judge::rules::burden as rules;
use crate::judge::words::rounded;
use crate::record::kinds::Test;

/// The neutral lead has no more than this of the resistance, in natural logarithms: half of it.
const NEUTRAL: f64 = -0.69;
/// A reactance within this, in natural logarithms, is as it was.
const ALIKE: f64 = 0.1;
/// Less is that of another day, or of leads of another length. Common practice, no source.
const LESS: f64 = -0.08;
/// Two earths that were counted, or one: it may be the one that is meant to be there.
const COUNTED_TWO: f64 = 4.0;
const COUNTED_ONE: f64 = -0.3;
/// That a core reads to earth is more often its own earth, which is always there.
const BY_ITS_OWN_EARTH: f64 = 0.7;

/// By a loop whose resistance is lower and whose reactance is as it was.
pub(super) fn on_the_circuit(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    circuit: &Circuit<'_>,
) -> Option<Hypothesis> {
    let r = circuit.r.filter(|r| *r < LESS)?;
    if circuit
        .x
        .is_some_and(|x| x.abs() > (0.5 * r.abs()).max(ALIKE))
    {
        return None;
    }
    let r = r.max(NEUTRAL);
    let core = circuit.one.pair.core;
    let observed = say!(
        "{} less resistance than it should have, and the same reactance: the ground lies beside the neutral lead",
        Quantity::new(rounded(100.0 * (1.0 - libm::exp(r)), 2), "%")
    );
    let made = Hypothesis::new(&rules::SECOND_EARTH, circuit.seat(), observed)
        .price(price::OF_A_FREE_SIZE)
        .besides(counted(j, core))
        .decide(DECIDE);
    let made = circuit.moved(made, evidence, (r, 0.0), false);
    let walls = walls(j, evidence);
    Some(match on(&walls, core) {
        Some(wall) => to_earth(made.besides(-BY_ITS_OWN_EARTH), evidence, wall),
        None => made,
    })
}

/// By the insulation alone, where the circuit was not read or shows nothing.
pub(super) fn by_insulation(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let walls = walls(j, evidence);
    let on = walls.iter().filter(|wall| is_on(wall));
    let made = on.filter_map(|wall| {
        let core = wall.core()?;
        let seat = Seat {
            core: Some(core),
            ..wall.seat()
        };
        let observed = "reads to earth, as if its circuit had a second earth and was still on";
        let made = Hypothesis::new(&rules::SECOND_EARTH, seat, observed)
            .price(price::OF_A_FREE_SIZE)
            .besides(counted(j, core) - BY_ITS_OWN_EARTH)
            .decide(DECIDE);
        Some(to_earth(made, evidence, wall))
    });
    made.collect()
}

const DECIDE: &str =
    "the circuit to earth with its one earth lifted, the primary dead: it should read megohms";

fn on<'a, 'w>(walls: &'a [Wall<'w>], core: usize) -> Option<&'a Wall<'w>> {
    walls
        .iter()
        .find(|wall| wall.core() == Some(core) && is_on(wall))
}

fn to_earth(made: Hypothesis, evidence: &Evidence<'_>, wall: &Wall<'_>) -> Hypothesis {
    made.moves(evidence, Of::Insulation, |item| {
        if wall.holds(item) { wall.away } else { 0.0 }
    })
}

/// What the count of the earths speaks for.
fn counted(j: &Judging<'_>, core: usize) -> f64 {
    let left = j.case.visit.of(Test::restored);
    let rows = left.flat_map(|(_, _, left)| &left.cores);
    let counts = rows.filter(|row| row.core == Some(core));
    match counts.filter_map(|row| row.earths.value().copied()).last() {
        Some(counted) if counted > 1.5 => COUNTED_TWO,
        Some(_) => COUNTED_ONE,
        None => 0.0,
    }
}
