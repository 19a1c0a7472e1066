//! A visit being derived, and how its readings become the first steps of the ledger.
//!
//! What the instrument's limits of error make (share of reading, share of range, floor) is taken as
//! wholly shared between its readings with one function and range: it is the same error of the same
//! circuit. The last digit is each reading's own. (GUM 5.2 leaves the split to judgement; this is its
//! usual reading.)

use super::case::Case;
use super::component::Component;
use super::kinds::Derived;
use super::label::Label;
use super::outcome::Outcome;
use super::workings::{Origin, Unserved, Value, Workings};
use crate::ground::number::Bound;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::{Given, Span};
use crate::record::instruments::Instrument;
use crate::record::kinds::Test;
use crate::record::readings::Measure;
use crate::record::schema::FoundBy;
use crate::standards::threshold;
use crate::trade::Pair;
use std::ops::Deref;

/// The circuit of a second instrument input: the voltmeter at the primary, the ammeter in the primary.
/// Its error is shared among the readings of that circuit only: in a ratio of two circuits it must
/// not cancel.
pub(super) const SECOND: &str = "second circuit";

/// One visit being derived: what may be looked at, what earlier kinds gave, and the ledger.
pub(super) struct Deriving<'a> {
    pub case: Case<'a>,
    pub derived: &'a Derived,
    pub w: &'a mut Workings,
}

impl<'a> Deref for Deriving<'a> {
    type Target = Case<'a>;

    fn deref(&self) -> &Case<'a> {
        &self.case
    }
}

impl Deriving<'_> {
    /// Enters a reading of a test. Without a known instrument it has no parts, so that nothing that
    /// rests on it claims an uncertainty.
    pub fn read(
        &mut self,
        test: &Test,
        measure: Measure,
        what: impl Into<Label>,
        reading: &Reading,
    ) -> Value {
        self.read_on(test, (measure, ""), what, reading)
    }

    /// The same of what was written, where it is a value and no bound.
    pub fn read_exact(
        &mut self,
        test: &Test,
        measure: Measure,
        what: impl Into<Label>,
        given: &Given<Quantity>,
    ) -> Option<Value> {
        exact(given).map(|reading| self.read(test, measure, what, reading))
    }

    /// The same of what may be a bound.
    pub fn read_sided(
        &mut self,
        test: &Test,
        measure: Measure,
        what: impl Into<Label>,
        reading: &Reading,
    ) -> Outcome {
        let value = self.read(test, measure, what, reading);
        match reading.value.bound {
            Bound::Exact => Outcome::Known(value),
            Bound::MoreThan => Outcome::AtLeast(value),
            Bound::LessThan => Outcome::AtMost(value),
        }
    }

    /// Enters a reading of one of several measuring circuits of the same kind.
    pub fn read_on(
        &mut self,
        test: &Test,
        (measure, circuit): (Measure, &'static str),
        what: impl Into<Label>,
        reading: &Reading,
    ) -> Value {
        let (of, Reading { value, span }): (Label, Reading) = (what.into(), *reading);
        let origin = Origin::Reading { span };
        let entered = self
            .w
            .enter(of.clone(), value.unit.dimension.si(), value.si, origin);
        self.w.written_to(entered, value.resolution);
        let Some(instrument) = self.case.instrument(test) else {
            return entered;
        };
        let Some(function) = instrument.accuracy(measure, test.kind.name(), value.si) else {
            let named = [&test.instrument, &self.visit.instrument];
            self.unserved(test, named, instrument, measure);
            return entered;
        };
        // JCGM 100:2008, 4.3.7: share, floor and digits make one limit of error, a sum. What the digits add to
        // it is the reading's own part; without stated digits it is the rounding to the last written one.
        let common = function.limit_of_error(value.si);
        let whole = common + function.digits * value.resolution;
        let digit = match function.digits > 0.0 {
            true => function.standard(((whole + common) * (whole - common)).sqrt()),
            false => value.resolution / 12f64.sqrt(),
        };
        let range = Component::Range {
            instrument: instrument.id.clone(),
            measure: function.measures,
            up_to: function.to,
            circuit,
        };
        self.w.add_part(entered, range, function.standard(common));
        let last_digit = Component::LastDigit { of, at: span };
        self.w.add_part(entered, last_digit, digit);
        entered
    }

    /// Keeps what an instrument reads without a function for it; one that states no limit of error is one. `named` is
    /// who names it: the test, else the visit.
    pub fn unserved(
        &mut self,
        test: &Test,
        named: [&Given<String>; 2],
        instrument: &Instrument,
        measure: Measure,
    ) {
        let kind = test.kind.name();
        let named = named.into_iter().find_map(Given::get);
        let served = instrument.functions_for(measure, kind).next().is_some();
        if let Some(named) = named.filter(|_| !served) {
            self.w.unserved_by(Unserved {
                test: test.span,
                kind,
                named: named.span,
                instrument: instrument.id.clone(),
                measure,
            });
        }
    }

    /// Enters the temperature that a test states: beside what is written of it, the limits of error of
    /// the thermometer, where the instrument of the test measures temperature.
    pub fn stated_temperature(
        &mut self,
        test: &Test,
        what: &'static str,
        stated: &Reading,
    ) -> Value {
        let by = self.temperature_by(test);
        let entered = self.temperature_of(what, stated, by);
        let (measure, at) = (Measure::Temperature, stated.value.si);
        let Some(instrument) = self.case.instrument(test) else {
            return entered;
        };
        if let Some(function) = instrument.accuracy(measure, test.kind.name(), at) {
            let range = Component::Range {
                instrument: instrument.id.clone(),
                measure,
                up_to: function.to,
                circuit: "",
            };
            // The digits written are the stated part's own; what the thermometer shows is not on record.
            let u = function.standard(function.limit_of_error(at));
            self.w.add_part(entered, range, u);
        }
        entered
    }

    /// Enters a temperature that stands for a winding's: where no half-width is written with it, what the way
    /// in which it was found leaves open is a part of its uncertainty.
    pub fn temperature_of(
        &mut self,
        what: &'static str,
        stated: &Reading,
        by: Option<FoundBy>,
    ) -> Value {
        let entered = self.w.stated(what, stated);
        let open = by.and_then(FoundBy::practice).and_then(threshold);
        if let Some(off) = open.filter(|_| stated.value.half_width.is_none()) {
            let (of, at) = (Label::from("how the temperature was found"), stated.span);
            let u = off.limit / 3f64.sqrt();
            self.w.add_part(entered, Component::Stated { of, at }, u);
        }
        entered
    }

    /// The turns of a pair by the plate.
    pub fn turns_of(&mut self, pair: Pair) -> Option<Value> {
        let core = self.core(pair)?;
        let turns = self.turns(pair).filter(|turns| *turns > 0.0)?;
        let what = format!("turns of {}", self.record.pair_text(pair));
        Some(self.w.number(what, "", turns, core.span))
    }

    /// Rated frequency, hertz.
    pub fn rated_frequency(&mut self) -> Option<Value> {
        let rated = self.record.plate.frequency.get()?;
        (rated.value.si > 0.0).then(|| self.w.plate("rated frequency", rated))
    }

    /// Rated secondary current of a pair, ampere.
    pub fn isr(&mut self, pair: Pair) -> Option<Value> {
        let core = self.core(pair)?;
        let isr = self.rated_secondary(pair).filter(|isr| *isr > 0.0)?;
        let tap = core.tap(pair.from, pair.to);
        let span = tap.and_then(|tap| tap.ratio.span()).or(core.ratio.span());
        let span = span.unwrap_or(core.span);
        Some(self.w.number("rated secondary current", "A", isr, span))
    }
}

/// What was written, where it is a value and no bound.
pub(super) fn exact(given: &Given<Quantity>) -> Option<&Reading> {
    given.get().filter(|reading| reading.value.is_exact())
}

/// The first of several readings that could not be read.
pub(super) fn unreadable<const N: usize>(given: [&Given<Quantity>; N]) -> Option<Span> {
    given.into_iter().find_map(Given::unreadable)
}

/// Where several things were written, as far as they were.
pub(super) fn written<const N: usize>(spans: [Option<Span>; N]) -> Vec<Span> {
    spans.into_iter().flatten().collect()
}
