//! How a curve differs from an earlier one of the same pair: what each way of going wrong would make of the
//! earlier curve, and how well that fits the readings.
//!
//! On log axes the ways look different: a conductance across the winding adds a current in proportion to the
//! voltage, other turns move the curve along both axes, a voltmeter that senses otherwise or a source of another
//! frequency along one, offset flux lifts the low end, less iron lowers the bend. Physics; the shares of the loss
//! current and the scatter that is allowed for are conventions of this project.

use crate::derive::curve::Curve;
use crate::derive::workings::{Value, Workings};
use std::borrow::Cow;
use std::cell::OnceCell;

/// What an earlier curve is thought to have become.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// The same.
    Same,
    /// With a conductance across the driven pair, siemens.
    Leak(f64),
    /// That of a pair with so many times the turns.
    Turns(f64),
    /// With a voltmeter that shows so many times the voltage.
    Volts(f64),
    /// With an offset flux, which lifts its low end by so many times, and falls off to the knee with this power.
    Offset(f64, f64),
    /// With a bend at so many times the voltage.
    Bend(f64),
    /// With so many times the section of iron, and so many times what the weak field takes.
    Worn(f64, f64),
    /// With a voltmeter that shows the r.m.s. of what saturation makes of the voltage: as if the voltage across so
    /// many ohm stood in quadrature to it.
    Peaky(f64),
}

/// A shape with how far the readings lie from it.
#[derive(Clone, Copy, Debug)]
pub struct Fit {
    pub shape: Shape,
    /// Sum of squares in units of the scatter; of all readings as if they were few.
    pub misfit: f64,
}

/// The curve now, the earlier one, and what is known of both.
pub struct Pairing<'a> {
    readings: Vec<Reading>,
    earlier: Cow<'a, Curve>,
    /// ln of the knee voltage of the earlier curve.
    knee: f64,
    scatter: Scatter,
    /// The earlier curve on a grid, made when a shape is first tried: a shape asks for it thousands of times.
    grid: OnceCell<Grid>,
}

/// ln I and its slope over ln V, evenly spaced.
struct Grid {
    from: f64,
    step: f64,
    at: Vec<(f64, f64)>,
}

impl Grid {
    /// Places of the grid: a cubic between them is nearer to the curve than anybody reads.
    const PLACES: u32 = 96;

    fn of(curve: &Curve) -> Self {
        let (from, to) = curve.log_range();
        let step = (to - from) / f64::from(Self::PLACES - 1);
        let place = |k: u32| {
            let x = (from + f64::from(k) * step).min(to);
            (curve.log_current(x), finite(curve.log_slope(x)))
        };
        let at = (0..Self::PLACES).map(place).collect();
        Self { from, step, at }
    }

    /// ln I and its slope within the grid.
    fn read(&self, x: f64) -> Option<(f64, f64)> {
        let place = ((x - self.from) / self.step).max(0.0);
        let low = (place as usize).min(self.at.len().saturating_sub(2));
        let (y0, m0) = *self.at.get(low)?;
        let (y1, m1) = *self.at.get(low + 1)?;
        let t = (place - low as f64).clamp(0.0, 1.0);
        let (a, b) = (m0 * self.step, m1 * self.step);
        let rise = y1 - y0;
        // Cubic by both ends and their slopes.
        let (second, third) = (3.0 * rise - 2.0 * a - b, a + b - 2.0 * rise);
        let y = y0 + t * (a + t * (second + t * third));
        let slope = (a + t * (2.0 * second + 3.0 * t * third)) / self.step;
        Some((y, slope))
    }
}

fn finite(slope: f64) -> f64 {
    if slope.is_finite() { slope } else { 1.0 }
}

/// A reading of the curve now, in logarithms, with its relative standard uncertainties.
struct Reading {
    x: f64,
    y: f64,
    u_volts: f64,
    u_amps: f64,
    /// What the earlier curve has at its voltage.
    then: Then,
    /// The same, ampere, and its own voltage.
    amps: f64,
    volts: f64,
}

/// What the earlier curve lets expect at a voltage.
#[derive(Clone, Copy)]
struct Then {
    /// ln I, and its slope over ln V.
    y: f64,
    slope: f64,
    /// How far beyond its readings that is, in ln V.
    beyond: f64,
}

/// Where an uncertainty is not known.
const UNSTATED: f64 = 0.005;

/// What two sound curves may differ by: standard deviations of logarithms.
#[derive(Clone, Copy, Debug)]
pub struct Scatter {
    /// ln I of a single reading.
    each: f64,
    /// ln I, and ln V, of the whole curve.
    amps: f64,
    volts: f64,
}

impl Scatter {
    /// Between two days of one core: demagnetisation, temperature, interpolation.
    #[must_use]
    pub fn of_days() -> Self {
        Self {
            each: 0.03,
            amps: 0.03,
            volts: 0.004,
        }
    }

    /// Between two cores of one make: iron and its joints as well.
    #[must_use]
    pub fn of_makes() -> Self {
        Self {
            each: 0.06,
            amps: 0.15,
            volts: 0.02,
        }
    }
}

/// Readings of one curve err together: more than these say no more.
const ENOUGH: f64 = 12.0;
/// What is guessed beyond the ends of the earlier curve, in ln I for each ln V. Above the knee a curve is steep and
/// grows steeper: there more current may be taken than goes on as it was, by such a share of the slope.
const BEYOND: f64 = 0.5;
const STEEPER: f64 = 0.5;
/// Loss current and magnetising current as shares of the exciting current below the knee.
const LOSS: f64 = 0.6;
const MAGNETISING: f64 = 0.8;
/// Share of the knee voltage up to which the weak field alone tells the current.
const BEGAN: f64 = 0.6;
/// An r.m.s. reading is not taken for more than e times the mean; steps to find it, and where they end.
const MOST_BY_RMS: f64 = 1.0;
const STEPS_TO_THE_MEAN: u32 = 12;
const NEAR_THE_MEAN: f64 = 1e-4;
/// From where on a bend shows, as a share of the knee voltage.
const BEND_FROM: f64 = 0.6;

impl<'a> Pairing<'a> {
    /// Pairs the readings of a curve with an earlier one, whose knee is at `knee` volt.
    #[must_use]
    pub fn new(
        w: &Workings,
        now: &Curve,
        earlier: Cow<'a, Curve>,
        knee: f64,
        scatter: Scatter,
    ) -> Self {
        let relative = |value: Value| {
            let u = w.uncertainty(value);
            if u.known { u.u / value.si } else { UNSTATED }
        };
        let (low, high) = earlier.log_range();
        let reading = |point: &crate::derive::curve::Point| {
            let x = libm::log(point.v.si);
            // By the curve itself: a grid is not worth making for the one time that nothing else is asked.
            let at = x.clamp(low, high);
            let slope = finite(earlier.log_slope(at));
            let then = Then {
                y: earlier.log_current(at) + slope * (x - at),
                slope,
                beyond: x - at,
            };
            Reading {
                x,
                y: libm::log(point.i.si),
                u_volts: relative(point.v),
                u_amps: relative(point.i),
                then,
                amps: libm::exp(then.y),
                volts: point.v.si,
            }
        };
        Self {
            readings: now.points().iter().map(reading).collect(),
            earlier,
            knee: libm::log(knee),
            scatter,
            grid: OnceCell::new(),
        }
    }

    /// How well a shape fits.
    #[must_use]
    pub fn fit(&self, shape: Shape) -> Fit {
        // Sums of the normal equations for what shifts the whole curve: ln I, and ln V times the slope.
        let (mut s, mut t) = ([0.0; 2], [0.0; 3]);
        let mut plain = 0.0;
        // How much less is known of the reading furthest beyond the earlier curve. How that goes on is one number for
        // all of them; what fits since it is not known does not speak for a shape.
        let mut unknown: f64 = 0.0;
        for reading in &self.readings {
            let Then { y, slope, beyond } = self.expected(shape, reading);
            let off = reading.y - y;
            let known = self.scatter.each * self.scatter.each
                + reading.u_amps * reading.u_amps
                + slope * slope * reading.u_volts * reading.u_volts;
            let (less, more) = (beyond * BEYOND, beyond * (STEEPER * slope).max(BEYOND));
            let guessed = match off > 0.0 && beyond > 0.0 {
                true => more,
                false => less,
            };
            let spread = known + guessed * guessed;
            let weight = 1.0 / spread;
            plain += weight * off * off;
            if beyond > 0.0 {
                let both = 0.5 * (less + more);
                unknown = unknown.max(both * both / known);
            }
            s[0] += weight * off;
            s[1] += weight * off * slope;
            t[0] += weight;
            t[1] += weight * slope;
            t[2] += weight * slope * slope;
        }
        let (a, b, c) = (
            t[0] + 1.0 / (self.scatter.amps * self.scatter.amps),
            t[1],
            t[2] + 1.0 / (self.scatter.volts * self.scatter.volts),
        );
        let taken = (c * s[0] * s[0] - 2.0 * b * s[0] * s[1] + a * s[1] * s[1]) / (a * c - b * b);
        let share = (ENOUGH / self.readings.len() as f64).min(1.0);
        let misfit = share * (plain - taken) + libm::log1p(unknown);
        Fit {
            shape,
            // What is no number fits nothing.
            misfit: match misfit.partial_cmp(&0.0) {
                Some(std::cmp::Ordering::Greater) => misfit,
                Some(_) => 0.0,
                None => f64::INFINITY,
            },
        }
    }

    /// How far ln I at ln V lies off the earlier curve, in units that are not those of the knee: less where it is
    /// steep.
    #[must_use]
    pub fn off(&self, x: f64, y: f64) -> f64 {
        let (away, slope) = self.apart(x, y);
        away.abs() / slope.max(1.0)
    }

    /// By how much ln I at ln V lies above the earlier curve, and how steep that is there.
    #[must_use]
    pub fn apart(&self, x: f64, y: f64) -> (f64, f64) {
        let then = self.earlier(x);
        (y - then.y, then.slope)
    }

    /// Whether the earlier curve holds ln V.
    #[must_use]
    pub fn holds(&self, x: f64) -> bool {
        let (low, high) = self.earlier.log_range();
        (low..=high).contains(&x)
    }

    /// Mean of ln I over what the earlier curve has, of the lower third of the readings and of the upper one: most
    /// shapes move it in one direction only.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        let third = self.readings.len().div_ceil(3);
        let mean = |of: &mut dyn Iterator<Item = &Reading>| {
            let off = of.take(third).map(|one| one.y - one.then.y);
            off.sum::<f64>() / third.max(1) as f64
        };
        let low = mean(&mut self.readings.iter());
        (low, mean(&mut self.readings.iter().rev()))
    }

    /// Between which conductances the one lies that was added, siemens: nobody sees a thousandth of what the earlier
    /// curve takes, and no more was added than is taken now.
    #[must_use]
    pub fn conductances(&self) -> (f64, f64) {
        let then = self.readings.iter().map(|one| one.amps / one.volts);
        let now = self.readings.iter();
        let now = now.map(|one| libm::exp(one.y) / one.volts);
        let least = then.fold(f64::INFINITY, f64::min);
        let most = now.fold(0.0, f64::max);
        (1e-3 * least, 2.0 * most)
    }

    /// A misfit as how far a reading lies off on the average, in units of its scatter.
    #[must_use]
    pub fn rms(&self, misfit: f64) -> f64 {
        let count = (self.readings.len() as f64).clamp(1.0, ENOUGH);
        (misfit / count).sqrt()
    }

    /// The best of a shape with one free number, between two ends that are both positive.
    #[must_use]
    pub fn best(&self, of: impl Fn(f64) -> Shape, ends: (f64, f64)) -> Fit {
        self.fit(of(least(|size| self.fit(of(size)).misfit, ends)))
    }

    /// What a shape lets expect at a reading.
    fn expected(&self, shape: Shape, reading: &Reading) -> Then {
        let Reading { x, then, .. } = *reading;
        match shape {
            Shape::Same => then,
            Shape::Volts(times) => self.earlier(x - libm::log(times)),
            Shape::Turns(times) => {
                let shift = libm::log(times);
                let there = self.earlier(x - shift);
                let y = there.y - shift;
                Then { y, ..there }
            }
            Shape::Worn(times, more) => {
                let at = x - libm::log(times);
                let there = self.earlier(at);
                // What the weak field takes goes on as it began, while the steep part comes on top of it.
                let from = self.knee + libm::log(BEGAN);
                let weak = match at > from {
                    true => {
                        let began = self.earlier(from);
                        (began.y + began.slope * (at - from) - there.y).min(0.0)
                    }
                    false => 0.0,
                };
                let y = there.y + libm::log1p((more - 1.0) * libm::exp(weak));
                Then { y, ..there }
            }
            Shape::Peaky(ohm) => {
                let there = self.by_the_mean(x, ohm);
                let slope = there.slope.min(1.0);
                Then { slope, ..there }
            }
            Shape::Bend(times) => {
                // The bend moves, the low end stays.
                let from = self.knee + libm::log(BEND_FROM);
                if x <= from {
                    return then;
                }
                let share = ((x - from) / (self.knee - from)).clamp(0.0, 1.0);
                self.earlier(x - share * libm::log(times))
            }
            Shape::Offset(times, power) => {
                let left = (1.0 - libm::exp(x - self.knee)).max(0.0);
                let y = then.y + libm::log(times) * libm::pow(left, power);
                Then { y, ..then }
            }
            Shape::Leak(conductance) => {
                let (amps, through) = (reading.amps, conductance * reading.volts);
                let (real, other) = (LOSS * amps + through, MAGNETISING * amps);
                let all = (real * real + other * other).sqrt();
                let share = (amps / all).min(1.0);
                Then {
                    y: libm::log(all),
                    slope: share * then.slope + (1.0 - share),
                    beyond: share * then.beyond,
                }
            }
        }
    }

    /// The earlier curve where a mean is shown, of which the r.m.s. at `x` = ln V is read: between nothing and all of
    /// it. Newton's steps, held to what is left between.
    fn by_the_mean(&self, x: f64, ohm: f64) -> Then {
        let (mut low, mut high) = (x - MOST_BY_RMS, x);
        let mut at = x;
        let mut there = self.earlier(at);
        for _ in 0..STEPS_TO_THE_MEAN {
            let (mean, across) = (libm::exp(at), ohm * libm::exp(there.y));
            let (mean, across) = (mean * mean, across * across);
            let off = 0.5 * libm::log(mean + across) - x;
            if off.abs() < NEAR_THE_MEAN {
                break;
            }
            match off > 0.0 {
                true => high = at,
                false => low = at,
            }
            let step = at - off * (mean + across) / (mean + across * there.slope);
            at = match step > low && step < high {
                true => step,
                false => 0.5 * (low + high),
            };
            there = self.earlier(at);
        }
        there
    }

    /// The earlier curve; beyond its ends as it goes on there.
    fn earlier(&self, x: f64) -> Then {
        let (low, high) = self.earlier.log_range();
        let at = x.clamp(low, high);
        let grid = self.grid.get_or_init(|| Grid::of(&self.earlier));
        let (y, slope) = grid.read(at).unwrap_or((f64::NAN, 1.0));
        let beyond = x - at;
        let slope = match beyond == 0.0 {
            true => slope,
            false => finite(self.earlier.log_slope(at)),
        };
        let y = y + slope * beyond;
        Then { y, slope, beyond }
    }
}

/// Where a cost is least between two positive ends: the best of a few steps on a log axis, then the golden section
/// around it.
#[must_use]
pub fn least(cost: impl Fn(f64) -> f64, (low, high): (f64, f64)) -> f64 {
    const STEPS: u32 = 10;
    const SECTIONS: u32 = 10;
    const GOLDEN: f64 = 0.618_034;
    let (low, high) = (libm::log(low), libm::log(high));
    let at = |x: f64| cost(libm::exp(x));
    let step = (high - low) / f64::from(STEPS);
    let tried = (0..=STEPS).map(|k| low + f64::from(k) * step);
    let tried = tried.map(|x| (x, at(x)));
    let first = tried.min_by(|one, other| one.1.total_cmp(&other.1));
    let middle = first.map_or(low, |(x, _)| x);
    let (mut from, mut to) = ((middle - step).max(low), (middle + step).min(high));
    let lower = |from: f64, to: f64| to - GOLDEN * (to - from);
    let upper = |from: f64, to: f64| from + GOLDEN * (to - from);
    let (mut one, mut other) = (lower(from, to), upper(from, to));
    let (mut cost_of_one, mut cost_of_other) = (at(one), at(other));
    for _ in 0..SECTIONS {
        if cost_of_one < cost_of_other {
            to = other;
            (other, cost_of_other) = (one, cost_of_one);
            one = lower(from, to);
            cost_of_one = at(one);
        } else {
            from = one;
            (one, cost_of_one) = (other, cost_of_other);
            other = upper(from, to);
            cost_of_other = at(other);
        }
    }
    libm::exp(0.5 * (from + to))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing::curve;

    /// V to A of a core that bends at 400 V.
    fn amps(v: f64) -> f64 {
        let x = v / 400.0;
        0.006 * (libm::pow(x, 0.7) + libm::pow(x, 22.0))
    }

    fn readings(of: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
        let volts = [
            15.0, 22.0, 33.0, 47.0, 66.0, 92.0, 130.0, 180.0, 250.0, 330.0, 370.0, 400.0, 430.0,
            460.0,
        ];
        volts.into_iter().map(|v| (v, of(v))).collect()
    }

    fn told(now: Vec<(f64, f64)>) -> Vec<(&'static str, Fit)> {
        let mut w = Workings::new();
        let then = curve(&mut w, &readings(amps));
        let now = curve(&mut w, &now);
        let pairing = Pairing::new(&w, &now, Cow::Borrowed(&then), 385.0, Scatter::of_days());
        let mut fits = vec![
            ("same", pairing.fit(Shape::Same)),
            ("leak", pairing.best(Shape::Leak, (1e-6, 1e-2))),
            ("half", pairing.fit(Shape::Turns(0.5))),
            ("mean", pairing.fit(Shape::Volts(0.9))),
            ("peak", pairing.fit(Shape::Volts(1.414))),
            (
                "offset",
                pairing.best(|times| Shape::Offset(times, 2.0), (1.05, 3.0)),
            ),
            ("bend", pairing.best(Shape::Bend, (0.85, 0.99))),
            ("peaky", pairing.best(Shape::Peaky, (1.0, 1e5))),
        ];
        fits.sort_by(|one, other| one.1.misfit.total_cmp(&other.1.misfit));
        fits
    }

    #[test]
    fn each_shape_is_known_again() {
        let leak = |v: f64| libm::hypot(0.6 * amps(v) + 1e-4 * v, 0.8 * amps(v));
        let offset = |v: f64| amps(v) * (1.0 + 0.5 * (1.0 - v / 300.0).max(0.0));
        // A mean that stays while the r.m.s. goes on.
        let peaky = |(v, i): (f64, f64)| (libm::hypot(v, 3000.0 * i), i);
        let cases: [(&str, Vec<(f64, f64)>); 7] = [
            ("peaky", readings(amps).into_iter().map(peaky).collect()),
            ("leak", readings(leak)),
            (
                "half",
                readings(|v| 2.0 * amps(2.0 * v))
                    .into_iter()
                    .take(9)
                    .collect(),
            ),
            ("mean", readings(|v| amps(v / 0.9))),
            ("peak", readings(|v| amps(v / 1.414))),
            ("offset", readings(offset)),
            (
                "bend",
                readings(|v| amps(v) + 0.006 * libm::pow(v / 370.0, 22.0)),
            ),
        ];
        for (name, now) in cases {
            let told = told(now);
            assert_eq!(told[0].0, name, "{told:#?}");
            let same = told.iter().find(|(name, _)| *name == "same").unwrap();
            assert!(same.1.misfit > told[0].1.misfit + 20.0, "{told:#?}");
        }
    }

    #[test]
    fn the_day_explains_a_little() {
        let told = told(readings(|v| 1.04 * amps(v / 1.003)));
        let same = told.iter().find(|(name, _)| *name == "same").unwrap();
        assert!(same.1.misfit < 3.0, "{told:#?}");
    }

    #[test]
    fn a_conductance_is_found_by_its_size() {
        let leak = |v: f64| libm::hypot(0.6 * amps(v) + 1.6e-4 * v, 0.8 * amps(v));
        let told = told(readings(leak));
        let Shape::Leak(found) = told[0].1.shape else {
            panic!("{told:#?}")
        };
        assert!((found / 1.6e-4 - 1.0).abs() < 0.05, "{found}");
    }
}
