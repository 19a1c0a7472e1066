//! All groups low together, and flatter in time: moisture in the unit. One winding alone: dirt or damp there.

use super::Wall;
use crate::document::{Quantity, say};
use crate::ground::median::median;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::told::about;
use crate::judge::rules::insulation as rules;
use crate::record::kinds::Test;
use crate::standards::threshold;

/// It has to be lower by this factor, in natural logarithms: 2.5.
const FALLEN: f64 = -0.92;
/// Damp air speaks for moisture, dry air against dew.
const BY_THE_AIR: f64 = 1.0;

pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>, walls: &[Wall<'_>]) -> Vec<Hypothesis> {
    let mut away: Vec<f64> = walls.iter().map(|wall| wall.away).collect();
    let fallen = median(&mut away).filter(|fallen| *fallen < FALLEN);
    let whole = fallen.zip(walls.first()).map(|(fallen, first)| {
        let seat = Seat {
            section: Some(first.group.test),
            at: walls.iter().map(|wall| wall.group.minute.span).collect(),
            ..Seat::default()
        };
        let observed = say!(
            "all insulation resistances are {} times lower than expected",
            Quantity::new(about(libm::exp(-fallen)), "")
        );
        // Of one group alone nobody can say that all are low.
        let alone = if walls.len() < 2 { 1.0 } else { 0.0 };
        Hypothesis::new(&rules::INSULATION_MOISTURE, seat, observed)
            .price(price::OF_A_FREE_SIZE + 1.0 + alone)
            .besides(by_the_air(j, first))
            .moves(evidence, Of::Insulation, |_| fallen)
            .moves(evidence, Of::Absorption, |item| {
                let to_nothing = -libm::log((item.observed * libm::exp(-item.away)).max(1.0));
                item.away.clamp(to_nothing, 0.0)
            })
            .decide("the same groups again after drying, or on a dry day with the guard round the bushing; an oil sample where there is oil")
    });
    let one = walls.iter().filter(|_| walls.len() > 1);
    let one = one.filter(|wall| wall.core().is_some() && wall.away < FALLEN);
    let one = one.map(|wall| {
        let observed = say!(
            "this winding alone is {} times lower than expected",
            Quantity::new(about(libm::exp(-wall.away)), "")
        );
        Hypothesis::new(&rules::INSULATION_ONE_WINDING, wall.seat(), observed)
            .price(price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER)
            .moves(evidence, Of::Insulation, |item| {
                if wall.holds(item) { wall.away } else { 0.0 }
            })
            .decide("the winding again with its terminals cleaned and dried and all wires off")
    });
    whole.into_iter().chain(one).collect()
}

/// What the humidity on record speaks for what damp air does.
pub(super) fn by_the_air(j: &Judging<'_>, wall: &Wall<'_>) -> f64 {
    let visit = j.case.visit;
    let body = visit.tests.get(wall.group.test).and_then(Test::insulation);
    let own = body.and_then(|body| body.humidity.value());
    let damp = threshold("insulation-damp").map_or(f64::INFINITY, |row| row.limit);
    match own.or(visit.humidity.value()) {
        Some(humidity) if humidity.si >= damp => BY_THE_AIR,
        Some(_) => -0.5 * BY_THE_AIR,
        None => 0.0,
    }
}
