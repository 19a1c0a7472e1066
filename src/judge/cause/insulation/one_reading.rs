//! One reading ten or a thousand times off beside all that it is held against: its point, or its unit.

use super::Wall;
use super::beside_it::ohms;
use crate::document::{Quantity, say};
use crate::judge::cause::evidence::{Evidence, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::insulation as rules;
use crate::judge::words::short;

/// Times, and whether all readings of the group went with it: a unit does. Ten times less is left out: insulation
/// itself comes to that far more often than a pen.
const SLIPS: [(f64, bool); 3] = [(10.0, false), (0.001, true), (1000.0, true)];

pub(super) fn all(evidence: &Evidence<'_>, walls: &[Wall<'_>]) -> Vec<Hypothesis> {
    // A bound is no number that was read.
    let read = walls
        .iter()
        .filter(|wall| wall.group.minute.r.known().is_some());
    let each = read.flat_map(|wall| {
        SLIPS.iter().map(move |(times, all)| {
            let size = libm::log(*times);
            let word = if *all {
                "its unit"
            } else {
                "its decimal point"
            };
            let observed = say!(
                "{} fits with {} in place: {}, {} times {}",
                ohms(wall.read),
                word,
                ohms(wall.read / times),
                Quantity::new(short(times.max(1.0 / times)), ""),
                if *times > 1.0 { "less" } else { "more" }
            );
            let rise = |item: &Item| if *all { 0.0 } else { wall.moved(item, size) };
            Hypothesis::new(&rules::INSULATION_SLIP, wall.seat(), observed)
                .price(price::OF_A_LIST + 1.0)
                .moves(evidence, Of::Insulation, |item| {
                    if wall.holds(item) { size } else { 0.0 }
                })
                .moves(evidence, Of::Absorption, |item| {
                    if wall.holds(item) { rise(item) } else { 0.0 }
                })
                .decide("the reading again; else what the tester keeps in its memory")
        })
    });
    each.collect()
}
