//! A formula as data: the text that is printed, its symbols, and the code that computes it.
//!
//! The derivative appears in no formula: the code runs on `Num`. That text and code are the same
//! is proven by a test over every formula of the crate (`tests/formulas`).

use super::num::{Num, constant, seed};

/// One letter of a formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// As it stands in the text: "R".
    pub name: &'static str,
    /// SI unit word: "ohm".
    pub unit: &'static str,
    /// What it is, in words: "winding resistance as measured".
    pub what: &'static str,
}

/// Makes a [`Symbol`].
#[must_use]
pub const fn symbol(name: &'static str, unit: &'static str, what: &'static str) -> Symbol {
    Symbol { name, unit, what }
}

/// What a formula is.
#[derive(Debug)]
pub struct About {
    /// Stable identifier in kebab case, unique in the crate.
    pub name: &'static str,
    /// What it gives, in words: "winding resistance at 75 °C".
    pub what: &'static str,
    /// The formula as printed: `R*(75 + k)/(t + k)`.
    pub text: &'static str,
    /// SI unit of the result.
    pub unit: &'static str,
    /// The symbols, in the order of the inputs.
    pub symbols: &'static [Symbol],
    /// Published source, or what stands in for one.
    pub source: &'static str,
}

/// A formula of `N` inputs, in SI units throughout.
#[derive(Debug)]
pub struct Formula<const N: usize> {
    pub about: About,
    /// The code.
    pub compute: fn([Num<N>; N]) -> Num<N>,
}

/// The formulas that one module declares.
pub struct Formulas {
    /// Path of the module, as `module_path!` gives it.
    pub module: &'static str,
    pub list: &'static [&'static dyn AnyFormula],
}

/// Declares the formulas of a module, each as a [`Formula`], and their list `FORMULAS`:
///
/// ```text
/// static NAME = "stable-name", "what it gives":
///     "text as printed" ("unit") of [symbols], |[inputs]| code, "source";
/// ```
macro_rules! formulas {
    ($($vis:vis static $id:ident = $name:literal, $what:literal:
        $text:literal ($unit:literal) of [$($symbol:expr),* $(,)?], $compute:expr, $source:expr;)*) => {
        $($vis static $id: $crate::derive::formula::Formula<{ [$(stringify!($symbol)),*].len() }> =
            $crate::derive::formula::Formula {
                about: $crate::derive::formula::About {
                    name: $name,
                    what: $what,
                    text: $text,
                    unit: $unit,
                    symbols: &[$($symbol),*],
                    source: $source,
                },
                compute: $compute,
            };)*

        /// The formulas of this module.
        pub(in crate::derive) static FORMULAS: $crate::derive::formula::Formulas =
            $crate::derive::formula::Formulas {
                module: module_path!(),
                list: &[$(&$id),*],
            };
    };
}
pub(in crate::derive) use formulas;

/// A formula whose number of inputs is known at run time only.
pub trait AnyFormula: Sync {
    /// What it is.
    fn about(&self) -> &About;
    /// The result; `None` when the number of inputs is wrong or the result is not finite.
    fn value(&self, inputs: &[f64]) -> Option<f64>;
    /// Partial derivative to each input; `None` as for `value`, or when one is not finite.
    fn derivatives(&self, inputs: &[f64]) -> Option<Vec<f64>>;
}

impl<const N: usize> Formula<N> {
    /// Value and derivatives at `inputs`; `None` when any of them is not finite.
    #[must_use]
    pub fn at(&self, inputs: [f64; N]) -> Option<Num<N>> {
        let mut places = 0..;
        let seeded = inputs.map(|v| seed(v, places.next().unwrap_or(N)));
        let out = (self.compute)(seeded);
        out.is_finite().then_some(out)
    }
}

impl<const N: usize> AnyFormula for Formula<N> {
    fn about(&self) -> &About {
        &self.about
    }
    fn value(&self, inputs: &[f64]) -> Option<f64> {
        let inputs: [f64; N] = inputs.try_into().ok()?;
        let out = (self.compute)(inputs.map(constant)).v;
        out.is_finite().then_some(out)
    }
    fn derivatives(&self, inputs: &[f64]) -> Option<Vec<f64>> {
        let inputs: [f64; N] = inputs.try_into().ok()?;
        self.at(inputs).map(|out| out.d.to_vec())
    }
}
