//! The evidence of one visit: what was observed beside what it should be, with how well both are known, and on
//! what the expectation rests.

use super::held::{self, Held};
use super::hypothesis::{Hypothesis, NAMED, TIE};
use super::{circuit, curve, insulation, resistance, turns};
use crate::document::Grade;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Unit};
use crate::trade::Pair;

/// On what an expectation rests.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum By {
    /// An earlier visit of the same unit, by its name.
    Visit(String),
    /// The maker's certificate, by the name of its visit.
    Certificate(String),
    /// So many sisters.
    Sisters(usize),
    Plate,
    /// The most that the plate allows; below it anything is as it should be.
    Limit,
    /// What the duty of the core states.
    Duty,
    /// What such things read as a rule.
    Usual,
    /// What the iron of a core takes, by physics.
    Iron,
    /// Readings of the same visit, by physics.
    Readings,
}

impl By {
    /// Whether it is another reading of the same unit.
    pub fn is_of_the_unit(&self) -> bool {
        matches!(self, Self::Visit(_) | Self::Certificate(_))
    }
}

/// The quantity that a family of items is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Of {
    Resistance,
    /// At 75 °C beside the most that the plate allows.
    ResistanceLimit,
    /// A whole winding beside the sum of its sections.
    ResistanceSum,
    /// Single readings of one pair beside each other.
    ResistanceRepeated,
    Turns,
    /// 1 away where it is reversed.
    Polarity,
    /// Exciting currents beside their neighbours on the curve.
    Exciting,
    /// Ratio errors by current.
    Error,
    /// The same, and phase displacements, beside the rows of their own table; and what contradicts the exciting current
    /// as a whole. Told by their reading too: one row may be off, and the others of its pair not.
    ErrorRow,
    PhaseRow,
    ErrorOrder,
    /// Insulation resistance of a group; its items are told by their reading.
    Insulation,
    /// What it rises by with time.
    Absorption,
    /// The connected circuit: its resistance, or its impedance without an angle.
    Circuit,
    Reactance,
    /// Its impedance beside what the core is rated for.
    Burden,
}

impl Of {
    /// Whether its items are told by their reading alone: no pair of terminals holds them, or more than they do.
    pub fn is_of_groups(self) -> bool {
        let of_groups = matches!(self, Self::Insulation | Self::Absorption);
        of_groups || self.is_of_errors()
    }

    /// Whether its items are rows of a table of errors.
    pub fn is_of_errors(self) -> bool {
        matches!(self, Self::ErrorRow | Self::PhaseRow | Self::ErrorOrder)
    }
}

/// One observed value beside what it should be.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub pair: Pair,
    pub section: usize,
    /// The reading first.
    pub at: Vec<Span>,
    pub observed: f64,
    pub expected: f64,
    pub unit: Unit,
    /// ln(observed/expected), less what causes that were named already explain.
    pub away: f64,
    /// Standard uncertainty of `away`: of the readings, and what days or makers scatter.
    pub u: f64,
    pub by: By,
}

/// Items of one quantity whose expectations may all be off by the same.
#[derive(Clone, Debug)]
pub(super) struct Family {
    pub of: Of,
    pub items: Vec<Item>,
    /// Standard deviation of what they share: the temperature of a day, the wire of a batch.
    pub shared: f64,
}

/// All evidence of a visit.
pub(super) struct Evidence<'a> {
    pub families: Vec<Family>,
    pub curves: Vec<Held<'a>>,
}

/// No single value speaks louder than this, in natural logarithms: it may be wrong by itself.
pub(super) const LOUDEST: f64 = 12.0;

/// One that is beyond its limit may be a bad one: that tells causes from each other, and names none by itself.
const OF_A_LIMIT: f64 = 3.0;

/// How unlikely a value is that lies so far off, in natural logarithms.
pub(super) fn cost(away: f64, u: f64) -> f64 {
    let z = away / u;
    (0.5 * z * z).min(LOUDEST)
}
/// Below this no family is worth a look, in natural logarithms: two standard deviations.
const WORTH_A_LOOK: f64 = 2.0;

impl<'a> Evidence<'a> {
    /// Gathers the evidence of a visit.
    pub fn of(j: &Judging<'a>, findings: &[Finding]) -> Self {
        let families = resistance::families(j)
            .into_iter()
            .chain(turns::families(j))
            .chain(curve::families(j))
            .chain(insulation::families(j))
            .chain(circuit::families(j));
        // What could not be read of a section may have said what all its readings are of.
        let is_read = |section: usize| {
            let test = j.case.visit.tests.get(section);
            test.is_none_or(|test| !test.misread)
        };
        let families = families.map(|mut family| {
            family.items.retain(|item| is_read(item.section));
            family
        });
        let mut curves = held::all(j, findings);
        curves.retain(|held| is_read(held.now.test));
        Self {
            families: families.filter(|family| !family.items.is_empty()).collect(),
            curves,
        }
    }

    /// Whether anything in it asks for a cause.
    pub fn is_off(&self) -> bool {
        let families = self.families.iter().any(Family::is_off);
        families || self.curves.iter().any(Held::is_off)
    }

    /// Takes out what a cause explains.
    pub fn explain(&mut self, named: &Hypothesis) {
        for (at, shift) in &named.shifts {
            let items = self.families.get_mut(*at).map(|family| &mut family.items);
            for (item, shift) in items.into_iter().flatten().zip(shift) {
                item.away -= shift;
            }
        }
        for (at, _) in &named.curves {
            if let Some(curve) = self.curves.get_mut(*at) {
                curve.explain();
            }
        }
    }

    /// How much likelier than nothing a cause has to be.
    pub fn least(&self, one: &Hypothesis) -> f64 {
        // What is no fault need not be more than likely.
        if one.grade < Grade::Review {
            return TIE;
        }
        let curves = one.curves.iter();
        let curves = curves.filter_map(|(at, _)| Some(self.curves.get(*at)?.least()));
        match one.shifts.is_empty() {
            true => curves.reduce(f64::min).unwrap_or(NAMED),
            false => NAMED,
        }
    }

    /// The families of a quantity, with their places.
    pub fn families_of(&self, of: Of) -> impl Iterator<Item = (usize, &Family)> {
        let all = self.families.iter().enumerate();
        all.filter(move |(_, family)| family.of == of)
    }
}

impl Family {
    /// How unlikely the items are, in natural logarithms, where `shift` is expected of each.
    pub fn cost(&self, shift: &[f64]) -> f64 {
        self.best(shift).0
    }

    /// The same, with what all of them share then.
    fn best(&self, shift: &[f64]) -> (f64, f64) {
        if self.shared <= 0.0 {
            let each = self.items.iter().enumerate();
            let shift = |at: usize| shift.get(at).copied().unwrap_or(0.0);
            return (each.map(|(at, item)| item.cost(shift(at))).sum(), 0.0);
        }
        let left = |(item, shift): (&Item, f64)| (item.away - shift, item.u);
        let shifts = shift.iter().copied().chain(std::iter::repeat(0.0));
        let left: Vec<(f64, f64)> = self.items.iter().zip(shifts).map(left).collect();
        let of = |common: f64| {
            let each = left.iter().map(|(away, u)| cost(away - common, *u));
            let z = common / self.shared;
            (each.sum::<f64>() + 0.5 * z * z, common)
        };
        // What all share is the mean of those that agree; which agree is tried from each of them.
        let starts = std::iter::once(0.0).chain(left.iter().map(|(away, _)| *away));
        let best = starts.map(|start| {
            let agree = left
                .iter()
                .filter(|(away, u)| (away - start).abs() < 5.0 * u);
            let weight = |u: f64| 1.0 / (u * u);
            let (sum, all) = agree.fold((0.0, weight(self.shared)), |(sum, all), (away, u)| {
                (sum + away * weight(*u), all + weight(*u))
            });
            of(sum / all)
        });
        let less = |one: (f64, f64), other: (f64, f64)| if other.0 < one.0 { other } else { one };
        best.fold(of(0.0), less)
    }

    /// How much less unlikely each item is by `shift`, in natural logarithms, what all of them share with it taken off.
    /// What is left alone speaks only where it stands off.
    pub fn weights(&self, shift: &[f64]) -> Vec<f64> {
        let (_, common) = self.best(shift);
        let shifts = shift.iter().copied().chain(std::iter::repeat(0.0));
        let items = self.items.iter().zip(shifts);
        let weights = items.map(|(item, shift)| match shift == 0.0 {
            true => -item.cost(common),
            false => item.cost(common) - item.cost(shift + common),
        });
        weights.collect()
    }

    /// How unlikely the items are that `shift` does not move, and how many of them are off.
    pub fn left_alone(&self, shift: &[f64]) -> (f64, usize) {
        let shifts = shift.iter().copied().chain(std::iter::repeat(0.0));
        let items = self.items.iter().zip(shifts);
        let alone = items.filter(|(_, shift)| *shift == 0.0);
        let alone = Self {
            items: alone.map(|(item, _)| item.clone()).collect(),
            ..*self
        };
        let off = alone.items.iter();
        let off = off.filter(|item| item.cost(0.0) > WORTH_A_LOOK);
        (alone.cost(&[]), off.count())
    }

    /// Whether it is held against a visit on site, which may have been wired the same.
    pub fn is_of_a_visit(&self) -> bool {
        self.items
            .iter()
            .any(|item| matches!(item.by, By::Visit(_)))
    }

    /// Whether shifts explain anything of it.
    pub fn is_helped_by(&self, shift: &[f64]) -> bool {
        self.cost(shift) < self.cost(&[])
    }

    /// Whether it holds anything that a cause could explain.
    pub fn is_off(&self) -> bool {
        self.cost(&[]) > WORTH_A_LOOK
    }
}

impl Item {
    /// How unlikely it is by itself where `shift` is expected of it.
    pub fn cost(&self, shift: f64) -> f64 {
        let away = self.away - shift;
        match self.by {
            By::Limit => cost(away.max(0.0), self.u).min(OF_A_LIMIT),
            _ => cost(away, self.u),
        }
    }
}
