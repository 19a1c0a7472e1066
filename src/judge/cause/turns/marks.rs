//! Terminals that are not where their marks say: two that have each other's wires, a winding whose ends are
//! exchanged.

use super::lead;
use crate::derive::kinds::excitation::shape::Shape;
use crate::derive::kinds::resistance::Winding;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence, Family, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::resistance::truth::Bench;
use crate::judge::rules::{polarity, ratio};
use crate::record::core::Core;
use crate::trade::Pair;
use std::collections::BTreeSet;

/// Taps that count from the other end, where nobody looked at the polarity.
const UNSHOWN: f64 = 2.0;
/// Wires of a terminal box are exchanged more seldom than leads of a test.
const IN_THE_BOX: f64 = 0.7;
/// Windings have few terminals; of more not every exchange is tried.
pub(super) const MOST_MARKS: usize = 8;

/// Where the wire of each terminal of a core truly sits.
pub(super) struct Wires<'a> {
    pub core: &'a Core,
    pub at: usize,
    /// Turns from the first terminal to each, in shares that the plate gives.
    turns: Vec<f64>,
    pub to: Vec<usize>,
}

impl<'a> Wires<'a> {
    fn of(j: &Judging<'a>, at: usize) -> Option<Self> {
        let core = j.case.record.cores.get(at)?;
        let marks = 0..=core.last_mark();
        let turns: Option<Vec<f64>> = marks.map(|mark| core.nominal_ratio(0, mark)).collect();
        let turns = turns?;
        let to = (0..turns.len()).collect();
        Some(Self {
            core,
            at,
            turns,
            to,
        })
    }

    pub fn laid(&self, to: Vec<usize>) -> Self {
        let (core, at, turns) = (self.core, self.at, self.turns.clone());
        Self {
            core,
            at,
            turns,
            to,
        }
    }

    pub fn between(&self, from: usize, to: usize) -> f64 {
        let turns = |at: usize| self.turns.get(at).copied().unwrap_or(f64::NAN);
        turns(to) - turns(from)
    }

    /// Turns that a pair truly has, as a share of what its marks say; negative the wrong way round.
    fn share(&self, pair: Pair) -> Option<f64> {
        let (from, to) = (usize::from(pair.from), usize::from(pair.to));
        let truly = self.between(*self.to.get(from)?, *self.to.get(to)?);
        let share = truly / self.between(from, to);
        (pair.core == self.at && share.is_finite() && share != 0.0).then_some(share)
    }

    pub fn shift(&self, family: &Family) -> Vec<f64> {
        let of = |item: &Item| {
            let share = self.share(item.pair)?;
            Some(match family.of {
                Of::Turns => with_drop(share.abs(), item.away),
                Of::Polarity => f64::from(u8::from(share < 0.0)),
                // What the wires make of resistances follows from all readings of the core.
                _ => return None,
            })
        };
        let each = family.items.iter().map(|item| of(item).unwrap_or(0.0));
        each.collect()
    }

    /// The same for every test through the terminals.
    fn in_every_test(
        &self,
        j: &Judging<'_>,
        evidence: &Evidence<'_>,
        made: Hypothesis,
    ) -> Hypothesis {
        let mut made = made;
        let truly =
            |winding: &Winding, _, read: f64| read / self.share(winding.pair).map_or(1.0, f64::abs);
        let resisted = Bench::new(j, evidence).shifts(|_, _| true, truly);
        let resisted = resisted.unwrap_or_default();
        for (at, family) in evidence.families.iter().enumerate() {
            let of_it = resisted.iter().find(|(of, _)| *of == at);
            let shift = match of_it {
                Some((_, shift)) => shift.clone(),
                None => self.shift(family),
            };
            if shift.iter().all(|shift| *shift == 0.0) {
                continue;
            }
            made = made.shift_where_it_helps(at, family, shift);
        }
        for (at, held) in evidence.curves.iter().enumerate() {
            let share = self.share(held.pair()).map_or(1.0, f64::abs);
            if (share - 1.0).abs() < 1e-6 || !held.is_open() {
                continue;
            }
            let fit = mostly(held.fit(Shape::Turns(share)), held.same());
            if !matches!(held.by, By::Visit(_)) || fit < held.same() {
                made = made.curve(at, fit);
            }
        }
        made
    }
}

/// A curve is explained for the most part where no more than such a share of its misfit is left; that may be something
/// else again, and counts for no more than so much in natural logarithms. Conventions of this project.
const MOSTLY: f64 = 0.2;
const LEFT: f64 = 6.0;

pub(in crate::judge::cause) fn mostly(left: f64, before: f64) -> f64 {
    let explained = left < MOSTLY * before;
    if explained { left.min(LEFT) } else { left }
}

/// The voltage of the whole winding on so small a share of it saturates the core, and the ratio reads too high.
const SATURATES: f64 = 0.85;
/// Up to so much, in natural logarithms. Common practice, no source.
pub(super) const MOST_DROP: f64 = 0.7;

/// What a share of the turns adds to ln of a ratio, with the drop of the exciting current where it may be.
fn with_drop(share: f64, away: f64) -> f64 {
    let turns = libm::log(share);
    let drops = share < SATURATES && (0.01..MOST_DROP).contains(&(away - turns));
    if drops { away } else { turns }
}

pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let cores = 0..j.case.record.cores.len();
    let mut all = Vec::new();
    for wires in cores.filter_map(|core| Wires::of(j, core)) {
        let off = |family: &Family| {
            let mut own = family
                .items
                .iter()
                .filter(|item| item.pair.core == wires.at);
            own.any(|item| item.away.abs() > 2.0 * item.u)
        };
        let of = [Of::Turns, Of::Polarity];
        let mut families = of.into_iter().flat_map(|of| evidence.families_of(of));
        if families.any(|(_, family)| off(family)) {
            all.extend(turned(j, evidence, &wires));
            all.extend(exchanged(j, evidence, &wires));
            all.extend(lead::on_another(j, evidence, &wires));
        }
    }
    all
}

fn first_seat(evidence: &Evidence<'_>, core: usize) -> Seat {
    let of = [Of::Turns, Of::Polarity];
    let families = of.into_iter().flat_map(|of| evidence.families_of(of));
    let mut items = families.flat_map(|(_, family)| &family.items);
    let first = items.find(|item| item.pair.core == core && item.away.abs() > 2.0 * item.u);
    Seat {
        section: first.map(|item| item.section),
        core: Some(core),
        pair: None,
        at: first.map(|item| item.at.clone()).unwrap_or_default(),
    }
}

/// The ends of the whole winding exchanged: its polarity turns, and its taps count from the other end.
fn turned(j: &Judging<'_>, evidence: &Evidence<'_>, wires: &Wires<'_>) -> Option<Hypothesis> {
    let to = (0..wires.to.len()).rev().collect();
    let seat = first_seat(evidence, wires.at);
    let mark = |mark: Option<&String>| Phrase::terminals(mark.cloned().unwrap_or_default());
    let marks = &wires.core.marks;
    let observed = say!("{} and {}", mark(marks.first()), mark(marks.last()));
    let polarities = evidence.families_of(Of::Polarity);
    let mut polarities = polarities.flat_map(|(_, family)| &family.items);
    let shown = polarities.any(|item| item.pair.core == wires.at);
    let price = price::OF_A_KNOWN_SIZE;
    // A winding of two terminals says nothing but that it is reversed.
    let mirrored = || right_before(j, wires.at).filter(|_| marks.len() > 2);
    let made = match mirrored() {
        Some(then) => {
            Hypothesis::new(&polarity::LEADS_FROM_THE_OTHER_END, seat, observed).remark(say!(
                "it was as marked on {}: the leads of the test are exchanged sooner than the ends of a winding",
                then
            ))
        }
        None => Hypothesis::new(&polarity::SECONDARY_REVERSED, seat, observed),
    };
    let beside = match j.case.record.cores.len() {
        1 => "",
        _ => ", with another core beside it",
    };
    let made = made
        .price(if shown { price } else { price + UNSHOWN })
        .decide(say!(
            "polarity once more at the terminals of the transformer itself, each lead followed to its mark{}",
            beside
        ));
    let made = match marks.len() {
        0..=2 => made,
        _ => made.remark("its taps then count from the other end"),
    };
    Some(wires.laid(to).in_every_test(j, evidence, made))
}

/// The last earlier visit that found a core as marked, where none found it reversed since.
fn right_before(j: &Judging<'_>, core: usize) -> Option<String> {
    let mut visits = j.earlier_visits().rev();
    visits.find_map(|(visit, assessed)| {
        let of_core = assessed.derived.polarity.iter();
        let own = of_core.filter(|one| one.pair.core == core && one.doubtful.is_none());
        let ways: BTreeSet<bool> = own.filter_map(|one| one.as_marked).collect();
        let right = !ways.contains(&false);
        ways.first().map(|_| right.then(|| visit.name()))
    })?
}

/// Two terminals have each other's wires.
fn exchanged(j: &Judging<'_>, evidence: &Evidence<'_>, wires: &Wires<'_>) -> Vec<Hypothesis> {
    let count = wires.to.len();
    if !(3..=MOST_MARKS).contains(&count) {
        return Vec::new();
    }
    let pairs = (0..count).flat_map(|one| (one + 1..count).map(move |other| (one, other)));
    // Of three terminals the outer two are the ends of the winding.
    let pairs = pairs.filter(|ends| count > 3 || *ends != (0, 2));
    let made = pairs.map(|(one, other)| {
        let mut to: Vec<usize> = (0..count).collect();
        to.swap(one, other);
        let mark = |at: usize| {
            let name = wires.core.marks.get(at).cloned().unwrap_or_default();
            Phrase::terminals(name)
        };
        let observed = say!(
            "{} and {} have each other's wires, in every test through the terminals",
            mark(one),
            mark(other)
        );
        let seat = first_seat(evidence, wires.at);
        let made = Hypothesis::new(&ratio::TAPS_EXCHANGED, seat, observed)
            .graded(Grade::Fails)
            .price(price::OF_A_LIST + IN_THE_BOX)
            .decide(say!(
                "which wire of the winding is on {} and which on {}, with the circuit open",
                mark(one),
                mark(other)
            ));
        wires.laid(to).in_every_test(j, evidence, made)
    });
    made.collect()
}
