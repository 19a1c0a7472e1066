//! The unit in the heading of a table: all its readings a thousand times off, and their rise with time as ever.

use super::{Wall, families};
use crate::document::say;
use crate::judge::cause::evidence::{Evidence, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::insulation as rules;

const TIMES: f64 = 1000.0;
/// All of them are off by the same: within so many of what each scatters by.
const FITS: f64 = 2.0;
/// Beside what is usual alone a thousand times is not told from a hundred: the rise has to be that of dry insulation,
/// above this. Common practice, no source.
const DRY: f64 = 1.25;

pub(super) fn all(evidence: &Evidence<'_>, walls: &[Wall<'_>]) -> Vec<Hypothesis> {
    let mut tests: Vec<usize> = walls.iter().map(|wall| wall.group.test).collect();
    tests.dedup();
    let each = tests.into_iter().flat_map(|test| {
        // A bound is no number that was read.
        let own = walls
            .iter()
            .filter(move |wall| wall.group.test == test && wall.group.minute.r.known().is_some());
        let own: Vec<&Wall<'_>> = own.collect();
        [TIMES, 1.0 / TIMES]
            .into_iter()
            .filter_map(move |times| of_table(evidence, &own, libm::log(times)))
    });
    each.collect()
}

/// A table whose readings are all off by `size`, in natural logarithms.
fn of_table(evidence: &Evidence<'_>, own: &[&Wall<'_>], size: f64) -> Option<Hypothesis> {
    let first = own.first().filter(|_| own.len() > 1)?;
    let fits = |wall: &&Wall<'_>| (wall.away - size).abs() < FITS * families::SCATTER.0;
    let by_usual = own.iter().all(|wall| wall.by_usual);
    let rises = own.iter().flat_map(|wall| &wall.group.rises);
    let mut rises = rises.filter_map(|rise| rise.ratio.known());
    if !own.iter().all(fits) || by_usual && !rises.any(|rise| rise.si > DRY) {
        return None;
    }
    let seat = Seat {
        section: Some(first.group.test),
        at: own.iter().map(|wall| wall.group.minute.span).collect(),
        ..Seat::default()
    };
    let observed = say!(
        "all readings of the table fit with its unit in place: 1000 times {}",
        if size > 0.0 { "less" } else { "more" }
    );
    let made = Hypothesis::new(&rules::INSULATION_SLIP, seat, observed)
        .price(price::OF_A_KNOWN_SIZE + 1.0)
        .moves(evidence, Of::Insulation, |item| {
            match own.iter().any(|wall| wall.holds(item)) {
                true => size,
                false => 0.0,
            }
        })
        .decide("the unit that the tester shows, and one group again");
    Some(made)
}
