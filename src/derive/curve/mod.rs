//! An excitation curve: readings of voltage and current, joined by a monotone cubic in
//! (ln V, ln I). Nothing is read off it outside its first and last reading.
#![allow(
    clippy::indexing_slicing,
    reason = "a curve has two points at least and every interval index is held to its range"
)]

use super::num::{Num, constant, seed};
use super::pchip::{self, Piece};
use super::root::{at_root, solve};
use super::workings::{Value, Workings};
use std::ops::Range;

/// Printed beside every value read off a curve.
pub const METHOD: &str = "monotone cubic in ln V and ln I (Fritsch and Butland 1984)";

/// One reading of the curve.
#[derive(Clone, Copy, Debug)]
pub struct Point {
    /// Voltage, volt.
    pub v: Value,
    /// Current, ampere.
    pub i: Value,
    /// Index of the reading in the list that the curve was made from.
    pub at: usize,
}

/// Something about the readings that a reader should know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CurveFlaw {
    /// Index of the reading in the list given.
    pub at: usize,
    /// What is the matter.
    pub kind: FlawKind,
}

/// What can be the matter with a reading of a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlawKind {
    /// Voltage or current is zero or negative: left out, a logarithm needs both positive.
    NotPositive,
    /// The same voltage as an earlier reading: left out.
    DuplicateVoltage,
    /// The voltage turned back here in the order of reading: hysteresis may join two branches.
    TurnsBack,
    /// The current is the same as at the next lower voltage.
    Level,
    /// The current is less than at the next lower voltage.
    StepsBack,
}

/// The curve through its readings, lowest voltage first.
#[derive(Clone, Debug)]
pub struct Curve {
    points: Vec<Point>,
    x: Vec<f64>,
    y: Vec<f64>,
    d: Vec<f64>,
}

impl Curve {
    /// Makes a curve of (voltage, current) readings, taken rising or falling, and says what is
    /// the matter with them. No curve when fewer than two readings are usable.
    #[must_use]
    pub fn new(readings: &[(Value, Value)]) -> (Option<Self>, Vec<CurveFlaw>) {
        let mut flaws = Vec::new();
        let points = usable(readings, &mut flaws);
        let x: Vec<f64> = points.iter().map(|p| libm::log(p.v.si)).collect();
        let y: Vec<f64> = points.iter().map(|p| libm::log(p.i.si)).collect();
        let enough = points.len() >= 2;
        let curve = enough.then(|| {
            let d = knot_slopes(&x, &y);
            Self { points, x, y, d }
        });
        (curve, flaws)
    }

    /// The curve at the same voltages with other currents, by voltage and current, ampere, all of them positive.
    #[must_use]
    pub fn with_currents(&self, of: impl Fn(f64, f64) -> f64) -> Self {
        let mut points = self.points.clone();
        for point in &mut points {
            point.i.si = of(point.v.si, point.i.si);
        }
        let y: Vec<f64> = points.iter().map(|p| libm::log(p.i.si)).collect();
        let x = self.x.clone();
        let d = knot_slopes(&x, &y);
        Self { points, x, y, d }
    }

    /// The readings used, lowest voltage first.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The reading of the lowest voltage.
    #[must_use]
    pub fn first(&self) -> Point {
        self.points[0]
    }

    /// The reading of the highest voltage.
    #[must_use]
    pub fn last(&self) -> Point {
        self.points[self.points.len() - 1]
    }

    /// Current in ampere at `v` volt; `None` outside the readings.
    #[must_use]
    pub fn current_at(&self, v: f64) -> Option<f64> {
        Some(libm::exp(self.log_current(self.place(v)?)))
    }

    /// Slope d(ln V)/d(ln I) at `v` volt; `None` outside the readings or where the current is
    /// level. Knees are found on the pieces themselves; this is the curve's own slope that they and the
    /// independent interpolation are held against in the tests.
    #[must_use]
    pub fn slope_at(&self, v: f64) -> Option<f64> {
        let slope = 1.0 / self.log_slope(self.place(v)?);
        slope.is_finite().then_some(slope)
    }

    /// Voltage in volt at which the curve last rises through `i` ampere; `None` outside the
    /// readings.
    #[must_use]
    pub fn voltage_at(&self, i: f64) -> Option<f64> {
        self.log_voltage(i).map(|(_, x)| libm::exp(x))
    }

    /// Current at voltage `v` as a step of the workings, with its sensitivities to `v` and to the
    /// readings that the interpolation touches.
    pub fn current_value(&self, w: &mut Workings, v: Value) -> Option<Value> {
        let k = self.interval(self.place(v.si)?);
        let out = self.local::<9>(k, 0).at(seed(v.si, 8).ln()).exp();
        self.read_off(w, ("exciting current", "A"), k, v, out)
    }

    /// Voltage at current `i` as a step of the workings; see [`Self::voltage_at`].
    pub fn voltage_value(&self, w: &mut Workings, i: Value) -> Option<Value> {
        let (k, x) = self.log_voltage(i.si)?;
        let slope = self.plain(k).slope(constant(x)).v;
        let piece = self.local::<9>(k, 0);
        let ln_i = seed(i.si, 8).ln();
        let out = at_root(x, slope, |x| piece.at(x) - ln_i)?.exp();
        self.read_off(w, ("voltage at this exciting current", "V"), k, i, out)
    }

    /// Enters what was read off interval `k` at `at`, which is number 8 of `out`.
    fn read_off(
        &self,
        w: &mut Workings,
        (what, unit): (&'static str, &'static str),
        k: usize,
        at: Value,
        out: Num<9>,
    ) -> Option<Value> {
        let mut inputs = self.touched(k, 0, &out);
        inputs.push((at, out.d[8]));
        w.many(what, unit, METHOD, METHOD_SOURCE, out.v, &inputs)
    }

    /// ln V of the first and last reading.
    pub(super) fn log_range(&self) -> (f64, f64) {
        (self.x[0], self.x[self.x.len() - 1])
    }

    /// ln V of every reading.
    pub(super) fn log_voltages(&self) -> &[f64] {
        &self.x
    }

    /// ln I of every reading.
    pub(super) fn log_currents(&self) -> &[f64] {
        &self.y
    }

    /// ln I at `x` = ln V within the readings.
    pub(super) fn log_current(&self, x: f64) -> f64 {
        self.plain(self.interval(x)).at(constant(x)).v
    }

    /// d(ln I)/d(ln V) at `x` = ln V within the readings.
    pub(super) fn log_slope(&self, x: f64) -> f64 {
        self.plain(self.interval(x)).slope(constant(x)).v
    }

    /// Second derivative of ln I to ln V at `x` = ln V within the readings.
    pub(super) fn log_bend(&self, x: f64) -> f64 {
        self.plain(self.interval(x)).bend(constant(x)).v
    }

    /// The interval that holds `x` = ln V: it runs from reading `k` to `k + 1`.
    pub(super) fn interval(&self, x: f64) -> usize {
        let after = self.x.partition_point(|knot| *knot <= x);
        after.saturating_sub(1).min(self.x.len() - 2)
    }

    /// The interval as a cubic with derivatives to the readings it touches: voltage and current
    /// of each in turn, from number `offset` on (eight numbers at most).
    pub(super) fn local<const N: usize>(&self, k: usize, offset: usize) -> Piece<N> {
        let window = self.window(k);
        let near = k - window.start;
        let points = self.points[window].iter().enumerate();
        let (x, y): (Vec<Num<N>>, Vec<Num<N>>) = points
            .map(|(j, point)| {
                let v = seed::<N>(point.v.si, offset + 2 * j);
                let i = seed::<N>(point.i.si, offset + 2 * j + 1);
                (v.ln(), i.ln())
            })
            .unzip();
        Piece {
            x0: x[near],
            h: x[near + 1] - x[near],
            y: [y[near], y[near + 1]],
            d: [knot_slope(&x, &y, near), knot_slope(&x, &y, near + 1)],
        }
    }

    /// The readings that [`Self::local`] touches, with the derivatives of `out` to them.
    pub(super) fn touched<const N: usize>(
        &self,
        k: usize,
        offset: usize,
        out: &Num<N>,
    ) -> Vec<(Value, f64)> {
        let slopes = out.d.get(offset..).unwrap_or(&[]).chunks_exact(2);
        let points = self.points[self.window(k)].iter();
        let pairs = points.zip(slopes);
        pairs
            .flat_map(|(p, slope)| [(p.v, slope[0]), (p.i, slope[1])])
            .collect()
    }

    fn window(&self, k: usize) -> Range<usize> {
        k.saturating_sub(1)..(k + 3).min(self.points.len())
    }

    fn plain(&self, k: usize) -> Piece<0> {
        let pair = |list: &[f64]| [constant(list[k]), constant(list[k + 1])];
        Piece {
            x0: constant(self.x[k]),
            h: constant(self.x[k + 1] - self.x[k]),
            y: pair(&self.y),
            d: pair(&self.d),
        }
    }

    /// ln v, held to the range of the readings against rounding; `None` outside.
    fn place(&self, v: f64) -> Option<f64> {
        let within = v >= self.first().v.si && v <= self.last().v.si;
        let (low, high) = self.log_range();
        within.then(|| libm::log(v).clamp(low, high))
    }

    /// Interval and ln V where the curve last rises through `i` ampere.
    fn log_voltage(&self, i: f64) -> Option<(usize, f64)> {
        if !(i > 0.0 && i <= self.last().i.si) {
            return None;
        }
        let y = libm::log(i);
        let below = self.y[..self.y.len() - 1]
            .iter()
            .rposition(|knot| *knot <= y);
        let k = below?;
        let piece = self.plain(k);
        if y >= self.y[k + 1] {
            return Some((k, self.x[k + 1]));
        }
        let x = solve(self.x[k], self.x[k + 1], |x| {
            Some(piece.at(constant(x)).v - y)
        })?;
        Some((k, x))
    }
}

const METHOD_SOURCE: &str = "F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984)";

/// The usable readings in order of voltage.
fn usable(readings: &[(Value, Value)], flaws: &mut Vec<CurveFlaw>) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::with_capacity(readings.len());
    let mut flaw = |at, kind| flaws.push(CurveFlaw { at, kind });
    for (at, (v, i)) in readings.iter().copied().enumerate() {
        let positive = |q: Value| q.si > 0.0 && q.si.is_finite();
        if positive(v) && positive(i) {
            points.push(Point { v, i, at });
        } else {
            flaw(at, FlawKind::NotPositive);
        }
    }
    let mut way = 0.0;
    for pair in points.windows(2) {
        let step = pair[1].v.si - pair[0].v.si;
        if way * step < 0.0 {
            flaw(pair[1].at, FlawKind::TurnsBack);
        }
        if step != 0.0 {
            way = step;
        }
    }
    points.sort_by(|a, b| a.v.si.total_cmp(&b.v.si));
    // Voltages whose logarithms coincide cannot be told apart either.
    points.dedup_by(|later, kept| {
        let same = libm::log(later.v.si) <= libm::log(kept.v.si);
        if same {
            flaw(later.at, FlawKind::DuplicateVoltage);
        }
        same
    });
    for pair in points.windows(2) {
        if pair[1].i.si < pair[0].i.si {
            flaw(pair[1].at, FlawKind::StepsBack);
        } else if pair[1].i.si == pair[0].i.si {
            flaw(pair[1].at, FlawKind::Level);
        }
    }
    points
}

fn knot_slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let plain = |list: &[f64]| list.iter().map(|v| constant::<0>(*v)).collect::<Vec<_>>();
    let (x, y) = (plain(x), plain(y));
    (0..x.len()).map(|k| knot_slope(&x, &y, k).v).collect()
}

/// Slope at knot `k` of the knots given; an end of the list counts as an end of the curve.
fn knot_slope<const N: usize>(x: &[Num<N>], y: &[Num<N>], k: usize) -> Num<N> {
    let width = |j: usize| x[j + 1] - x[j];
    let chord = |j: usize| (y[j + 1] - y[j]) / width(j);
    let last = x.len() - 2;
    if last == 0 {
        chord(0)
    } else if k == 0 {
        pchip::end([width(0), width(1)], [chord(0), chord(1)])
    } else if k > last {
        let (near, far) = (last, last - 1);
        pchip::end([width(near), width(far)], [chord(near), chord(far)])
    } else {
        pchip::inner([width(k - 1), width(k)], [chord(k - 1), chord(k)])
    }
}

#[cfg(test)]
mod tests;
