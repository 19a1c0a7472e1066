//! A path that is closed over a part of a winding while a pair of the same winding is driven. What is driven makes up
//! for the ampere-turns of the path; where both run through the same copper they run against each other. Balance of
//! ampere-turns and of voltages round both circuits, the windings taken to be linked by all of the flux.

use super::evidence::{Evidence, Item, Of};
use super::hypothesis::Hypothesis;
use crate::judge::assess::Judging;
use crate::record::core::Core;
use crate::trade::Pair;
use std::collections::BTreeMap;

/// A link with its terminals has tens of milliohms, and the least of a bare one, ohm; by how much they scatter in
/// natural logarithms. Common practice, no source.
pub(super) const USUAL_LINK: f64 = 0.03;
pub(super) const LEAST_OF_A_LINK: f64 = 0.002;
const SPREAD_OF_LINKS: f64 = 1.3;

/// What a link of so many ohm costs.
pub(super) fn of_a_link(ohm: f64) -> f64 {
    let off = libm::log(ohm / USUAL_LINK) / SPREAD_OF_LINKS;
    0.5 * off * off
}

/// A circuit is most often so much of the rated burden, and scatters by so much in natural logarithms. Common practice,
/// no source.
pub(super) const USUAL_SHARE: f64 = 0.4;
const SPREAD_OF_SHARES: f64 = 0.9;

/// What a circuit of such a share of its rated burden costs.
pub(super) fn of_a_share(share: f64) -> f64 {
    let off = libm::log(share / USUAL_SHARE) / SPREAD_OF_SHARES;
    0.5 * off * off
}

/// A path over a part of a winding beside the pair of it that is driven.
#[derive(Clone, Copy, Debug)]
pub(super) struct Path {
    /// Turns of the part over those of the driven pair.
    pub share: f64,
    /// Copper of the path, less what the driven current carries it by, ohm.
    pub copper: f64,
    /// Copper of the driven pair, and of what both have in common, ohm.
    driven: f64,
    common: f64,
}

impl Path {
    pub fn of(j: &Judging<'_>, pair: Pair, part: Pair) -> Option<Self> {
        let share = (j.case.turns(part)? / j.case.turns(pair)?).abs();
        let (from, to) = (pair.from.max(part.from), pair.to.min(part.to));
        let common = match from < to {
            true => ohm_of(j, Pair { from, to, ..pair })?,
            false => 0.0,
        };
        let usable = share > 0.0 && share.is_finite();
        usable.then_some(Self {
            share,
            copper: (ohm_of(j, part)? - share * common).max(0.0),
            driven: ohm_of(j, pair)?,
            common,
        })
    }

    /// By which share the voltage of the driven pair stands above its e.m.f., with so many ohm beside the copper.
    pub fn drop(&self, ohm: f64) -> f64 {
        self.share * (self.share * self.driven - self.common) / (ohm + self.copper)
    }
}

/// What a path over one part of a core does to each of its ratios by voltage.
pub(super) struct Drops(BTreeMap<Pair, Path>);

impl Drops {
    /// Of all ratios of the core that the part is one of.
    pub fn of(j: &Judging<'_>, evidence: &Evidence<'_>, part: Pair) -> Self {
        let items = evidence.families_of(Of::Turns);
        let items = items.flat_map(|(_, family)| &family.items);
        // A section that was read beside the driven pair is not driven.
        let is_driven = |item: &Item| {
            let mut turns = j.derived.ratio.turns.iter();
            let own = turns.find(|one| one.readings.first() == item.at.first());
            own.is_some_and(|one| one.per_turn.is_some())
        };
        let own = items.filter(|item| item.pair.core == part.core && is_driven(item));
        let paths = own.filter_map(|item| {
            let path = Path::of(j, item.pair.ascending(), part)?;
            Some((item.pair, path))
        });
        Self(paths.collect())
    }

    /// By how much a ratio reads high with so many ohm beside the copper, as ln.
    pub fn by(&self, item: &Item, ohm: f64) -> f64 {
        let drop = self.0.get(&item.pair).map_or(0.0, |path| path.drop(ohm));
        if drop > -1.0 { libm::log1p(drop) } else { 0.0 }
    }

    /// A cause that moves them, where they look moved.
    pub fn moved(&self, evidence: &Evidence<'_>, made: Hypothesis, ohm: f64) -> Hypothesis {
        let families = evidence.families_of(Of::Turns);
        families.fold(made, |made, (at, family)| {
            let shift: Vec<f64> = family.items.iter().map(|item| self.by(item, ohm)).collect();
            match family.is_helped_by(&shift) {
                true => made.shift(at, shift),
                false => made,
            }
        })
    }
}

/// All pairs of a core, the lower end first.
pub(super) fn pairs(core: &Core, of: Pair) -> impl Iterator<Item = Pair> {
    let last = core.last_mark();
    (0..=last).flat_map(move |from| (from + 1..=last).map(move |to| Pair { from, to, ..of }))
}

/// Resistance of a pair as it was tested, else by what the plate says of the whole winding at 75 °C.
pub(super) fn ohm_of(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    let stated = || {
        let core = j.case.core(pair)?;
        let whole = core.resistance.value().map(|stated| stated.value.si)?;
        let turns = core.nominal_ratio(pair.from, pair.to)?;
        let share = turns / core.nominal_ratio(0, core.last_mark())?;
        Some(COLD * share * whole)
    };
    let mut windings = j.derived.resistance.iter();
    let tested = windings.find(|one| one.pair.ascending() == pair);
    tested.map(|one| one.cold.si).or_else(stated)
}

/// Copper at 20 °C beside 75 °C: (234.5 + 20)/(234.5 + 75).
const COLD: f64 = 0.82;
