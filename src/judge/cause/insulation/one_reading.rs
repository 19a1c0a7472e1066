//! One reading ten or a thousand times off beside all that it is held against: its point, or its unit.

use super::beside_it::ohms;
use super::{NEAR_THE_MINUTE, Wall};
use crate::derive::outcome::Outcome;
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

/// Insulation takes ever less current: its resistance does not fall with time, least of all to rise again. A fall to
/// less than this from the step before, and a rise above this to the step behind, are of the reading between them;
/// with its point in place both are in the range. Common practice, no source.
const FALLS: f64 = 0.3;
const RISES: f64 = 3.0;
const SOUND: (f64, f64) = (0.8, 5.0);
/// What that speaks for, where no family holds it: a convention of this project.
const BY_THE_STEPS: f64 = 5.0;
const TEN_TIMES: f64 = 10.0;

/// The reading of the minute ten times lower than those of its group before and behind it.
pub(super) fn steps(evidence: &Evidence<'_>, walls: &[Wall<'_>]) -> Vec<Hypothesis> {
    let odd = walls.iter().filter(|wall| is_between_higher_ones(wall));
    let made = odd.map(|wall| {
        let size = -libm::log(TEN_TIMES);
        let own = |item: &Item, by: f64| if wall.holds(item) { by } else { 0.0 };
        let observed = say!(
            "{} fits between the readings before and behind it with its decimal point in place: {}",
            ohms(wall.read),
            ohms(wall.read * TEN_TIMES)
        );
        Hypothesis::new(&rules::INSULATION_SLIP, wall.seat(), observed)
            .price(price::OF_A_LIST)
            .besides(BY_THE_STEPS)
            .moves(evidence, Of::Insulation, |item| own(item, size))
            .moves(evidence, Of::Absorption, |item| {
                own(item, wall.moved(item, size))
            })
            .decide("the reading again; else what the tester keeps in its memory")
    });
    made.collect()
}

fn is_between_higher_ones(wall: &Wall<'_>) -> bool {
    if wall.group.minute.r.known().is_none() {
        return false;
    }
    let (mut falls, mut rises) = (false, false);
    for rise in &wall.group.rises {
        let from_the_minute = rise.earlier >= NEAR_THE_MINUTE;
        match (&rise.ratio, from_the_minute) {
            (Outcome::Known(ratio), false) if rise.later <= LATEST_MINUTE => {
                let put = ratio.si * TEN_TIMES;
                falls = ratio.si < FALLS && put > SOUND.0 && put < SOUND.1;
            }
            (Outcome::Known(ratio), true) => {
                let put = ratio.si / TEN_TIMES;
                rises = ratio.si > RISES && put > SOUND.0 && put < SOUND.1;
            }
            (Outcome::AtLeast(ratio), true) => {
                rises = ratio.si > RISES && ratio.si / TEN_TIMES < SOUND.1;
            }
            _ => {}
        }
    }
    falls && rises
}

/// A rise that ends by here, in seconds, ends at the minute.
const LATEST_MINUTE: f64 = 90.0;
