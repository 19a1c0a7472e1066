//! The unit in the heading of a table of loops: all of them a thousand times off.

use super::slips::{FITS, NEAR_RATED, OF_A_SLIP, written};
use super::{Circuit, families};
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat};
use crate::judge::rules::burden as rules;

const TIMES: f64 = 1000.0;
/// So far off what is usual a loop may be with its unit in place, in natural logarithms: 4.5 times either way. Common
/// practice, no source.
const OF_USUAL: f64 = 1.5;

pub(super) fn all(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    circuits: &[Circuit<'_>],
) -> Vec<Hypothesis> {
    let mut tests: Vec<usize> = circuits.iter().map(|one| one.one.test).collect();
    tests.dedup();
    let each = tests.into_iter().flat_map(|test| {
        let own = circuits.iter().filter(move |one| one.one.test == test);
        let own: Vec<&Circuit<'_>> = own.collect();
        [TIMES, 1.0 / TIMES]
            .into_iter()
            .filter_map(move |times| of_table(j, evidence, &own, times))
    });
    each.collect()
}

/// A table whose loops all read `times` too much.
fn of_table(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    own: &[&Circuit<'_>],
    times: f64,
) -> Option<Hypothesis> {
    let first = own.first().filter(|_| own.len() > 1)?;
    let size = libm::log(times);
    let fits = |one: &&Circuit<'_>| match one.r {
        Some(r) => (r - size).abs() < FITS,
        None => families::usual(j, one.one.pair.ascending())
            .is_some_and(|usual| libm::log(one.one.z.si / times / usual).abs() < OF_USUAL),
    };
    if !own.iter().all(fits) {
        return None;
    }
    // The current that is set is the rated one as a rule.
    let is_rated = |times: f64| {
        own.iter().all(|one| {
            let rated = j.case.rated_secondary(one.one.pair.ascending());
            let off = rated.zip(written(j, one));
            let off = off.map(|(rated, (_, amperes, _))| libm::log(amperes.value * times / rated));
            off.is_some_and(|off| off.abs() < NEAR_RATED)
        })
    };
    let which = match (is_rated(1.0), is_rated(times)) {
        (true, _) => "voltages",
        (false, true) => "currents",
        (false, false) => "voltages or of the currents",
    };
    let observed = say!(
        "all loops of the table fit with the unit of the {} in place: each has 1000 times {}",
        which,
        if times > 1.0 { "less" } else { "more" }
    );
    let seat = Seat {
        section: Some(first.one.test),
        at: own
            .iter()
            .flat_map(|one| &one.one.readings)
            .copied()
            .collect(),
        ..Seat::default()
    };
    let all = |item: &Item, shift: f64| match own.iter().any(|one| one.holds(item)) {
        true => shift,
        false => 0.0,
    };
    let made = Hypothesis::new(&rules::CIRCUIT_SLIP, seat, observed)
        .price(OF_A_SLIP)
        .moves(evidence, Of::Circuit, |item| all(item, size))
        .moves(evidence, Of::Reactance, |item| all(item, size))
        .moves(evidence, Of::Burden, |item| all(item, item.away))
        .decide("one loop again, and the units that the instrument shows");
    Some(made)
}
