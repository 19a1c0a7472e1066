//! Kilohms to earth where the other windings are sound: the earth of a winding, or its circuit, was still on.

use super::Wall;
use super::beside_it::ohms;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Of};
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::insulation as rules;
use crate::record::kinds::Test;
use crate::record::kinds::state::Links;

/// More than contacts and coils to earth conduct, ohm; what is above it is insulation that leaks. Common practice,
/// no source.
const NO_INSULATION: f64 = 1e6;
/// And where nothing else was read to hold it against.
const BY_ITSELF: f64 = 3e5;
/// What is left on reads about this, ohm, and what that scatters by, in natural logarithms.
const AS_A_RULE: f64 = 1e5;
const OF_THE_RULE: f64 = 1.5;
/// And it is so much lower than expected, in natural logarithms: 20 times.
const FALLEN: f64 = -3.0;
/// Links that are said to be open speak against the circuit, not against the earth.
const LINKS_OPEN: f64 = -0.3;

/// Whether a group reads like a way to earth and no insulation.
pub(in crate::judge::cause) fn is_on(wall: &Wall<'_>) -> bool {
    let (from, to) = wall.group.sides();
    let one = from.len() == 1 && !to.is_empty();
    // A tester at its bottom tells what is no insulation by itself.
    let low = match (wall.is_at_most(), wall.by_usual) {
        (true, _) => wall.read <= NO_INSULATION,
        (false, true) => wall.read < BY_ITSELF,
        (false, false) => wall.read < NO_INSULATION,
    };
    one && wall.group.is_to_earth() && low && wall.away < FALLEN
}

pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>, walls: &[Wall<'_>]) -> Vec<Hypothesis> {
    let on = walls.iter().filter(|wall| is_on(wall));
    let made = on.map(|wall| {
        let observed = say!(
            "{} to earth: a way to earth, and no insulation",
            ohms(wall.read)
        );
        let open = links_open(j, wall.core());
        let off = libm::log(wall.read / AS_A_RULE) / OF_THE_RULE;
        let off = if wall.is_at_most() { off.min(0.0) } else { off };
        let made = Hypothesis::new(&rules::INSULATION_EARTH_ON, wall.seat(), observed)
            .price(price::OF_A_FREE_SIZE + 0.5 * off * off)
            .besides(if open { LINKS_OPEN } else { 0.0 })
            .moves(evidence, Of::Insulation, |item| {
                if wall.holds(item) { wall.away } else { 0.0 }
            })
            .decide(
                "the same winding again with its earth lifted and every wire of its circuit off",
            );
        match open {
            true => made.remark(
                "the links are said to be open: then it is the earth, or a link that is not",
            ),
            false => made,
        }
    });
    made.collect()
}

/// Whether the links of a core are said to be open, as found.
pub(in crate::judge::cause) fn links_open(j: &Judging<'_>, core: Option<usize>) -> bool {
    let states = j.case.visit.of(Test::state);
    let mut rows = states.flat_map(|(_, _, state)| &state.cores);
    rows.any(|row| {
        row.core.is_some() && row.core == core && row.links.value() == Some(&Links::Open)
    })
}
