//! All windings off by the same per cent: the temperature that is written is not theirs, or the values were at 75 °C
//! already.

use crate::derive::conductor;
use crate::document::{Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence, Family, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::resistance as rules;
use crate::judge::words::short;

/// What a temperature that was not read at the winding is off by, kelvin.
const USUAL: f64 = 10.0;

pub(super) fn temperature(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let families: Vec<(usize, &Family)> = evidence
        .families_of(Of::Resistance)
        .filter(|(_, family)| family.items.iter().all(|item| item.by != By::Readings))
        .collect();
    let all = families.iter().flat_map(|(_, family)| &family.items);
    let mut away: Vec<f64> = all.clone().map(|item| item.away).collect();
    let (Some(share), Some(first)) = (super::super::median(&mut away), all.clone().next()) else {
        return Vec::new();
    };
    let winding = j
        .derived
        .resistance
        .iter()
        .find(|one| one.pair == first.pair);
    let stated = winding.and_then(|one| one.temperature);
    let core = j.case.core(first.pair);
    let k = core.and_then(|core| conductor::constant(&j.case, core));
    let (Some(stated), Some(k)) = (stated, k) else {
        return Vec::new();
    };
    let truly = (stated.si + k.k) * libm::exp(share) - k.k;
    let off = truly - stated.si;
    let seat = Seat {
        section: Some(first.section),
        at: first.at.clone(),
        ..Seat::default()
    };
    let made = |rule, share: f64, observed| {
        let all = families.iter();
        let made = Hypothesis::new(rule, seat.clone(), observed);
        all.fold(made, |made, (at, family)| {
            made.shift(*at, vec![share; family.items.len()])
        })
    };
    let observed = say!(
        "all windings are off by the same per cent, as if they were at {} and not at {}",
        Quantity::new(short(truly.round()), "°C"),
        Quantity::new(short(stated.si), "°C")
    );
    let wrong = made(&rules::TEMPERATURE_WRONG, share, observed)
        .price(price::OF_A_FREE_SIZE + 0.5 * (off / USUAL) * (off / USUAL))
        .decide(
            "the temperature of the winding itself: by contact, after it has stood without current",
        );
    let times = (75.0 + k.k) / (stated.si + k.k);
    let observed = say!(
        "all windings are {} times too high, as if they were at 75 °C already when they were corrected",
        Quantity::new(short(times), "")
    );
    let already = made(&rules::ALREADY_AT_75, libm::log(times), observed)
        .decide("whether the instrument shows the reading as it is, or corrected to 75 °C");
    // Nothing that stands in the open is as warm or as cold as this.
    let possible = (-45.0..=120.0).contains(&truly);
    possible
        .then_some(wrong)
        .into_iter()
        .chain([already])
        .collect()
}
