//! The ledger of steps: at once the trace of every derived value and the chain rule for its
//! uncertainty.
//!
//! A step keeps its value, where it comes from, and the local derivative to each input; a reading
//! keeps signed standard-uncertainty parts by component. Parts of one component add as signed
//! numbers, different components as squares (JCGM 100:2008, 5.1.2 and 5.2.2, with the correlation
//! carried by shared components instead of a covariance matrix).

use super::component::Component;
use super::formula::{About, Formula};
use super::label::Label;
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::record::readings::Measure;
use crate::standards::Cited;
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::OnceLock;

/// The number of a step in its [`Workings`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct StepId(pub u32);

/// A number in SI units, and the step it came from. Good only with the workings that made it.
#[derive(Clone, Copy, Debug)]
pub struct Value {
    /// The number, in the SI unit of its step.
    pub si: f64,
    /// Where it came from.
    pub step: StepId,
}

/// A component in a ledger: by its number among the shared ones, or among those of one value alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum ComponentId {
    Shared(u32),
    Own(u32),
}

/// Where the value of a step comes from.
#[derive(Clone, Debug)]
pub enum Origin {
    /// A measured value, where it stands in the record.
    Reading { span: Span },
    /// A value of the rating plate, where it stands in the record; taken as exact.
    Plate { span: Span },
    /// A constant and who says so; taken as exact.
    Constant { source: Cow<'static, str> },
    /// A constant of the tables of limits; taken as exact.
    Row(Cited),
    /// A value stated in the record that is neither a reading nor on the plate, as a temperature.
    Given { span: Span },
    /// Computed by a formula.
    Formula(&'static About),
    /// Computed from a free number of inputs (interpolation, mean, root).
    Curve {
        /// How, in words or as a formula.
        text: Cow<'static, str>,
        /// Published source of the method.
        source: &'static str,
    },
}

impl Origin {
    /// Where in the record the value stands that was entered.
    #[must_use]
    pub fn place(&self) -> Option<Span> {
        match self {
            Self::Reading { span } | Self::Plate { span } | Self::Given { span } => Some(*span),
            Self::Constant { .. } | Self::Row(_) | Self::Formula(_) | Self::Curve { .. } => None,
        }
    }
}

/// One step of the workings.
#[derive(Clone, Debug)]
pub struct Step {
    /// What it is, in words: "voltage, row 3".
    pub what: Label,
    /// SI unit.
    pub unit: &'static str,
    /// The value, in that unit.
    pub value: f64,
    /// Where it comes from.
    pub origin: Origin,
    inputs: Range<usize>,
    /// Signed standard uncertainties by component, in its SI unit.
    parts: Vec<(ComponentId, f64)>,
    /// One step of the last written digit of a reading, in its SI unit.
    digit: Option<f64>,
    /// Worked out when it is first asked for: a page asks for that of one value many times.
    spread: OnceLock<Box<Spread>>,
}

impl Step {
    /// Adds what its parts make of a value that rests on it.
    fn add_to(&self, sums: &mut Sums<ComponentId>, sensitivity: f64) {
        for (component, u) in &self.parts {
            sums.add(*component, sensitivity * u);
        }
    }
}

/// How far a value may be off, by its uncertainty and by the digits that its readings were written to.
#[derive(Clone, Copy, Debug)]
struct Spread {
    uncertainty: Uncertainty,
    digit: Option<f64>,
}

/// A combined standard uncertainty.
#[derive(Clone, Copy, Debug)]
pub struct Uncertainty {
    /// Combined standard uncertainty, in the SI unit of the value. Expanded: k times this.
    pub u: f64,
    /// Whether every reading that the value rests on states an uncertainty, and at least one part
    /// exists; otherwise `u` is a lower bound at best.
    pub known: bool,
    /// Effective degrees of freedom by the formula of Welch and Satterthwaite (JCGM 100:2008, G.4.1);
    /// infinite where no scatter of readings is a part.
    pub freedom: f64,
}

impl Uncertainty {
    /// Of what is no step of the ledger.
    const UNKNOWN: Self = Self {
        u: 0.0,
        known: false,
        freedom: f64::INFINITY,
    };

    /// With one more part, independent of all others, of its own degrees of freedom.
    #[must_use]
    pub fn with(self, u: f64, freedom: f64) -> Self {
        let all = libm::hypot(self.u, u);
        if !(all > 0.0 && all.is_finite()) {
            return self;
        }
        let fourth = |x: f64| x * x * x * x;
        let spent = fourth(self.u / all) / self.freedom + fourth(u / all) / freedom;
        Self {
            u: all,
            freedom: if spent > 0.0 {
                1.0 / spent
            } else {
                f64::INFINITY
            },
            ..self
        }
    }
}

/// One line of an uncertainty budget.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetRow {
    pub component: Component,
    /// Signed contribution to the value, in its SI unit.
    pub contribution: f64,
}

/// A quantity that a test reads with an instrument that states no function for it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unserved {
    /// Where the section of the test begins.
    pub test: Span,
    /// The name of its kind.
    pub kind: &'static str,
    /// Where the instrument is named.
    pub named: Span,
    /// Its mark in `instruments.toml`.
    pub instrument: String,
    pub measure: Measure,
}

/// The ledger of one record.
#[derive(Clone, Debug, Default)]
pub struct Workings {
    steps: Vec<Step>,
    inputs: Vec<(StepId, f64)>,
    shared: Vec<Component>,
    own: Vec<Component>,
    unserved: BTreeSet<Unserved>,
}

impl Workings {
    /// An empty ledger.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// An empty ledger with room for what is usually made of so many readings, so that it seldom has to move.
    #[must_use]
    pub fn with_room(readings: usize) -> Self {
        Self {
            steps: Vec::with_capacity(2 * readings),
            inputs: Vec::with_capacity(4 * readings),
            own: Vec::with_capacity(readings),
            ..Self::default()
        }
    }

    /// Enters a value that is not computed: a reading, a plate value, a constant, a stated one.
    pub fn enter(
        &mut self,
        what: impl Into<Label>,
        unit: &'static str,
        si: f64,
        origin: Origin,
    ) -> Value {
        self.push(what.into(), unit, si, origin, &[])
    }

    /// Enters a plate value, taken as exact.
    pub fn plate(&mut self, what: impl Into<Label>, value: &Reading) -> Value {
        let Reading { value, span } = *value;
        self.number(what, value.unit.dimension.si(), value.si, span)
    }

    /// Enters a number of the plate (turns, a factor, a rated current), taken as exact.
    pub fn number(
        &mut self,
        what: impl Into<Label>,
        unit: &'static str,
        value: f64,
        span: Span,
    ) -> Value {
        self.enter(what, unit, value, Origin::Plate { span })
    }

    /// Enters a constant, taken as exact.
    pub fn constant(
        &mut self,
        what: impl Into<Label>,
        unit: &'static str,
        value: f64,
        source: impl Into<Cow<'static, str>>,
    ) -> Value {
        let source = source.into();
        self.enter(what, unit, value, Origin::Constant { source })
    }

    /// Enters a constant of a standard's table, taken as exact.
    pub fn cited(
        &mut self,
        what: impl Into<Label>,
        unit: &'static str,
        value: f64,
        cited: &Cited,
    ) -> Value {
        self.enter(what, unit, value, Origin::Row(cited.clone()))
    }

    /// Enters a value that the record states beside the readings (a temperature): its half-width if one
    /// is written, else only its last digit.
    pub fn stated(&mut self, what: impl Into<Label>, reading: &Reading) -> Value {
        let (of, Reading { value, span }): (Label, Reading) = (what.into(), *reading);
        let half = value.half_width.unwrap_or(value.resolution / 2.0);
        let origin = Origin::Given { span };
        let entered = self.enter(of.clone(), value.unit.dimension.si(), value.si, origin);
        let component = Component::Stated { of, at: span };
        self.add_part(entered, component, half / 3f64.sqrt());
        entered
    }

    /// Computes `f`; `None` when the result or a derivative is not finite, or an input is from
    /// elsewhere.
    pub fn step<const N: usize>(
        &mut self,
        f: &'static Formula<N>,
        inputs: [Value; N],
    ) -> Option<Value> {
        self.step_as(f.about.what, f, inputs)
    }

    /// The same under a name of its own, where it says more than the formula's.
    pub fn step_as<const N: usize>(
        &mut self,
        what: &'static str,
        f: &'static Formula<N>,
        inputs: [Value; N],
    ) -> Option<Value> {
        let out = f.at(inputs.map(|input| input.si))?;
        let mut slopes = out.d.into_iter();
        let links = inputs.map(|input| (input, slopes.next().unwrap_or(0.0)));
        self.check(&links)?;
        let origin = Origin::Formula(&f.about);
        Some(self.push(what.into(), f.about.unit, out.v, origin, &links))
    }

    /// Enters a value computed elsewhere from `inputs`, each with its local derivative; `None`
    /// when a number is not finite or an input is from elsewhere. Inputs named twice are summed.
    pub fn many(
        &mut self,
        what: impl Into<Label>,
        unit: &'static str,
        text: impl Into<Cow<'static, str>>,
        source: &'static str,
        value: f64,
        inputs: &[(Value, f64)],
    ) -> Option<Value> {
        self.check(inputs)?;
        if !value.is_finite() {
            return None;
        }
        let mut links: Vec<(Value, f64)> = Vec::with_capacity(inputs.len());
        for (input, slope) in inputs {
            match links.iter_mut().find(|(known, _)| known.step == input.step) {
                Some((_, sum)) => *sum += slope,
                None => links.push((*input, *slope)),
            }
        }
        let text = text.into();
        let origin = Origin::Curve { text, source };
        Some(self.push(what.into(), unit, value, origin, &links))
    }

    /// Adds `u`, a signed standard uncertainty in the SI unit of the value. Equal components that are
    /// shared are the same one; any other is of this value alone. What is not finite, or of an unknown
    /// step, is left out.
    pub fn add_part(&mut self, value: Value, component: Component, u: f64) {
        if self.step_at(value.step).is_none() || !u.is_finite() {
            return;
        }
        let id = if component.is_shared() {
            let known = self.shared.iter().position(|known| *known == component);
            ComponentId::Shared(index32(known.unwrap_or_else(|| {
                self.shared.push(component);
                self.shared.len() - 1
            })))
        } else {
            self.own.push(component);
            ComponentId::Own(index32(self.own.len() - 1))
        };
        if let Some(step) = self.steps.get_mut(value.step.0 as usize) {
            step.parts.push((id, u));
        }
        self.forget_spread(value.step);
    }

    /// A quantity was read without any function for it; each is kept once.
    pub fn unserved_by(&mut self, one: Unserved) {
        self.unserved.insert(one);
    }

    /// The quantities that were read without any function for them, in the order of their tests.
    #[must_use]
    pub fn unserved(&self) -> &BTreeSet<Unserved> {
        &self.unserved
    }

    /// A reading was written to steps of `digit`, in its SI unit.
    pub fn written_to(&mut self, value: Value, digit: f64) {
        let step = self.steps.get_mut(value.step.0 as usize);
        if let Some(step) = step.filter(|_| digit.is_finite() && digit > 0.0) {
            step.digit = Some(digit);
            self.forget_spread(value.step);
        }
    }

    /// What rests on a step that has changed is worked out anew. Nearly always it is the last one.
    fn forget_spread(&mut self, from: StepId) {
        for step in self.steps.iter_mut().skip(from.0 as usize) {
            step.spread.take();
        }
    }

    /// What a step of the last written digits of its readings makes of a value, in its SI unit; `None`
    /// where it rests on no reading.
    #[must_use]
    pub fn digit(&self, v: Value) -> Option<f64> {
        self.spread(v)?.digit
    }

    /// Combined standard uncertainty of `v` from all parts below it.
    #[must_use]
    pub fn uncertainty(&self, v: Value) -> Uncertainty {
        self.spread(v)
            .map_or(Uncertainty::UNKNOWN, |spread| spread.uncertainty)
    }

    /// Combined standard uncertainty of what rests on some values, each with its local derivative, and is no
    /// step itself: what several values share counts once.
    #[must_use]
    pub fn combined(&self, links: &[(Value, f64)]) -> Uncertainty {
        if self.check(links).is_none() {
            return Uncertainty::UNKNOWN;
        }
        let links = links.iter().map(|(value, slope)| (value.step, *slope));
        self.spread_of(links).uncertainty
    }

    /// What each component contributes to the uncertainty of `v`, shared components first.
    #[must_use]
    pub fn budget(&self, v: Value) -> Vec<BudgetRow> {
        let mut sums = Sums::default();
        for (id, sensitivity) in self.sensitivities([(v.step, 1.0)]) {
            if let Some(step) = self.step_at(id) {
                step.add_to(&mut sums, sensitivity);
            }
        }
        let row = |(id, contribution)| {
            let component = self.component(id)?.clone();
            Some(BudgetRow {
                component,
                contribution,
            })
        };
        let sums = sums.0.into_iter();
        let finite = sums.filter(|(_, contribution): &(_, f64)| contribution.is_finite());
        finite.filter_map(row).collect()
    }

    fn spread(&self, v: Value) -> Option<&Spread> {
        let step = self.step_at(v.step)?;
        let own = || Box::new(self.spread_of([(v.step, 1.0)]));
        Some(step.spread.get_or_init(own))
    }

    fn spread_of(&self, tops: impl IntoIterator<Item = (StepId, f64)>) -> Spread {
        let mut sums = Sums::default();
        let (mut stated, mut digit) = (true, 0.0);
        for (id, sensitivity) in self.sensitivities(tops) {
            let Some(step) = self.step_at(id) else {
                continue;
            };
            let measured = matches!(step.origin, Origin::Reading { .. });
            step.add_to(&mut sums, sensitivity);
            stated &= !(measured && step.parts.is_empty());
            if let Some(own) = step.digit {
                digit = libm::hypot(digit, sensitivity * own);
            }
        }
        let parts = sums.0.iter().map(|(_, part)| *part);
        let u = parts.fold(0.0, libm::hypot);
        let finite = u.is_finite();
        Spread {
            uncertainty: Uncertainty {
                u: if finite { u } else { 0.0 },
                known: finite && stated && !sums.0.is_empty(),
                freedom: self.freedom(u, &sums),
            },
            digit: Some(digit).filter(|digit| digit.is_finite() && *digit > 0.0),
        }
    }

    /// Effective degrees of freedom of `u` from its components (JCGM 100:2008, G.2b).
    fn freedom(&self, u: f64, sums: &Sums<ComponentId>) -> f64 {
        let fourth = |x: f64| x * x * x * x;
        let spent = |(id, part): &(ComponentId, f64)| {
            let of = self
                .component(*id)
                .map_or(f64::INFINITY, Component::freedom);
            // As shares of the whole, so that small numbers keep their digits.
            fourth(part / u) / of
        };
        let all: f64 = sums.0.iter().map(spent).sum();
        if all > 0.0 { 1.0 / all } else { f64::INFINITY }
    }

    /// The steps that step `id` was computed from, each with its local derivative.
    pub fn inputs_of(&self, id: StepId) -> impl Iterator<Item = (StepId, f64)> + '_ {
        let range = self.step_at(id).map_or(0..0, |step| step.inputs.clone());
        self.inputs.get(range).unwrap_or(&[]).iter().copied()
    }

    /// The step, if there is one of this number.
    #[must_use]
    pub fn step_at(&self, id: StepId) -> Option<&Step> {
        self.steps.get(id.0 as usize)
    }

    /// What was entered from the record, with where it is written.
    pub fn entered(&self) -> impl Iterator<Item = (Span, Value)> {
        let steps = (0..).map(StepId).zip(&self.steps);
        steps.filter_map(|(id, step)| {
            let value = Value {
                si: step.value,
                step: id,
            };
            Some((step.origin.place()?, value))
        })
    }

    /// The steps that some values rest on, themselves among them, each once.
    pub fn below(&self, values: impl IntoIterator<Item = Value>) -> impl Iterator<Item = &Step> {
        let mut open: BTreeSet<StepId> = values.into_iter().map(|value| value.step).collect();
        // An input is always an earlier step.
        std::iter::from_fn(move || {
            let id = open.pop_last()?;
            open.extend(self.inputs_of(id).map(|(input, _)| input));
            Some(id)
        })
        .filter_map(|id| self.step_at(id))
    }

    /// The values that were entered from some place of the record.
    #[must_use]
    pub fn entered_at(&self, area: Span) -> BTreeSet<StepId> {
        let here = |step: &Step| step.origin.place().is_some_and(|at| at.meets(area));
        let steps = (0..).map(StepId).zip(&self.steps);
        steps
            .filter(|(_, step)| here(step))
            .map(|(id, _)| id)
            .collect()
    }

    /// The steps that rest on some others, these not among them.
    #[must_use]
    pub fn above(&self, below: &BTreeSet<StepId>) -> BTreeSet<StepId> {
        let mut above = BTreeSet::new();
        // An input is always an earlier step.
        let first = below.first().map_or(0, |first| first.0 as usize);
        for (id, _) in (0..).map(StepId).zip(&self.steps).skip(first) {
            let rests = |(input, _)| below.contains(&input) || above.contains(&input);
            if !below.contains(&id) && self.inputs_of(id).any(rests) {
                above.insert(id);
            }
        }
        above
    }

    /// What some steps alone make of the uncertainty of `v`, as if all else that it rests on were exact.
    #[must_use]
    pub fn uncertainty_by(&self, v: Value, steps: &BTreeSet<StepId>) -> Uncertainty {
        let all = self.sensitivities([(v.step, 1.0)]);
        let own = all.filter(|(id, _)| steps.contains(id));
        self.spread_of(own.collect::<Vec<_>>()).uncertainty
    }

    /// The steps that `v` rests on, itself last, each once, in order of computation.
    #[must_use]
    pub fn trace(&self, v: Value) -> Vec<StepId> {
        let all = self.sensitivities([(v.step, 1.0)]);
        let mut ids: Vec<StepId> = all.map(|(id, _)| id).collect();
        ids.reverse();
        ids
    }

    fn component(&self, id: ComponentId) -> Option<&Component> {
        match id {
            ComponentId::Shared(at) => self.shared.get(at as usize),
            ComponentId::Own(at) => self.own.get(at as usize),
        }
    }

    /// Every step below some steps, latest first, with the derivative to it of what rests on these, each with
    /// its own derivative.
    fn sensitivities(
        &self,
        tops: impl IntoIterator<Item = (StepId, f64)>,
    ) -> impl Iterator<Item = (StepId, f64)> + '_ {
        let mut open: Sums<StepId> = Sums::default();
        for (top, slope) in tops {
            if self.step_at(top).is_some() {
                open.add(top, slope);
            }
        }
        // An input is always an earlier step, so the latest open step is complete.
        std::iter::from_fn(move || {
            let (id, sensitivity) = open.0.pop()?;
            for (input, slope) in self.inputs_of(id) {
                open.add(input, sensitivity * slope);
            }
            Some((id, sensitivity))
        })
    }

    fn check(&self, inputs: &[(Value, f64)]) -> Option<()> {
        let sound =
            |(value, slope): &(Value, f64)| self.step_at(value.step).is_some() && slope.is_finite();
        inputs.iter().all(sound).then_some(())
    }

    fn push(
        &mut self,
        what: Label,
        unit: &'static str,
        value: f64,
        origin: Origin,
        links: &[(Value, f64)],
    ) -> Value {
        let step = StepId(index32(self.steps.len()));
        let start = self.inputs.len();
        self.inputs
            .extend(links.iter().map(|(input, slope)| (input.step, *slope)));
        self.steps.push(Step {
            what,
            unit,
            value,
            origin,
            inputs: start..self.inputs.len(),
            parts: Vec::new(),
            digit: None,
            spread: OnceLock::new(),
        });
        Value { si: value, step }
    }
}

/// Sums by their keys, in the order of these; a few at a time.
#[derive(Debug)]
struct Sums<K>(Vec<(K, f64)>);

impl<K> Default for Sums<K> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<K: Copy + Ord> Sums<K> {
    fn add(&mut self, key: K, part: f64) {
        let place = self.0.binary_search_by_key(&key, |(known, _)| *known);
        let at = place.unwrap_or_else(|at| {
            self.0.insert(at, (key, 0.0));
            at
        });
        if let Some((_, sum)) = self.0.get_mut(at) {
            *sum += part;
        }
    }
}

/// Records are capped in size, so a ledger never comes near this bound.
fn index32(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests;
