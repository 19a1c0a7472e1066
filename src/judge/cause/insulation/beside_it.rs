//! A leak beside the insulation that takes no time to settle: over the surface of the primary, or in the test leads,
//! which pulls all groups to about one value.

use super::moisture::by_the_air;
use super::{LEAST, Wall};
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Of, cost};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::finding::unit;
use crate::judge::rules::insulation as rules;
use crate::judge::words::quantity;
use crate::record::kinds::Test;

/// What two readings of one leak differ by, in natural logarithms: testers are off by a tenth or two there. Common
/// practice, no source.
const READ: f64 = 0.2;
/// A guard that is said to have been on takes the surface out of the reading.
const AGAINST_BY_A_GUARD: f64 = -3.0;

pub(super) fn surface(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    walls: &[Wall<'_>],
) -> Option<Hypothesis> {
    let wall = walls.iter().find(|wall| wall.is_of_primary())?;
    if wall.away > -LEAST {
        return None;
    }
    let share = libm::exp(-wall.away) - 1.0;
    let observed = say!(
        "the primary reads as if {} lay across its surface",
        ohms(wall.expected() / share)
    );
    let body = j.case.visit.tests.get(wall.group.test);
    let body = body.and_then(Test::insulation);
    let guard = body.and_then(|body| body.guard.value());
    let guard = guard.is_some_and(|guard| !guard.eq_ignore_ascii_case("none"));
    let by_guard = if guard { AGAINST_BY_A_GUARD } else { 0.0 };
    let made = Hypothesis::new(&rules::INSULATION_SURFACE, wall.seat(), observed)
        .price(price::OF_A_FREE_SIZE)
        .besides(by_guard + by_the_air(j, wall))
        .moves(evidence, Of::Insulation, |item| {
            if wall.holds(item) { wall.away } else { 0.0 }
        })
        .moves(evidence, Of::Absorption, |item| {
            if wall.holds(item) {
                wall.flattened(item, share)
            } else {
                0.0
            }
        })
        .decide("the primary again, the bushing cleaned and dried, with the guard round it");
    Some(match guard {
        true => made.remark("a guard is on record: see that it went round the bushing"),
        false => made,
    })
}

pub(super) fn test_lead(evidence: &Evidence<'_>, walls: &[Wall<'_>]) -> Option<Hypothesis> {
    // Of one group nobody can say that all read alike.
    if walls.len() < 2 {
        return None;
    }
    // Each group that is low could tell how much the leads conduct.
    let low = walls.iter().filter(|wall| wall.away < -LEAST);
    let leaks = low.map(|wall| 1.0 / wall.read - 1.0 / wall.expected());
    let fallen = |leak: f64, wall: &Wall<'_>| -libm::log1p(leak * wall.expected());
    let made = |leak: f64| {
        let here = |item: &_| walls.iter().find(|wall| wall.holds(item));
        let seat = Seat {
            section: walls.first().map(|wall| wall.group.test),
            at: walls.iter().map(|wall| wall.group.minute.span).collect(),
            ..Seat::default()
        };
        let observed = say!(
            "all groups read as if {} lay across the test leads",
            ohms(1.0 / leak)
        );
        let pulled = walls.iter().filter(|wall| fallen(leak, wall) < -LEAST);
        let alone = if pulled.count() < 2 { 1.5 } else { 0.0 };
        Hypothesis::new(&rules::INSULATION_TEST_LEAD, seat, observed)
            .price(price::OF_A_FREE_SIZE + 0.5 + alone)
            .besides(to_one_value(walls, leak))
            .moves(evidence, Of::Insulation, |item| {
                here(item).map_or(0.0, |wall| fallen(leak, wall))
            })
            .moves(evidence, Of::Absorption, |item| {
                here(item).map_or(0.0, |wall| wall.flattened(item, leak * wall.expected()))
            })
            .decide("the test leads alone, open and apart from each other, at the same voltage: they should read beyond the range")
    };
    let all = leaks.map(made);
    let all = all.map(|one| (one.left(evidence) - one.besides, one));
    all.min_by(|(one, _), (other, _)| one.total_cmp(other))
        .map(|(_, one)| one)
}

/// What speaks against a leak that groups do not read alike: where it makes nearly all of a reading, what insulation
/// scatters by no longer counts. The first of them tells how large it is; that they are alike by chance is not so rare
/// that it would speak for one.
fn to_one_value(walls: &[Wall<'_>], leak: f64) -> f64 {
    let each = walls.iter().filter_map(|wall| {
        let share = 1.0 / (1.0 + leak * wall.expected());
        let u = libm::hypot(share * wall.scatter(), READ);
        let off = wall.away - libm::log(share);
        let pulled = share < 0.5;
        let sharper = libm::log(wall.scatter() / u);
        pulled.then(|| (sharper, cost(off, u) - cost(off, wall.scatter())))
    });
    let each: Vec<(f64, f64)> = each.collect();
    let first = each.iter().map(|(sharper, _)| *sharper).fold(0.0, f64::max);
    let all = each.iter().map(|(sharper, more)| sharper - more);
    (all.sum::<f64>() - first).min(0.0)
}

/// In the unit that reads best.
pub(super) fn ohms(si: f64) -> Phrase {
    let unit = match si {
        si if si < 1e9 => unit::MEGOHM,
        _ => unit::GIGAOHM,
    };
    quantity(si, 2, unit).into()
}
