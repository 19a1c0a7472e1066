//! One value at several visits: its change from one to another, and the straight line through more of them.
//! What the readings share, as the limit of error of one instrument, is in them all and moves neither.

use super::formula::{Formula, Symbol, formulas, symbol};
use super::workings::{Uncertainty, Value, Workings};
use crate::standards::threshold;

const A: Symbol = symbol("a", "", "earlier value");
const B: Symbol = symbol("b", "", "later value");
/// How the uncertainty comes about.
const SOURCE: &str =
    "uncertainty: JCGM 100:2008, 5.1.2 and 5.2.2, with what both visits share counted once";

formulas! {
    static DIFFERENCE = "change-difference", "change between two visits, of an error or an angle":
        "b - a" ("") of [A, B], |[a, b]| b - a, SOURCE;

    pub static PERCENT = "change-percent", "change in per cent of the earlier value, or of the other one that it is held against":
        "100*(b/a - 1)" ("%") of [A, B], |[a, b]| 100.0 * (b / a - 1.0), SOURCE;

    static TIMES = "change-times", "logarithm of how many times the earlier insulation resistance it is":
        "ln(b/a)" ("") of [A, B], |[a, b]| (b / a).ln(), SOURCE;
}

/// By what a change is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The difference, in the value's own unit: of errors and angles, which may be zero.
    Difference,
    /// Per cent of the earlier value.
    Percent,
    /// How many times the earlier value, kept as its logarithm: of insulation, which moves by multiples.
    Times,
}

impl By {
    fn formula(self) -> &'static Formula<2> {
        match self {
            Self::Difference => &DIFFERENCE,
            Self::Percent => &PERCENT,
            Self::Times => &TIMES,
        }
    }

    /// The change from one value to a later one, with its uncertainty; `None` where it is no finite number.
    #[must_use]
    pub fn change(self, w: &Workings, earlier: Value, later: Value) -> Option<(f64, Uncertainty)> {
        let found = self.formula().at([earlier.si, later.si])?;
        let [a, b] = found.d;
        Some((found.v, self.spread(w, &[(earlier, a), (later, b)])))
    }

    /// The measure that a line is laid through, and its derivative to the value: the logarithm of
    /// insulation, else the value itself.
    fn measure(self, value: f64) -> (f64, f64) {
        match self {
            Self::Times => (libm::log(value), 1.0 / value),
            Self::Difference | Self::Percent => (value, 1.0),
        }
    }

    /// A value in that measure.
    #[must_use]
    pub fn measured(self, value: f64) -> f64 {
        self.measure(value).0
    }

    /// The value of that measure.
    #[must_use]
    pub fn valued(self, measure: f64) -> f64 {
        match self {
            Self::Times => libm::exp(measure),
            Self::Difference | Self::Percent => measure,
        }
    }

    /// What rests on some values by these derivatives. A reading of insulation spreads beyond what the tester's
    /// uncertainty holds: so far that two of them show no change up to the multiple of the tables, at k = 2.
    fn spread(self, w: &Workings, links: &[(Value, f64)]) -> Uncertainty {
        let ledger = w.combined(links);
        let row = threshold("insulation-spread").filter(|_| self == Self::Times);
        let own = row.map_or(0.0, |row| {
            libm::log(row.limit) / (2.0 * core::f64::consts::SQRT_2)
        });
        let share = |(value, slope): &(Value, f64)| own * slope * value.si;
        let spread = links.iter().map(share).fold(0.0, libm::hypot);
        ledger.with(spread, f64::INFINITY)
    }

    /// The straight line through values at their times, and the uncertainty of its slope; times in years. `None`
    /// for fewer than three, for equal times, or where an uncertainty is not known.
    #[must_use]
    pub fn line(self, w: &Workings, values: &[(f64, Value)]) -> Option<(Line, Uncertainty)> {
        let links = |shares: &[f64]| -> Vec<(Value, f64)> {
            let all = values.iter().zip(shares);
            all.map(|((_, value), share)| (*value, share * self.measure(value.si).1))
                .collect()
        };
        let mut points = Vec::with_capacity(values.len());
        for (at, (year, value)) in values.iter().enumerate() {
            let mut alone = vec![0.0; values.len()];
            if let Some(one) = alone.get_mut(at) {
                *one = 1.0;
            }
            let spread = self.spread(w, &links(&alone));
            points.push(Point {
                year: *year,
                y: self.measured(value.si),
                u: Some(spread.u).filter(|_| spread.known)?,
            });
        }
        let line = Line::through(&points)?;
        let slope = line.spread(&points, |shares| self.spread(w, &links(shares)));
        slope.known.then_some((line, slope))
    }
}

/// A measure at its time, with its standard uncertainty.
#[derive(Clone, Copy, Debug)]
pub struct Point {
    pub year: f64,
    pub y: f64,
    pub u: f64,
}

/// A straight line by weighted least squares.
#[derive(Clone, Debug)]
pub struct Line {
    /// The weighted means of time and measure; the line goes through them.
    pub middle: (f64, f64),
    /// A year.
    pub slope: f64,
    /// Derivative of the slope to the measure of each point.
    pub shares: Vec<f64>,
    weights: Vec<f64>,
    /// Sum of the weighted squares of the times about their mean.
    moment: f64,
}

impl Line {
    /// Through three points or more, each by the inverse square of its uncertainty (P. R. Bevington and D. K.
    /// Robinson, Data Reduction and Error Analysis, chapter 6, from memory).
    #[must_use]
    pub fn through(points: &[Point]) -> Option<Self> {
        // As shares of the best one, so that small numbers keep their digits.
        let least = points.iter().map(|one| one.u).fold(f64::INFINITY, f64::min);
        if points.len() < 3 || !(least > 0.0 && least.is_finite()) {
            return None;
        }
        let weight = |one: &Point| (least / one.u) * (least / one.u);
        let relative: Vec<f64> = points.iter().map(weight).collect();
        let all: f64 = relative.iter().sum();
        let mean = |of: fn(&Point) -> f64| {
            let parts = points.iter().zip(&relative);
            parts.map(|(one, weight)| weight * of(one)).sum::<f64>() / all
        };
        let middle = (mean(|one| one.year), mean(|one| one.y));
        let parts = || points.iter().zip(&relative);
        let squares = parts().map(|(one, weight)| {
            let away = one.year - middle.0;
            weight * away * away
        });
        let moment: f64 = squares.sum();
        if moment.is_nan() || moment <= 0.0 {
            return None;
        }
        let share = |(one, weight): (&Point, &f64)| weight * (one.year - middle.0) / moment;
        let shares: Vec<f64> = parts().map(share).collect();
        let rises = points.iter().zip(&shares);
        let slope: f64 = rises.map(|(one, share)| share * (one.y - middle.1)).sum();
        let scale = 1.0 / (least * least);
        let found = Self {
            middle,
            slope,
            shares,
            weights: relative.iter().map(|weight| weight * scale).collect(),
            moment: moment * scale,
        };
        (found.slope.is_finite() && found.moment.is_finite()).then_some(found)
    }

    /// How far the measure of a point lies off the line, and the derivative of that to the measure of each.
    fn residual(&self, points: &[Point], at: usize) -> (f64, Vec<f64>) {
        let all: f64 = self.weights.iter().sum();
        let Some(one) = points.get(at) else {
            return (0.0, Vec::new());
        };
        let away = one.year - self.middle.0;
        let off = one.y - self.middle.1 - self.slope * away;
        let parts = self.weights.iter().zip(&self.shares).enumerate();
        let slope = |(of, (weight, share)): (usize, (&f64, &f64))| {
            f64::from(u8::from(of == at)) - weight / all - share * away
        };
        (off, parts.map(slope).collect())
    }

    /// The uncertainty of the slope: what the points' own make of it, and what they scatter about the line beyond
    /// these, with two degrees of freedom fewer than points. `spread` tells what rests on the points by
    /// derivatives to each.
    #[must_use]
    pub fn spread(&self, points: &[Point], spread: impl Fn(&[f64]) -> Uncertainty) -> Uncertainty {
        let (mut found, mut expected) = (0.0, 0.0);
        for (at, weight) in self.weights.iter().enumerate() {
            let (off, links) = self.residual(points, at);
            let own = spread(&links).u;
            found += weight * off * off;
            expected += weight * own * own;
        }
        let freedom = points.len().saturating_sub(2) as f64;
        let beyond = ((found - expected) / freedom / self.moment).max(0.0).sqrt();
        spread(&self.shares).with(beyond, freedom)
    }

    /// Its measure at a time.
    #[must_use]
    pub fn at(&self, year: f64) -> f64 {
        self.middle.1 + self.slope * (year - self.middle.0)
    }

    /// When it is at a measure, by another slope through its middle.
    #[must_use]
    pub fn reaches(&self, y: f64, slope: f64) -> f64 {
        self.middle.0 + (y - self.middle.1) / slope
    }
}

#[cfg(test)]
mod tests;
