//! A curve whose current grows with its voltage as that of a resistor does, nearly from zero on. Sheet of iron without a
//! gap takes it so in the weakest field only, where its permeability is the initial one; beyond, its current grows by a
//! power of the voltage that is well below one. Physics; the numbers are conventions of this project.

use crate::derive::curve::{Curve, Point};

/// Power by which the current of iron grows in a weak field.
const OF_IRON: f64 = 0.7;
/// Fewer readings, or such that lie closer, tell no straight line from a bent one.
const READINGS: usize = 5;
const RANGE: f64 = 8.0;
/// Over so much a smaller part shows.
const LONG_RANGE: f64 = 20.0;
/// How straight.
const WITHIN: f64 = 0.04;
/// Which part of the current at least, in the middle of the curve; and over the long range.
const MOST: f64 = 0.8;
const MOST_OVER_THE_LONG_RANGE: f64 = 0.6;
/// Iron takes so much at least beside what flows past it: a curve of nothing has no logarithm.
const LEAST_OF_IRON: f64 = 0.01;

/// What iron takes at most of a curve that is nearly a straight line through zero, its knee left out; `None` of any
/// other curve.
#[must_use]
pub fn iron(curve: &Curve) -> Option<Curve> {
    let all = curve.points();
    let powers: Vec<f64> = all.iter().map(|p| libm::pow(p.v.si, OF_IRON)).collect();
    let sums = sums(all, &powers);
    let range = |part: &[Point]| Some(part.last()?.v.si / part.first()?.v.si);
    // From the whole curve down: a shorter part spans less.
    let long = |part: &&[Point]| range(part).is_some_and(|range| range >= RANGE);
    let parts = (READINGS..=all.len())
        .rev()
        .map_while(|count| all.get(..count));
    let from_zero = parts.take_while(long).find_map(|part| {
        let parts = Parts::of(sums.get(part.len() - 1)?)?;
        let fits = |(point, power): (&Point, &f64)| {
            (1.0 - parts.with(point.v.si, *power) / point.i.si).abs() < WITHIN
        };
        part.iter().zip(&powers).all(fits).then_some((part, parts))
    });
    let (part, parts) = from_zero?;
    let (first, last) = (part.first()?.v.si, part.last()?.v.si);
    let middle = (first * last).sqrt();
    let share = parts.path * middle / parts.at(middle);
    let straight = share >= MOST || last / first >= LONG_RANGE && share >= MOST_OVER_THE_LONG_RANGE;
    straight.then(|| {
        curve.with_currents(|v, i| {
            let path = parts.path * v;
            let iron = if v > last {
                i - path
            } else {
                parts.at(v) - path
            };
            iron.max(LEAST_OF_IRON * path)
        })
    })
}

/// The two parts of a current.
struct Parts {
    /// Siemens.
    path: f64,
    /// Ampere at one volt.
    iron: f64,
}

impl Parts {
    /// Ampere at `v` volt.
    fn at(&self, v: f64) -> f64 {
        self.with(v, libm::pow(v, OF_IRON))
    }

    /// The same where the power of the voltage is at hand.
    fn with(&self, v: f64, power: f64) -> f64 {
        self.path * v + self.iron * power
    }

    /// By least squares of the relative deviations; neither is negative.
    fn of([aa, ab, bb, a, b]: &[f64; 5]) -> Option<Self> {
        let both = aa * bb - ab * ab;
        let (path, iron) = ((a * bb - b * ab) / both, (b * aa - a * ab) / both);
        match iron > 0.0 {
            true => (path > 0.0).then_some(Self { path, iron }),
            false => Some(Self {
                path: a / aa,
                iron: 0.0,
            }),
        }
    }
}

/// What the least squares of the first readings are made of, up to each of them.
fn sums(points: &[Point], powers: &[f64]) -> Vec<[f64; 5]> {
    let mut sums = [0.0; 5];
    let up_to = points.iter().zip(powers).map(|(point, power)| {
        let (a, b) = (point.v.si / point.i.si, power / point.i.si);
        for (sum, term) in sums.iter_mut().zip([a * a, a * b, b * b, a, b]) {
            *sum += term;
        }
        sums
    });
    up_to.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing;
    use crate::derive::workings::Workings;

    /// A curve of 20 readings from 1 V on, each 1.25 times the last: `path` and what iron takes, knee and all.
    fn curve(path: f64, iron: impl Fn(f64) -> f64) -> Curve {
        let reading = |k: i32| {
            let v = libm::pow(1.25, f64::from(k));
            (v, path * v + iron(v))
        };
        let readings: Vec<(f64, f64)> = (0..20).map(reading).collect();
        testing::curve(&mut Workings::new(), &readings)
    }

    /// Iron whose permeability rises from its initial value, with a knee at 40 V.
    fn sheet(v: f64) -> f64 {
        1e-3 * (v / (1.0 + 0.08 * v) + libm::pow(v / 40.0, 12.0))
    }

    #[test]
    fn a_resistor_is_straight_and_iron_is_not() {
        let burden = curve(0.7, sheet);
        let iron = super::iron(&burden).unwrap();
        assert!(iron.current_at(10.0).unwrap() < 0.04 * burden.current_at(10.0).unwrap());
        assert!(super::iron(&curve(0.0, sheet)).is_none());
        // As much through it as the iron takes in the middle of the curve is no straight line yet.
        assert!(super::iron(&curve(4e-4, sheet)).is_none());
    }

    #[test]
    fn the_knee_is_left_to_the_iron() {
        let shorted = curve(5e-3, sheet);
        let iron = super::iron(&shorted).unwrap();
        let top = iron.last();
        let left = top.i.si / sheet(top.v.si);
        assert!((left - 1.0).abs() < 0.2, "{left}");
    }
}
