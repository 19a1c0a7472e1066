//! All loops of a table off by one factor: no relay and no lead makes all cores so, but what was read or reckoned alike
//! for all of them.

use super::Circuit;
use super::slips::{FITS, OF_A_SLIP};
use crate::document::{Phrase, Quantity, say};
use crate::ground::median::median;
use crate::judge::cause::evidence::{Evidence, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::told::{about, beside};
use crate::judge::rules::burden as rules;

/// Nearer than this to what they should be, in natural logarithms, the leads of all cores of a phase may be longer or
/// shorter: 1.5 times. Common practice, no source.
const LEADS: f64 = 0.4;
/// Further off than this they are in another unit, which is told of the heading. Conventions of this project, as the next.
const UNIT: f64 = 4.0;
/// So near to twice or half of it that it is that.
const NEAR: f64 = 0.1;
/// Any other factor is the same for all within so much: circuits that were built alike differ by more. Common practice, no
/// source.
const ONE_FACTOR: f64 = 0.03;
/// Reactances are read less well.
const OF_REACTANCE: f64 = 0.35;

pub(super) fn all(evidence: &Evidence<'_>, circuits: &[Circuit<'_>]) -> Vec<Hypothesis> {
    let mut tests: Vec<usize> = circuits.iter().map(|one| one.one.test).collect();
    tests.dedup();
    let each = tests.into_iter().filter_map(|test| {
        let own = circuits.iter().filter(|one| one.one.test == test);
        of_table(evidence, &own.collect::<Vec<_>>())
    });
    each.collect()
}

fn of_table(evidence: &Evidence<'_>, own: &[&Circuit<'_>]) -> Option<Hypothesis> {
    let first = own.first()?;
    let core = |one: &Circuit<'_>| one.one.pair.core;
    let mut off = own.iter().map(|one| one.r).collect::<Option<Vec<f64>>>()?;
    let size = median(&mut off)?;
    let twice = (size.abs() - std::f64::consts::LN_2).abs() < NEAR;
    let most = if twice { FITS } else { ONE_FACTOR };
    let fits = |one: &&Circuit<'_>| {
        let near =
            |part: Option<f64>, most: f64| part.is_none_or(|part| (part - size).abs() < most);
        near(one.r, most) && near(one.x, OF_REACTANCE)
    };
    let of_one_core = own.iter().all(|one| core(one) == core(first));
    if of_one_core || !(LEADS..UNIT).contains(&size.abs()) || !own.iter().all(fits) {
        return None;
    }
    let items = evidence.families_of(Of::Circuit);
    let mut items = items.flat_map(|(_, family)| &family.items);
    let by = &items.find(|item| first.holds(item))?.by;
    let (how, price) = how(size);
    let observed = say!(
        "all loops of the table are {} times those of {}: one factor for all cores, {}",
        Quantity::new(about(libm::exp(size)), ""),
        beside(by),
        how
    );
    let readings = own.iter().flat_map(|one| &one.one.readings);
    let seat = Seat {
        section: Some(first.one.test),
        at: readings.copied().collect(),
        ..Seat::default()
    };
    let all = |item: &Item, shift: f64| match own.iter().any(|one| one.holds(item)) {
        true => shift,
        false => 0.0,
    };
    let made = Hypothesis::new(&rules::CIRCUIT_SLIP, seat, observed)
        .price(price)
        .moves(evidence, Of::Circuit, |item| all(item, size))
        .moves(evidence, Of::Reactance, |item| all(item, size))
        .moves(evidence, Of::Burden, |item| all(item, item.away))
        .remark("leads of all cores that are so much longer or shorter would do the same")
        .decide("one loop again, its current and its voltage read at the terminals of the core, and how what is written was reckoned of them");
    Some(made)
}

/// What makes such a factor, and its price.
fn how(size: f64) -> (Phrase, f64) {
    let two = std::f64::consts::LN_2;
    if (size - two).abs() < NEAR {
        let how = "as where both ways were added twice, or two phases lie in series";
        return (how.into(), OF_A_SLIP);
    }
    if (size + two).abs() < NEAR {
        return ("as where one way was read and not both".into(), OF_A_SLIP);
    }
    let how = "as where the current was another one than is written";
    (how.into(), OF_A_SLIP + price::OF_A_FREE_SIZE)
}
