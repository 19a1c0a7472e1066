//! Why insulation resistances are as they are.

mod beside_it;
mod families;
mod heading;
mod left_on;
mod moisture;
mod one_reading;

pub(super) use families::families;
pub(super) use left_on::{is_on, links_open};

use super::evidence::{By, Evidence, Item, Of};
use super::hypothesis::{Hypothesis, Seat};
use crate::derive::kinds::insulation::{Group, Node};
use crate::derive::outcome::Outcome;
use crate::ground::median::median;
use crate::judge::assess::Judging;

/// A group with what it shows.
pub(super) struct Wall<'a> {
    pub group: &'a Group,
    /// As read, ohm.
    pub read: f64,
    /// ln of it over what it should be.
    pub away: f64,
    /// It is held against what is usual alone.
    pub by_usual: bool,
}

impl Wall<'_> {
    /// What it should read, ohm.
    fn expected(&self) -> f64 {
        self.read * libm::exp(-self.away)
    }

    /// What it scatters by and shows nothing, in natural logarithms.
    fn scatter(&self) -> f64 {
        if self.by_usual {
            families::BETWEEN_MAKES
        } else {
            families::SCATTER.0
        }
    }

    /// Whether an item is of its reading.
    pub fn holds(&self, item: &Item) -> bool {
        item.at.first() == Some(&self.group.minute.span)
    }

    /// Whether it is so much or less: the tester was at its bottom.
    fn is_at_most(&self) -> bool {
        matches!(self.group.minute.r, Outcome::AtMost(_))
    }

    /// Whether it is of the primary alone.
    fn is_of_primary(&self) -> bool {
        self.group.sides().0 == [Node::Primary]
    }

    /// The core that was tested alone.
    pub fn core(&self) -> Option<usize> {
        match self.group.sides().0 {
            [Node::Core(core)] => Some(*core),
            _ => None,
        }
    }

    pub fn seat(&self) -> Seat {
        Seat {
            section: Some(self.group.test),
            core: self.core(),
            pair: None,
            at: vec![self.group.minute.span],
        }
    }

    /// Whether a rise is one from the minute on, and not up to it.
    fn is_from_the_minute(&self, item: &Item) -> bool {
        let mut rises = self.group.rises.iter();
        let told = rises.find(|one| one.ratio.known().is_some_and(|it| it.si == item.observed));
        told.is_none_or(|one| one.earlier >= NEAR_THE_MINUTE)
    }

    /// ln that a rise moves by where the reading of the minute alone is off.
    fn moved(&self, item: &Item, by: f64) -> f64 {
        if self.is_from_the_minute(item) {
            -by
        } else {
            by
        }
    }

    /// ln of its longest rise where a leak of `share` of what it conducts itself at a minute lies beside it, over
    /// that rise without.
    fn flattened(&self, item: &Item, share: f64) -> f64 {
        let rise = item.observed * libm::exp(-item.away);
        // Before the minute it conducts more, behind it less.
        let with = match self.is_from_the_minute(item) {
            true => (1.0 + share) / (1.0 / rise + share),
            false => (rise + share) / (1.0 + share),
        };
        libm::log(with / rise)
    }
}

/// The groups that have something to be held against.
pub(super) fn walls<'a>(j: &Judging<'a>, evidence: &Evidence<'_>) -> Vec<Wall<'a>> {
    let known = j.derived.insulation.iter().filter_map(|group| {
        let families = evidence.families_of(Of::Insulation);
        let items = families.flat_map(|(_, family)| &family.items);
        let items = items.filter(|item| item.at.first() == Some(&group.minute.span));
        let items: Vec<&Item> = items.collect();
        let mut away: Vec<f64> = items.iter().map(|item| item.away).collect();
        Some(Wall {
            group,
            read: items.first()?.observed,
            away: median(&mut away)?,
            by_usual: items.iter().all(|item| item.by == By::Usual),
        })
    });
    known.collect()
}

/// All that is known to move insulation resistances.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let walls = walls(j, evidence);
    let mut all = Vec::new();
    if walls.iter().all(|wall| wall.away.abs() < LEAST) {
        return all;
    }
    all.extend(left_on::all(j, evidence, &walls));
    all.extend(one_reading::steps(evidence, &walls));
    all.extend(heading::all(evidence, &walls));
    // What is usual is wide: more is named by it only where it is all that is known, of more than one group.
    let by_usual = walls.iter().filter(|wall| wall.by_usual).count();
    let alone = by_usual > 1 && by_usual == walls.len();
    let known = walls.into_iter().filter(|wall| alone || !wall.by_usual);
    let known: Vec<Wall<'_>> = known.collect();
    all.extend(moisture::all(j, evidence, &known));
    all.extend(beside_it::test_lead(evidence, &known));
    if !alone {
        all.extend(beside_it::surface(j, evidence, &known));
        all.extend(one_reading::all(evidence, &known));
    }
    all
}

/// What no cause is looked for, in natural logarithms: less than a factor of two.
const LEAST: f64 = 0.69;

/// A rise that begins from here on, in seconds, begins at the minute.
const NEAR_THE_MINUTE: f64 = 45.0;

#[cfg(test)]
mod tests;
