//! All groups low together, and flatter in time: moisture in the unit. One winding alone: dirt or damp there.

use super::{Wall, is_on};
use crate::document::{Phrase, Quantity, say};
use crate::ground::median::median;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Item, Of};
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
    // A way to earth is no insulation, dry or damp.
    let damp: Vec<&Wall<'_>> = walls.iter().filter(|wall| !is_on(wall)).collect();
    let on = |item: &Item| walls.iter().any(|wall| wall.holds(item) && is_on(wall));
    let mut away: Vec<f64> = damp.iter().map(|wall| wall.away).collect();
    let fallen = median(&mut away).filter(|fallen| *fallen < FALLEN);
    let primary = walls.iter().find(|wall| wall.is_of_primary());
    let alone = damp.len() < 2;
    let whole = fallen.filter(|_| !(alone && primary.is_some()));
    let whole = whole.zip(damp.first()).map(|(fallen, first)| {
        let seat = Seat {
            section: Some(first.group.test),
            at: damp.iter().map(|wall| wall.group.minute.span).collect(),
            ..Seat::default()
        };
        let observed = say!(
            "all insulation resistances{} are {} times lower than expected",
            match damp.len() < walls.len() {
                true => " but what is led to earth",
                false => "",
            },
            times(fallen)
        );
        // Of one winding alone nobody can say that all are low.
        in_the_unit(j, evidence, walls, seat, observed)
            .price(price::OF_A_FREE_SIZE + 1.0 + if alone { 1.0 } else { 0.0 })
            .moves(evidence, Of::Insulation, |item| match on(item) {
                true => 0.0,
                false => fallen,
            })
    });
    let in_the_box = in_the_box(j, evidence, &damp);
    // Of one alone what is usual says too little.
    let told = |wall: &&Wall<'_>| wall.away < FALLEN && !wall.by_usual;
    let primary = primary.filter(told).map(|wall| {
        let observed = say!(
            "the insulation of the primary is {} times lower than expected",
            times(wall.away)
        );
        in_the_unit(
            j,
            evidence,
            std::slice::from_ref(wall),
            wall.seat(),
            observed,
        )
        .price(price::OF_A_FREE_SIZE + 1.0)
        .moves(evidence, Of::Insulation, |item| {
            if wall.holds(item) { wall.away } else { 0.0 }
        })
    });
    let one = walls.iter().filter(|_| walls.len() > 1);
    let one = one.filter(|wall| wall.core().is_some() && told(wall));
    let one = one.map(|wall| {
        let observed = say!(
            "this winding alone is {} times lower than expected",
            times(wall.away)
        );
        Hypothesis::new(&rules::INSULATION_ONE_WINDING, wall.seat(), observed)
            .price(price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER)
            .moves(evidence, Of::Insulation, |item| {
                if wall.holds(item) { wall.away } else { 0.0 }
            })
            .decide("the winding again with its terminals cleaned and dried and all wires off")
    });
    let all = whole.into_iter().chain(in_the_box);
    all.chain(primary).chain(one).collect()
}

/// All cores low and the primary not: damp or dirt where their terminals are.
fn in_the_box(j: &Judging<'_>, evidence: &Evidence<'_>, damp: &[&Wall<'_>]) -> Option<Hypothesis> {
    let primary = damp.iter().find(|wall| wall.is_of_primary())?;
    let cores = damp.iter().filter(|wall| wall.core().is_some());
    let cores: Vec<&Wall<'_>> = cores.copied().collect();
    let mut away: Vec<f64> = cores.iter().map(|wall| wall.away).collect();
    let fallen = median(&mut away).filter(|fallen| *fallen < FALLEN)?;
    let first = cores
        .first()
        .filter(|_| cores.len() > 1 && primary.away > FALLEN)?;
    let seat = Seat {
        section: Some(first.group.test),
        at: cores.iter().map(|wall| wall.group.minute.span).collect(),
        ..Seat::default()
    };
    let observed = say!(
        "the insulation of all cores is {} times lower than expected and that of the primary is not: damp or dirt in the \
         terminal box",
        times(fallen)
    );
    let held = |item: &Item| cores.iter().any(|wall| wall.holds(item));
    let made = Hypothesis::new(&rules::INSULATION_MOISTURE, seat, observed)
        .price(price::OF_A_FREE_SIZE + 1.0)
        .besides(by_the_air(j, first))
        .moves(evidence, Of::Insulation, |item| {
            if held(item) { fallen } else { 0.0 }
        })
        .decide("the same groups again with the terminals cleaned and dried and all wires off");
    Some(made)
}

fn times(fallen: f64) -> Quantity {
    Quantity::new(about(libm::exp(-fallen)), "")
}

/// Moisture in what some groups read through: their rise with time goes, and how far nobody knows.
fn in_the_unit(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    walls: &[Wall<'_>],
    seat: Seat,
    observed: Phrase,
) -> Hypothesis {
    let air = walls.first().map_or(0.0, |wall| by_the_air(j, wall));
    Hypothesis::new(&rules::INSULATION_MOISTURE, seat, observed)
        .besides(air)
        .moves(evidence, Of::Absorption, |item| {
            let to_nothing = -libm::log((item.observed * libm::exp(-item.away)).max(1.0));
            match walls.iter().any(|wall| wall.holds(item)) {
                true => item.away.clamp(to_nothing, 0.0),
                false => 0.0,
            }
        })
        .decide("the same groups again after drying, or on a dry day with the guard round the bushing; an oil sample where there is oil")
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
