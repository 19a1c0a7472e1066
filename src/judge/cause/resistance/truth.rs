//! From what a cause makes of single readings to what it makes of all that they are held against.

use super::families::{sections, sound};
use crate::derive::kinds::resistance::Winding;
use crate::ground::median::median;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Family, Item, Of};
use crate::judge::cause::hypothesis::Hypothesis;
use crate::trade::Pair;
use std::collections::BTreeMap;

/// What windings are held against.
const RESISTED: [Of; 4] = [
    Of::Resistance,
    Of::ResistanceLimit,
    Of::ResistanceSum,
    Of::ResistanceRepeated,
];

/// What a cause adds to the items of each family, by the place of the family.
pub(in crate::judge::cause) type Shifts = Vec<(usize, Vec<f64>)>;

/// Holds causes against the families of resistance of one visit.
pub(in crate::judge::cause) struct Bench<'a> {
    pub j: &'a Judging<'a>,
    pub evidence: &'a Evidence<'a>,
    /// Windings that the families hold.
    pub windings: Vec<&'a Winding>,
    /// All windings that were read, by test and pair.
    at: BTreeMap<(usize, Pair), &'a Winding>,
    /// What each of them is held against, with the place of its family.
    items: BTreeMap<(usize, Pair), Vec<(usize, &'a Item)>>,
    /// The sections of each whole that was read with them, by test and pair.
    sections: BTreeMap<(usize, Pair), Vec<&'a Winding>>,
}

impl<'a> Bench<'a> {
    pub fn new(j: &'a Judging<'a>, evidence: &'a Evidence<'a>) -> Self {
        let windings: Vec<&Winding> = sound(j.derived).collect();
        let at = j.derived.resistance.iter().map(|one| (place(one), one));
        let at = at.collect::<BTreeMap<_, _>>();
        let wholes = evidence.families_of(Of::ResistanceSum);
        let wholes = wholes.flat_map(|(_, family)| &family.items);
        let sections = wholes.filter_map(|item| {
            let whole = at.get(&(item.section, item.pair))?;
            Some((place(whole), sections(windings.iter().copied(), whole)))
        });
        let sections = sections.collect();
        let mut items: BTreeMap<_, Vec<(usize, &Item)>> = BTreeMap::new();
        for (at, family) in evidence.families_of(Of::Resistance) {
            for item in &family.items {
                let own = items.entry((item.section, item.pair)).or_default();
                own.push((at, item));
            }
        }
        Self {
            j,
            evidence,
            windings,
            at,
            items,
            sections,
        }
    }

    /// Families that hold windings against something, with their places.
    pub fn families(&self) -> impl Iterator<Item = (usize, &Family)> {
        self.evidence.families_of(Of::Resistance)
    }

    /// All items of a winding, with the place of their family.
    pub fn items(&self, winding: &Winding) -> impl Iterator<Item = (usize, &Item)> {
        let own = self.items.get(&place(winding)).into_iter().flatten();
        own.copied()
    }

    /// The winding that an item is of.
    pub fn winding(&self, item: &Item) -> Option<&'a Winding> {
        self.at.get(&(item.section, item.pair)).copied()
    }

    /// The sections that an item of a sum holds a whole against.
    pub fn sections_of(&self, item: &Item) -> &[&'a Winding] {
        let own = self.sections.get(&(item.section, item.pair));
        own.map_or(&[], Vec::as_slice)
    }

    /// What a cause adds to all families, by what each reading, given without the leads that are taken off, would
    /// have been without it. `None` where a reading would have been nothing.
    pub fn shifts(
        &self,
        holds: impl Fn(usize, &Family) -> bool,
        truth: impl Fn(&Winding, usize, f64) -> f64,
    ) -> Option<Shifts> {
        let net = |winding: &Winding, at: usize| {
            let read = winding.each.get(at)?.si - leads(winding);
            Some(truth(winding, at, read))
        };
        let times = |winding: &Winding| {
            let range = winding.settling.judged(winding.each.len());
            let count = range.len() as f64;
            let sum: f64 = range.filter_map(|at| net(winding, at)).sum();
            winding.cold.si * count / sum
        };
        let shift = |family: &Family, item: &Item| match family.of {
            Of::ResistanceRepeated => {
                let winding = self.winding(item)?;
                let at = winding
                    .readings
                    .iter()
                    .position(|at| item.at.first() == Some(at))?;
                let truly = net(winding, at)? + leads(winding);
                Some(libm::log(winding.each.get(at)?.si / truly))
            }
            Of::ResistanceSum => {
                let whole = self.winding(item)?;
                let sections = self.sections_of(item);
                let now: f64 = sections.iter().map(|one| one.cold.si).sum();
                let then: f64 = sections.iter().map(|one| one.cold.si / times(one)).sum();
                Some(libm::log(times(whole) * then / now))
            }
            Of::Resistance | Of::ResistanceLimit => Some(libm::log(times(self.winding(item)?))),
            _ => Some(0.0),
        };
        let mut all = Vec::new();
        for (at, family) in self.evidence.families.iter().enumerate() {
            if !RESISTED.contains(&family.of) || !holds(at, family) {
                continue;
            }
            let shifts: Option<Vec<f64>> = family
                .items
                .iter()
                .map(|item| shift(family, item).filter(|shift| shift.is_finite()))
                .collect();
            let mut shifts = shifts?;
            if family.of == Of::ResistanceRepeated {
                // What they are held against is one of them, and moves with them.
                let usual = median(&mut shifts.clone()).unwrap_or_default();
                for shift in &mut shifts {
                    *shift -= usual;
                }
            }
            if shifts.iter().any(|shift| shift.abs() > 1e-9) {
                all.push((at, shifts));
            }
        }
        Some(all)
    }

    /// How much less unlikely shifts make the evidence, in natural logarithms.
    pub fn gain(&self, shifts: &Shifts) -> f64 {
        let each = shifts.iter().filter_map(|(at, shift)| {
            let family = self.evidence.families.get(*at)?;
            Some(family.cost(&[]) - family.cost(shift))
        });
        each.sum()
    }

    /// The size that explains most, started from some that single items ask for: with its shifts and its price.
    pub fn sized(
        &self,
        starts: impl IntoIterator<Item = f64>,
        price: impl Fn(f64) -> f64,
        shifts: impl Fn(f64) -> Option<Shifts>,
    ) -> Option<Sized> {
        let at = |size: f64| {
            let shifts = shifts(size).filter(|_| size > 0.0 && size.is_finite())?;
            let price = price(size);
            Some(Sized {
                size,
                gain: self.gain(&shifts) - price,
                price,
                shifts,
            })
        };
        let better = |a: Sized, b: Sized| if b.gain > a.gain { b } else { a };
        let mut best = starts.into_iter().filter_map(at).reduce(better)?;
        for step in [0.3, 0.1, 0.03, 0.01] {
            for size in [best.size * (1.0 - step), best.size * (1.0 + step)] {
                if let Some(one) = at(size) {
                    best = better(best, one);
                }
            }
        }
        Some(best)
    }
}

/// A size with what it explains.
pub(in crate::judge::cause) struct Sized {
    pub size: f64,
    pub gain: f64,
    pub price: f64,
    pub shifts: Shifts,
}

/// What is taken off the readings of a winding for its leads, ohm.
pub(in crate::judge::cause) fn leads(winding: &Winding) -> f64 {
    winding.leads.map_or(0.0, |leads| leads.si)
}

/// Where a winding was read, by test and pair.
fn place(winding: &Winding) -> (usize, Pair) {
    (winding.test, winding.pair)
}

/// A cause with its shifts.
pub(in crate::judge::cause) fn shifted(made: Hypothesis, shifts: Shifts) -> Hypothesis {
    let all = shifts.into_iter();
    all.fold(made, |made, (at, shift)| made.shift(at, shift))
}
