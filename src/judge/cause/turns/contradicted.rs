//! Polarity told twice, and not the same: of one pair, or of every pair by one way of testing.

use crate::derive::kinds::polarity::By;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::polarity;

pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let mut all = of_one_pair(evidence);
    all.extend(by_one_way(j, evidence));
    all
}

/// By one way of testing every pair is reversed, and by the others none: it is not the windings that are.
fn by_one_way(j: &Judging<'_>, evidence: &Evidence<'_>) -> Option<Hypothesis> {
    let (at, family) = evidence.families_of(Of::Polarity).next()?;
    let way = |item: &Item| {
        let mut shown = j.derived.polarity.iter();
        let shown = shown.find(|one| one.test == item.section && one.pair == item.pair);
        shown.map(|one| one.by)
    };
    let is_reversed = |item: &Item| item.away > 0.5;
    let first = family.items.iter().find(|item| is_reversed(item))?;
    let by = way(first)?;
    let parted = family
        .items
        .iter()
        .all(|item| is_reversed(item) == (way(item) == Some(by)));
    let reversed: Vec<&Item> = family.items.iter().filter(|one| is_reversed(one)).collect();
    let right = family.items.iter().find(|item| {
        let own = |other: &&Item| other.pair == item.pair;
        !is_reversed(item) && reversed.iter().any(own)
    })?;
    if !parted || reversed.len() < 2 {
        return None;
    }
    let observed = match by {
        By::Phase => {
            "every pair is reversed by the phase of its ratio and as marked by hand: as by the leads of the ratio test, \
             reversed on one side"
        }
        By::Kick => {
            "every pair is reversed by battery and meter and as marked by other tests: as by the battery or the meter, \
             reversed"
        }
        By::Comparison => {
            "every pair is reversed beside the known transformer and as marked by other tests: as by the leads of the \
             known one, reversed"
        }
    };
    let mut seat = Seat::of(first).of_the_unit();
    seat.at.extend(&right.at);
    let shift = family
        .items
        .iter()
        .map(|item| if is_reversed(item) { item.away } else { 0.0 });
    let made = Hypothesis::new(&polarity::POLARITY_CONTRADICTION, seat, observed)
        .price(price::OF_A_KNOWN_SIZE)
        .shift(at, shift.collect())
        .decide(say!(
            "one pair once more by both ways, the leads of each traced from P1 to the first terminal of the secondary"
        ));
    Some(made)
}

/// Told by hand and by the phase of the ratio test, a pair is as marked and reversed: one of the two readings was taken
/// or written the wrong way round, and nothing tells which.
fn of_one_pair(evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let Some((at, family)) = evidence.families_of(Of::Polarity).next() else {
        return Vec::new();
    };
    let reversed = family.items.iter().filter(|item| item.away > 0.5);
    let made = reversed.filter_map(|item| {
        let mut others = family.items.iter();
        let other = others.find(|other| other.pair == item.pair && other.away.abs() < 0.5)?;
        let shift = family
            .items
            .iter()
            .map(|one| match std::ptr::eq(one, item) {
                true => item.away,
                false => 0.0,
            });
        let mut seat = Seat::of(item);
        seat.at.extend(&other.at);
        let observed = "as marked by one reading and reversed by another: neither decides";
        let made = Hypothesis::new(&polarity::POLARITY_CONTRADICTION, seat, observed)
            .price(price::OF_A_KNOWN_SIZE)
            .shift(at, shift.collect())
            .decide("polarity of this pair once more, by hand and by the phase of its ratio");
        Some(made)
    });
    made.collect()
}
