//! The ledger of steps: at once the trace of every derived value and the chain rule for its
//! uncertainty.
//!
//! A step keeps its value, where it comes from, and the local derivative to each input; a reading
//! keeps signed standard-uncertainty parts by component. Parts of one component add as signed
//! numbers, different components as squares (JCGM 100:2008, 5.1.2 and 5.2.2, with the correlation
//! carried by shared components instead of a covariance matrix).

use super::formula::{AnyFormula, Formula};
use crate::ground::span::Span;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

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

/// What an uncertainty part belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Component {
    /// Shared by several readings: one per instrument, function and range, or one simultaneous
    /// observation. Index of its name.
    Shared(u32),
    /// Of one reading alone (last digit, scatter, bracketing). Index of its name.
    Own(u32),
}

/// A signed standard-uncertainty part of a value.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// What it belongs to.
    pub component: Component,
    /// Signed standard uncertainty, in the SI unit of the value.
    pub u: f64,
}

/// Where the value of a step comes from.
#[derive(Clone, Debug)]
pub enum Origin {
    /// A measured value.
    Reading {
        /// Where it stands in the record.
        span: Span,
    },
    /// A value of the rating plate, taken as exact.
    Plate {
        /// Where it stands in the record.
        span: Span,
    },
    /// A constant, taken as exact.
    Constant {
        /// Who says so.
        source: Cow<'static, str>,
    },
    /// A value stated in the record that is neither a reading nor on the plate, as a temperature.
    Given {
        /// Where it stands in the record.
        span: Span,
    },
    /// Computed by a formula.
    Formula(&'static dyn AnyFormula),
    /// Computed from a free number of inputs (interpolation, mean, root).
    Curve {
        /// The kind of computation.
        what: &'static str,
        /// How, in words or as a formula.
        text: String,
        /// Published source of the method.
        source: &'static str,
    },
}

/// One step of the workings.
#[derive(Clone, Debug)]
pub struct Step {
    /// What it is, in words: "voltage, row 3".
    pub what: String,
    /// SI unit.
    pub unit: &'static str,
    /// The value, in that unit.
    pub value: f64,
    /// Where it comes from.
    pub origin: Origin,
    inputs: Range<usize>,
}

/// A combined standard uncertainty and what it is made of.
#[derive(Clone, Debug)]
pub struct Uncertainty {
    /// Combined standard uncertainty, in the SI unit of the value. Expanded: k times this.
    pub u: f64,
    /// Whether every reading that the value rests on states an uncertainty, and at least one part
    /// exists; otherwise `u` is a lower bound at best.
    pub known: bool,
    /// What each component contributes, shared components first.
    pub budget: Vec<BudgetRow>,
}

/// One line of an uncertainty budget.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetRow {
    /// Name of the component.
    pub component: String,
    /// Signed contribution to the value, in its SI unit.
    pub contribution: f64,
}

/// The ledger of one record.
#[derive(Clone, Debug, Default)]
pub struct Workings {
    steps: Vec<Step>,
    inputs: Vec<(StepId, f64)>,
    parts: BTreeMap<StepId, Vec<Part>>,
    shared: Vec<String>,
    shared_index: BTreeMap<String, u32>,
    own: Vec<String>,
}

impl Workings {
    /// An empty ledger.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Enters a value that is not computed: a reading, a plate value, a constant, a stated one.
    pub fn reading(
        &mut self,
        what: impl Into<String>,
        unit: &'static str,
        si: f64,
        origin: Origin,
        parts: &[Part],
    ) -> Value {
        let value = self.push(what.into(), unit, si, origin, &[]);
        for part in parts {
            self.add_part(value, *part);
        }
        value
    }

    /// Computes `f`; `None` when the result or a derivative is not finite, or an input is from
    /// elsewhere.
    pub fn step<const N: usize>(
        &mut self,
        f: &'static Formula<N>,
        inputs: [Value; N],
    ) -> Option<Value> {
        let out = f.at(inputs.map(|input| input.si))?;
        let links: Vec<(Value, f64)> = inputs.into_iter().zip(out.d).collect();
        self.check(&links)?;
        Some(self.push(f.what.to_owned(), f.unit, out.v, Origin::Formula(f), &links))
    }

    /// Enters a value computed elsewhere from `inputs`, each with its local derivative; `None`
    /// when a number is not finite or an input is from elsewhere. Inputs named twice are summed.
    pub fn many(
        &mut self,
        what: String,
        unit: &'static str,
        text: String,
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
        let origin = Origin::Curve {
            what: "computed from several values",
            text,
            source,
        };
        Some(self.push(what, unit, value, origin, &links))
    }

    /// Adds uncertainty that comes from no input, as a knee's bracketing. A part that is not
    /// finite, or of an unknown step, is left out.
    pub fn add_part(&mut self, value: Value, part: Part) {
        if self.step_at(value.step).is_some() && part.u.is_finite() {
            self.parts.entry(value.step).or_default().push(part);
        }
    }

    /// The shared component of this name; the same name is the same component.
    pub fn shared(&mut self, name: String) -> Component {
        let next = index32(self.shared.len());
        let index = *self.shared_index.entry(name.clone()).or_insert(next);
        if index == next {
            self.shared.push(name);
        }
        Component::Shared(index)
    }

    /// A component of its own; the same name twice makes two.
    pub fn own(&mut self, name: String) -> Component {
        self.own.push(name);
        Component::Own(index32(self.own.len() - 1))
    }

    /// Combined standard uncertainty of `v` from all parts below it.
    #[must_use]
    pub fn uncertainty(&self, v: Value) -> Uncertainty {
        let mut sums: BTreeMap<Component, f64> = BTreeMap::new();
        let mut stated = true;
        for (id, sensitivity) in self.sensitivities(v.step) {
            let parts = self.parts_of(id);
            let measured = self
                .step_at(id)
                .is_some_and(|step| matches!(step.origin, Origin::Reading { .. }));
            stated &= !(measured && parts.is_empty());
            for part in parts {
                *sums.entry(part.component).or_default() += sensitivity * part.u;
            }
        }
        let u = sums.values().fold(0.0, |u, part| libm::hypot(u, *part));
        let finite = u.is_finite();
        Uncertainty {
            u: if finite { u } else { 0.0 },
            known: finite && stated && !sums.is_empty(),
            budget: sums
                .into_iter()
                .filter(|(_, contribution)| contribution.is_finite())
                .map(|(component, contribution)| BudgetRow {
                    component: self.component_name(component).to_owned(),
                    contribution,
                })
                .collect(),
        }
    }

    /// The steps that step `id` was computed from, each with its local derivative.
    pub fn inputs_of(&self, id: StepId) -> impl Iterator<Item = (StepId, f64)> + '_ {
        let range = self.step_at(id).map_or(0..0, |step| step.inputs.clone());
        self.inputs.get(range).unwrap_or(&[]).iter().copied()
    }

    /// The uncertainty parts entered for step `id` itself.
    #[must_use]
    pub fn parts_of(&self, id: StepId) -> &[Part] {
        self.parts.get(&id).map_or(&[], Vec::as_slice)
    }

    /// The name of a component; empty when it is from elsewhere.
    #[must_use]
    pub fn component_name(&self, component: Component) -> &str {
        let name = match component {
            Component::Shared(i) => self.shared.get(i as usize),
            Component::Own(i) => self.own.get(i as usize),
        };
        name.map_or("", String::as_str)
    }

    /// The step, if there is one of this number.
    #[must_use]
    pub fn step_at(&self, id: StepId) -> Option<&Step> {
        self.steps.get(id.0 as usize)
    }

    /// The steps that `v` rests on, itself last, each once, in order of computation.
    #[must_use]
    pub fn trace(&self, v: Value) -> Vec<StepId> {
        let mut ids: Vec<StepId> = self.sensitivities(v.step).map(|(id, _)| id).collect();
        ids.reverse();
        ids
    }

    /// Every step below `top`, latest first, with the derivative of `top` to it.
    fn sensitivities(&self, top: StepId) -> impl Iterator<Item = (StepId, f64)> + '_ {
        let mut open: BTreeMap<StepId, f64> = BTreeMap::new();
        if self.step_at(top).is_some() {
            open.insert(top, 1.0);
        }
        // An input is always an earlier step, so the latest open step is complete.
        std::iter::from_fn(move || {
            let (id, sensitivity) = open.pop_last()?;
            for (input, slope) in self.inputs_of(id) {
                *open.entry(input).or_default() += sensitivity * slope;
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
        what: String,
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
        });
        Value { si: value, step }
    }
}

/// Records are capped in size, so a ledger never comes near this bound.
fn index32(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests;
