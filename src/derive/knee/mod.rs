//! Knee points of an excitation curve by three rules, never compared with one another.
//!
//! Each knee carries its sensitivities to the readings around it and a part for the spacing of
//! those readings. The spacing rule is our own: the knee is taken as evenly likely within a
//! fraction of the distance of its two bracketing readings to either side: an eighth for the
//! 10 % rule and the 30° tangent, a half for the 45° tangent, which sits where the curve is
//! straightest. On smooth curves with a known knee, read at 8 to 20 points, twice this standard
//! uncertainty held the true knee in at least nine cases of ten (see the tests).

use super::component::Component;
use super::crossing::{Crossing, falls_from, grid, last_rise};
use super::curve::{Curve, METHOD};
use super::formula::{formulas, symbol};
use super::outcome::{Outcome, Reason};
use super::root::at_root;
use super::workings::{Value, Workings};
use crate::standards::{Threshold, px, threshold};

/// A tangent rule: the knee lies where the log-log curve has the slope d(ln V)/d(ln I) of the
/// tangent of this angle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tangent {
    /// For cores without a gap.
    Degrees45,
    /// For cores with a gap.
    Degrees30,
}

impl Tangent {
    fn row(self) -> Option<&'static Threshold> {
        threshold(match self {
            Self::Degrees45 => "ieee-knee-45",
            Self::Degrees30 => "ieee-knee-30",
        })
    }

    fn rule(self) -> Rule {
        let (what, text, spread) = match self {
            Self::Degrees45 => (
                "knee point voltage, 45° tangent",
                "d ln V/d ln I = tan 45°",
                0.5,
            ),
            Self::Degrees30 => (
                "knee point voltage, 30° tangent",
                "d ln V/d ln I = tan 30°",
                0.125,
            ),
        };
        Rule {
            what,
            text,
            source: TANGENT_SOURCE,
            spread,
        }
    }
}

const IEC_SOURCE: &str = "IEC 61869-2:2012, 3.4.215: 10 % more e.m.f., 50 % more current";
const TANGENT_SOURCE: &str = "IEEE C57.13, knee of the log-log excitation curve (from memory)";

/// A knee within the readings.
#[derive(Clone, Copy, Debug)]
pub struct KneePoint {
    /// Voltage, volt; for the 10 % rule the lower voltage of the step.
    pub voltage: Value,
    /// Current at that voltage, ampere.
    pub current: Value,
    /// The two readings around it, as indices into the list that the curve was made from.
    pub between: (usize, usize),
    /// Standard uncertainty for the spacing of those readings, volt; already a part of `voltage`.
    pub spacing: f64,
}

/// What a knee rule comes to.
#[derive(Clone, Copy, Debug)]
pub enum Knee {
    /// Within the readings.
    At(KneePoint),
    /// The readings end before it.
    NotReached {
        /// The knee lies above this voltage. For the 10 % rule that is the last voltage over
        /// 1.1: the step from there still ends within the readings and is not yet a knee.
        beyond: Value,
    },
    /// There is none, and why.
    Lacking(Reason),
}

impl Knee {
    /// The knee voltage as an outcome.
    #[must_use]
    pub fn voltage(&self) -> Outcome {
        match self {
            Self::At(point) => Outcome::Known(point.voltage),
            Self::NotReached { beyond } => Outcome::NotReached { beyond: *beyond },
            Self::Lacking(reason) => Outcome::Lacking(*reason),
        }
    }
}

formulas! {
    static LAST_STEP = "knee-last-step", "lowest voltage that the knee exceeds":
        "V/(1 + s/100)" ("V")
        of [symbol("V", "V", "last voltage read"), symbol("s", "%", "step of the knee rule")],
        |[v, s]| v / (1.0 + s / 100.0), IEC_SOURCE;
}

/// The knee by the 10 % rule: 10 % more e.m.f. takes 50 % more current (IEC 61869-2:2012,
/// 3.4.215). The voltage is the lower one of the step.
///
/// Where the condition is met in more than one stretch, as when the foot of the curve is uneven,
/// it is the voltage from which on it stays met. The upper voltage of the step lies within the
/// readings.
pub fn iec(curve: &Curve, w: &mut Workings) -> Knee {
    let (low, top) = curve.log_range();
    let Some(row) = px(false) else {
        return Knee::Lacking(Reason::OutOfDomain);
    };
    let more = |percent: f64| libm::log(1.0 + percent / 100.0);
    let (step, rise) = (more(row.knee_voltage_step), more(row.knee_current_rise));
    let high = top - step;
    if curve.points().len() < 3 || high <= low {
        return Knee::Lacking(Reason::TooFewPoints);
    }
    let held = |x: f64| x.clamp(low, top);
    let excess = |x: f64| curve.log_current(held(x + step)) - curve.log_current(x) - rise;
    let knots = curve.log_voltages().iter();
    let grid = grid(low, high, knots.flat_map(|x| [*x, *x - step]));
    let x = match last_rise(&grid, excess) {
        Crossing::At(x) => x,
        Crossing::Before => return Knee::Lacking(Reason::BelowFirstReading),
        Crossing::After => {
            let percent = row.knee_voltage_step;
            let percent = w.cited("step of the knee rule", "%", percent, &row.cited);
            let beyond = w.step(&LAST_STEP, [curve.last().v, percent]);
            return not_reached(curve, high, beyond);
        }
    };
    let (lower, upper) = (curve.interval(x), curve.interval(held(x + step)));
    let slope = curve.log_slope(held(x + step)) - curve.log_slope(x);
    let (a, b) = (curve.local::<16>(lower, 0), curve.local::<16>(upper, 8));
    let Some(root) = at_root(x, slope, |x| b.at(x + step) - a.at(x) - rise) else {
        return Knee::Lacking(Reason::NoCrossing);
    };
    let v = root.exp();
    let mut inputs = curve.touched(lower, 0, &v);
    inputs.extend(curve.touched(upper, 8, &v));
    let rule = Rule {
        what: "knee point voltage, 10 % rule",
        text: "I(1.1 V) = 1.5 I(V)",
        source: IEC_SOURCE,
        spread: 0.125,
    };
    rule.point(curve, w, lower, v.v, &inputs)
}

/// The knee by a tangent rule: the last place where the curve bends over through its slope.
pub fn tangent(curve: &Curve, w: &mut Workings, tangent: Tangent) -> Knee {
    let (low, high) = curve.log_range();
    if curve.points().len() < 3 {
        return Knee::Lacking(Reason::TooFewPoints);
    }
    let Some(row) = tangent.row() else {
        return Knee::Lacking(Reason::OutOfDomain);
    };
    let wanted = 1.0 / libm::tan(row.limit.to_radians());
    let grid = grid(low, high, curve.log_voltages().iter().copied());
    let x = match last_rise(&grid, |x| curve.log_slope(x) - wanted) {
        Crossing::At(x) => x,
        Crossing::Before => return Knee::Lacking(Reason::NoCrossing),
        Crossing::After => return not_reached(curve, high, Some(curve.last().v)),
    };
    let k = curve.interval(x);
    let piece = curve.local::<8>(k, 0);
    let root = at_root(x, curve.log_bend(x), |x| piece.slope(x) - wanted);
    let Some(v) = root.map(|x| x.exp()) else {
        return Knee::Lacking(Reason::NoCrossing);
    };
    let inputs = curve.touched(k, 0, &v);
    tangent.rule().point(curve, w, k, v.v, &inputs)
}

struct Rule {
    what: &'static str,
    text: &'static str,
    source: &'static str,
    /// Half-width of the spacing part as a fraction of the bracketing distance.
    spread: f64,
}

impl Rule {
    fn point(
        &self,
        curve: &Curve,
        w: &mut Workings,
        k: usize,
        v: f64,
        inputs: &[(Value, f64)],
    ) -> Knee {
        let (Some(below), Some(above)) = (curve.points().get(k), curve.points().get(k + 1)) else {
            return Knee::Lacking(Reason::TooFewPoints);
        };
        if falls_from(curve, k) {
            return Knee::Lacking(Reason::NotRising);
        }
        let text = format!("{}; {METHOD}", self.text);
        let voltage = w.many(self.what, "V", text, self.source, v, inputs);
        let Some(voltage) = voltage else {
            return Knee::Lacking(Reason::OutOfDomain);
        };
        let spacing = self.spread * (above.v.si - below.v.si) / 3f64.sqrt();
        w.add_part(voltage, Component::Spacing { of: self.what }, spacing);
        match curve.current_value(w, voltage) {
            Some(current) => Knee::At(KneePoint {
                voltage,
                current,
                between: (below.at, above.at),
                spacing,
            }),
            None => Knee::Lacking(Reason::OutOfDomain),
        }
    }
}

/// Not reached, unless the readings that say so step back themselves.
fn not_reached(curve: &Curve, x: f64, beyond: Option<Value>) -> Knee {
    match beyond {
        Some(_) if falls_from(curve, curve.interval(x)) => Knee::Lacking(Reason::NotRising),
        Some(beyond) => Knee::NotReached { beyond },
        None => Knee::Lacking(Reason::OutOfDomain),
    }
}

#[cfg(test)]
mod tests;
