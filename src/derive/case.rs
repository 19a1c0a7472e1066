//! What a derivation may look at: one visit of one record, with the instruments and criteria of the
//! job, and the few plate facts that several tests share.

use super::deriving::exact;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::Given;
use crate::record::Record;
use crate::record::core::Core;
use crate::record::criteria::Criteria;
use crate::record::feeder::{Feeder, Unknown};
use crate::record::inputs::Fed;
use crate::record::instruments::{Instrument, Instruments};
use crate::record::kinds::Test;
use crate::record::kinds::ratio::RatioTest;
use crate::record::phase::Phase;
use crate::record::schema::FoundBy;
use crate::record::visit::Visit;
use crate::standards::threshold;
use crate::trade::Pair;

/// One visit in its surroundings.
#[derive(Clone, Copy)]
pub struct Case<'a> {
    pub record: &'a Record,
    pub visit: &'a Visit,
    /// Index of the visit in the record.
    pub index: usize,
    /// Position of the primary links: the visit's, or a test's own.
    pub links: Option<&'a String>,
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
            links: visit.links_on_the_day(),
            instruments,
            criteria,
        })
    }

    /// As a ratio test has it, whose links may stand otherwise than the visit says.
    #[must_use]
    pub fn of_ratio(self, ratio: &'a RatioTest) -> Self {
        Self {
            links: ratio.links.value().or(self.links),
            ..self
        }
    }

    /// The position of the primary links in a test of the visit.
    pub fn links_of(&self, test: usize) -> Option<&'a String> {
        let ratio = self.visit.tests.get(test).and_then(Test::ratio);
        ratio.and_then(|ratio| ratio.links.value()).or(self.links)
    }

    /// The core of a pair.
    pub fn core(&self, pair: Pair) -> Option<&'a Core> {
        self.record.cores.get(pair.core)
    }

    /// The instrument of a test: its own, else the visit's; none whose calibration was not valid on the
    /// day, since its limits of error are not known then.
    pub fn instrument(&self, test: &Test) -> Option<&'a Instrument> {
        let id = test.instrument.value().or(self.visit.instrument.value())?;
        self.valid(id)
    }

    fn valid(&self, id: &str) -> Option<&'a Instrument> {
        let known = self.instruments?.find(id)?;
        let valid = known.valid_on(self.visit.date.value);
        (valid != Some(false)).then_some(known)
    }

    /// The reference standard of a test: its own, else the visit's.
    pub fn reference(&self, test: &Test) -> Option<&'a Instrument> {
        let id = test.reference.value().or(self.visit.reference.value())?;
        self.valid(id)
    }

    /// The winding's temperature in a test: its own, else the visit's winding temperature, else the
    /// air's. `None` also where a bound was written.
    pub fn temperature(&self, test: &'a Test) -> Option<&'a Reading> {
        let visit = self.visit;
        let written = [
            &test.temperature,
            &visit.winding_temperature,
            &visit.ambient,
        ];
        let first = written.into_iter().find(|given| given.get().is_some())?;
        exact(first)
    }

    /// How the temperature of a test was found, where the record says so; the air's stands in where none of
    /// the winding is written.
    pub fn temperature_by(&self, test: &Test) -> Option<FoundBy> {
        let own = test.temperature_by.value().copied();
        own.or_else(|| match test.temperature.is_missing() {
            true => self.visit_temperature_by(),
            false => None,
        })
    }

    /// How the temperature of the windings of the visit was found.
    pub fn visit_temperature_by(&self) -> Option<FoundBy> {
        match self.visit.winding_temperature.is_missing() {
            true => Some(FoundBy::Air),
            false => self.visit.winding_temperature_by.value().copied(),
        }
    }

    /// Times the primary passes the window: the visit's, else the plate's, else one.
    pub fn passes(&self) -> f64 {
        at_least_one(
            self.visit
                .passes
                .value()
                .or(self.record.plate.passes.value()),
        )
    }

    /// Turns of the primary winding; one unless the plate says more.
    pub fn primary_turns(&self) -> f64 {
        at_least_one(self.record.plate.primary_turns.value())
    }

    /// By how much the position of the primary links changes the plate's ratio: 1 where the plate has
    /// no links or nobody states their position.
    pub fn link_factor(&self, core: &Core) -> f64 {
        self.record.link_factor(core, self.links)
    }

    /// Nominal ratio of primary to secondary current of a pair as connected at this visit, passes and
    /// links included.
    pub fn ratio(&self, pair: Pair) -> Option<f64> {
        let core = self.core(pair)?;
        let pair = pair.ascending();
        Some(core.nominal_ratio(pair.from, pair.to)? * self.link_factor(core) / self.passes())
    }

    /// The same as seen from some inputs of a summation CT; of a CT with one primary `fed` is `None`.
    pub fn ratio_of(&self, pair: Pair, fed: Option<Fed>) -> Option<f64> {
        Some(self.ratio(pair)? * self.core(pair)?.input_factor(fed)?)
    }

    /// Rated secondary current of a pair, ampere.
    pub fn rated_secondary(&self, pair: Pair) -> Option<f64> {
        self.core(pair)?.secondary_of(pair)
    }

    /// Rated primary current of a pair as connected, ampere.
    pub fn rated_primary(&self, pair: Pair) -> Option<f64> {
        Some(self.ratio(pair)? * self.rated_secondary(pair)?)
    }

    /// The same of some inputs of a summation CT: what one is rated for; in series what gives the rated
    /// secondary current.
    pub fn rated_primary_of(&self, pair: Pair, fed: Option<Fed>) -> Option<f64> {
        match fed {
            Some(Fed::One(at)) => self.core(pair)?.inputs.get(at).map(|input| input.rated),
            Some(Fed::All) | None => Some(self.ratio_of(pair, fed)? * self.rated_secondary(pair)?),
        }
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

    /// Rated knee point e.m.f. of a pair: the tap's own, else the core's for the whole winding.
    pub fn rated_knee(&self, pair: Pair) -> Option<&'a Reading> {
        let core = self.core(pair)?;
        let own = core.tap(pair.from, pair.to).and_then(|tap| tap.knee.get());
        own.or_else(|| core.knee.get().filter(|_| core.is_full(pair)))
    }

    /// The frequency of a source and the rated one, where they differ by more than the mains wander.
    pub fn other_frequency<'f>(
        &self,
        source: &'f Given<Quantity>,
    ) -> Option<(&'f Reading, &'a Reading)> {
        let (f, rated) = (source.get()?, self.record.plate.frequency.get()?);
        let usable = f.value.si > 0.0 && rated.value.si > 0.0;
        (usable && is_other(f.value.si, rated.value.si)).then_some((f, rated))
    }

    /// The whole winding of a core.
    pub fn full(&self, core: usize) -> Option<Pair> {
        self.record.cores.get(core).map(|known| Pair {
            core,
            from: 0,
            to: known.last_mark(),
        })
    }

    /// The taps that the plate declares of a core.
    pub fn taps(&self, core: usize) -> impl Iterator<Item = Pair> + use<'a> {
        let taps = self.record.cores.get(core).map(|known| known.taps.iter());
        taps.into_iter().flatten().map(move |tap| Pair {
            core,
            from: tap.from,
            to: tap.to,
        })
    }

    /// The driven pair of a test as its head names it.
    pub fn driven(&self, test: &Test) -> Option<Pair> {
        test.pair.map(|pair| pair.value.ascending())
    }

    /// The only pair of a record with one core of two terminals.
    pub fn only_pair(&self) -> Option<Pair> {
        let only = matches!(self.record.cores.as_slice(), [only] if only.marks.len() == 2);
        only.then(|| self.full(0)).flatten()
    }

    /// The pair of a core that serves, by all that was written until this visit, with its nominal ratio as it
    /// is connected, from the primary of the main CT where one feeds this unit; or what is not known of it.
    pub fn serving(&self, core: usize) -> Result<(Pair, f64), Unknown> {
        let day = self.visit.date.value;
        self.record.overall(core, self.index + 1, day)
    }

    /// The same with its own ratio alone.
    pub fn serving_alone(&self, core: usize) -> Result<(Pair, f64), Unknown> {
        let day = self.visit.date.value;
        self.record.serving(core, self.index + 1, day)
    }

    /// The core that feeds this unit.
    pub fn feeder(&self) -> Option<&'a Feeder> {
        self.record.feeder_on(self.visit.date.value)
    }

    /// The phase that the unit stands in at this visit, where its place says so by that name.
    pub fn phase(&self) -> Option<Phase> {
        self.record.phase_on(self.visit.date.value)
    }

    /// The pair of a core that was in service.
    pub fn in_service(&self, core: usize) -> Option<Pair> {
        let found = self.record.pair_in_service(core, self.visit)?;
        Some(found.ascending())
    }
}

fn at_least_one(written: Option<&f64>) -> f64 {
    written.copied().unwrap_or(1.0).max(1.0)
}

/// Whether a frequency is another one than the rated, both in hertz.
fn is_other(f: f64, rated: f64) -> bool {
    // The limit itself is still near, although 59.4 Hz has no exact double.
    let limit = |percent: f64| percent / 100.0 * rated * (1.0 + 1e-9);
    threshold("rated-frequency-near").is_some_and(|row| (f - rated).abs() > limit(row.limit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundredth_off_is_still_the_rated_frequency() {
        for (f, rated, other) in [
            (49.5, 50.0, false),
            (50.5, 50.0, false),
            (49.4, 50.0, true),
            (50.6, 50.0, true),
            (59.4, 60.0, false),
            (60.6, 60.0, false),
            (59.3, 60.0, true),
            (60.7, 60.0, true),
        ] {
            assert_eq!(is_other(f, rated), other, "{f} of {rated} Hz");
        }
    }
}
