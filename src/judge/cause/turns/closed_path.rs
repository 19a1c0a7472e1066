//! A path that was closed over a part of a winding while its ratios were read by voltage: what is driven for it drops
//! in the copper, and each pair reads high by its own part of that. The whole winding, across which a circuit hangs,
//! reads right.

use super::by_plate;
use crate::derive::kinds::excitation::shape::least;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Family, Item};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::path::{self, Drops};
use crate::judge::finding::unit;
use crate::judge::kinds::burden::rated_ohm;
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::quantity;
use crate::record::core::Core;
use crate::trade::Pair;

/// What is closed has no more than this, ohm: more of it drops nothing that a ratio shows. A convention of this project.
const MOST: f64 = 1000.0;
/// A ratio is moved by more than so many standard deviations. A convention of this project.
const MOVED: f64 = 2.0;
/// A circuit that was measured is known so well. A convention of this project.
const SPREAD_OF_A_CIRCUIT: f64 = 0.2;

/// One core's ratios, and where they lie in the family of all.
struct Read<'e> {
    evidence: &'e Evidence<'e>,
    family: &'e Family,
    core: &'e Core,
    index: usize,
}

pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let Some((_, family)) = by_plate(evidence) else {
        return Vec::new();
    };
    let cores = j.case.record.cores.iter().enumerate();
    let cores = cores.map(|(index, core)| Read {
        evidence,
        family,
        core,
        index,
    });
    // Where the core has a curve, that tells what is drawn.
    let untold = cores.filter(|read| {
        let mut curves = j.derived.excitation.iter();
        !curves.any(|one| one.pair.core == read.index && one.curve.is_some())
    });
    untold.flat_map(|read| read.all(j)).collect()
}

impl Read<'_> {
    fn items(&self) -> impl Iterator<Item = &Item> {
        let own = self.family.items.iter();
        own.filter(|item| item.pair.core == self.index)
    }

    fn all(&self, j: &Judging<'_>) -> Vec<Hypothesis> {
        let whole = Pair {
            core: self.index,
            from: 0,
            to: self.core.last_mark(),
        };
        if self.items().count() < 2 || !self.items().any(|item| item.cost(0.0) > 2.0) {
            return Vec::new();
        }
        let parts: Vec<Pair> = path::pairs(self.core, whole).collect();
        let count = libm::log(parts.len().max(1) as f64);
        // One ratio alone is that of some link: two have to agree on it.
        let links = parts.iter().filter_map(|part| {
            let price = |ohm: f64| path::of_a_link(ohm);
            let (made, ohm) = self.best(j, *part, &rules::SHORT_LEFT_ON, price)?;
            if self.moved(&made) < 2 {
                return None;
            }
            let name = Phrase::terminals(self.core.pair_text(part.from, part.to));
            let said = made
                .price(price::OF_A_KNOWN_SIZE + count + price(ohm))
                .decide(say!(
                    "the ratio again after a look at the links of {}",
                    name
                ));
            Some(said)
        });
        let mut all: Vec<Hypothesis> = links.collect();
        all.extend(self.circuit(j, whole));
        all
    }

    /// How many ratios it moves by more than they scatter.
    fn moved(&self, made: &Hypothesis) -> usize {
        let shifts = made.shifts.iter().filter_map(|(at, shift)| {
            let family = self.evidence.families.get(*at)?;
            let items = family.items.iter().zip(shift);
            Some(
                items
                    .filter(|(item, shift)| shift.abs() > MOVED * item.u)
                    .count(),
            )
        });
        shifts.max().unwrap_or(0)
    }

    /// The circuit of the pair in service.
    fn circuit(&self, j: &Judging<'_>, whole: Pair) -> Option<Hypothesis> {
        let mut burdens = j.derived.burden.iter();
        let known = burdens.find(|one| one.pair.core == self.index);
        let part = match known {
            Some(one) => one.pair.ascending(),
            None => j.case.in_service(self.index).unwrap_or(whole).ascending(),
        };
        let rated = match known {
            Some(_) => 1.0,
            None => rated_ohm(j, part)?,
        };
        let price = |ohm: f64| match known {
            Some(one) => {
                let off = libm::log(ohm / one.z.si) / SPREAD_OF_A_CIRCUIT;
                0.5 * off * off
            }
            None => path::of_a_share(ohm / rated),
        };
        let (made, ohm) = self.best(j, part, &rules::BURDEN_LEFT_ON, price)?;
        if known.is_none() && self.moved(&made) < 2 {
            return None;
        }
        let size = match known {
            Some(_) => price::OF_A_KNOWN_SIZE,
            None => price::OF_A_FREE_SIZE,
        };
        let made = made.price(size + price(ohm)).decide(
            "the ratio again with this core's circuit taken off at its terminals, links open or wires lifted",
        );
        Some(made)
    }

    /// The path over a part that explains most, and its ohms.
    fn best(
        &self,
        j: &Judging<'_>,
        part: Pair,
        rule: &'static Rule,
        price: impl Fn(f64) -> f64,
    ) -> Option<(Hypothesis, f64)> {
        let drops = Drops::of(j, self.evidence, part);
        let cost = |ohm: f64| {
            let items = self.items();
            let left: f64 = items.map(|item| item.cost(drops.by(item, ohm))).sum();
            left + price(ohm)
        };
        let ohm = least(cost, (path::LEAST_OF_A_LINK, MOST));
        let first = self
            .items()
            .max_by(|one, other| one.away.abs().total_cmp(&other.away.abs()))?;
        let seat = Seat {
            pair: None,
            ..Seat::of(first)
        };
        let observed = say!(
            "the ratios read as with {} across {}, whose current drops in the winding",
            quantity(ohm, 2, unit::OHM),
            Phrase::terminals(self.core.pair_text(part.from, part.to))
        );
        let made = Hypothesis::new(rule, seat, observed);
        Some((drops.moved(self.evidence, made, ohm), ohm))
    }
}
