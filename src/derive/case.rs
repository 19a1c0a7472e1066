//! What a derivation may look at: one visit of one record, with the instruments and criteria of the
//! job, and the few plate facts that several tests share.

use crate::ground::quantity::Reading;
use crate::record::Record;
use crate::record::core::Core;
use crate::record::criteria::Criteria;
use crate::record::instruments::{Instrument, Instruments};
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::trade::Pair;

/// One visit in its surroundings.
#[derive(Clone, Copy)]
pub struct Case<'a> {
    pub record: &'a Record,
    pub visit: &'a Visit,
    /// Index of the visit in the record.
    pub index: usize,
    pub instruments: Option<&'a Instruments>,
    pub criteria: &'a Criteria,
}

impl<'a> Case<'a> {
    /// Every visit of a record, in its order.
    pub fn each(
        record: &'a Record,
        instruments: Option<&'a Instruments>,
        criteria: &'a Criteria,
    ) -> impl Iterator<Item = Self> {
        let visits = record.visits.iter().enumerate();
        visits.map(move |(index, visit)| Self {
            record,
            visit,
            index,
            instruments,
            criteria,
        })
    }

    /// The core of a pair.
    pub fn core(&self, pair: Pair) -> Option<&'a Core> {
        self.record.cores.get(pair.core)
    }

    /// The instrument of a test: its own, else the visit's.
    pub fn instrument(&self, test: &Test) -> Option<&'a Instrument> {
        let id = test.instrument.value().or(self.visit.instrument.value())?;
        self.instruments?.find(id)
    }

    /// The reference standard of a test: its own, else the visit's.
    pub fn reference(&self, test: &Test) -> Option<&'a Instrument> {
        let id = test.reference.value().or(self.visit.reference.value())?;
        self.instruments?.find(id)
    }

    /// The winding's temperature in a test: its own, else the visit's winding temperature, else the air's.
    pub fn temperature(&self, test: &'a Test) -> Option<&'a Reading> {
        test.temperature
            .get()
            .or(self.visit.winding_temperature.get())
            .or(self.visit.ambient.get())
    }

    /// Times the primary passes the window: the visit's, else the plate's, else one.
    pub fn passes(&self) -> f64 {
        let written = self
            .visit
            .passes
            .value()
            .or(self.record.plate.passes.value());
        written
            .copied()
            .filter(|passes| *passes >= 1.0)
            .unwrap_or(1.0)
    }

    /// Turns of the primary winding; one unless the plate says more.
    pub fn primary_turns(&self) -> f64 {
        self.record
            .plate
            .primary_turns
            .value()
            .copied()
            .filter(|turns| *turns >= 1.0)
            .unwrap_or(1.0)
    }

    /// By how much the position of the primary links changes the plate's ratio: 1 where the plate has
    /// no links or the visit does not state their position.
    pub fn link_factor(&self, core: &Core) -> f64 {
        let position = self.visit.links.value();
        let Some(full) = core.full_ratio() else {
            return 1.0;
        };
        let link = self
            .record
            .plate
            .links
            .iter()
            .find(|link| Some(&link.value.0) == position);
        link.map_or(1.0, |link| link.value.1.value() / full.value())
    }

    /// Nominal ratio of primary to secondary current of a pair as connected at this visit, passes and
    /// links included.
    pub fn ratio(&self, pair: Pair) -> Option<f64> {
        let core = self.core(pair)?;
        let pair = pair.ascending();
        Some(core.nominal_ratio(pair.from, pair.to)? * self.link_factor(core) / self.passes())
    }

    /// Rated secondary current of a pair, ampere.
    pub fn rated_secondary(&self, pair: Pair) -> Option<f64> {
        let core = self.core(pair)?;
        let own = core
            .tap(pair.from, pair.to)
            .and_then(|tap| tap.ratio.value())
            .map(|ratio| ratio.secondary);
        own.or_else(|| core.rated_secondary())
    }

    /// Rated primary current of a pair as connected, ampere.
    pub fn rated_primary(&self, pair: Pair) -> Option<f64> {
        Some(self.ratio(pair)? * self.rated_secondary(pair)?)
    }

    /// Secondary turns between two terminals by the plate: nominal ratio times primary turns.
    pub fn turns(&self, pair: Pair) -> Option<f64> {
        let core = self.core(pair)?;
        let ascending = pair.ascending();
        let nominal = core.nominal_ratio(ascending.from, ascending.to)?;
        let full = core.nominal_ratio(0, core.last_mark());
        match (core.turns.value(), full) {
            (Some(turns), Some(full)) if full > 0.0 => Some(turns * nominal / full),
            _ => Some(nominal * self.primary_turns()),
        }
    }

    /// The whole winding of a core.
    pub fn full(&self, core: usize) -> Option<Pair> {
        self.record.cores.get(core).map(|known| Pair {
            core,
            from: 0,
            to: known.last_mark(),
        })
    }
}
