//! Where to read an excitation curve: few points spread evenly on a logarithmic scale below, more where
//! it turns.

use super::shown;

/// Why a point is on the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// One of those below the turn.
    Spread,
    /// Close to where the curve is expected to turn.
    Turn,
    /// The point that a limit is stated at.
    Limit,
}

/// A voltage to read at, volt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    pub volts: f64,
    pub why: Why,
}

/// Points below the turn, and the share of it where they begin and end.
const SPREAD: i32 = 6;
const FROM: f64 = 0.05;
const TO: f64 = 0.78;
/// Shares of the expected turn that are read in any case.
const TURN: [f64; 4] = [0.90, 0.97, 1.03, 1.10];
/// Two points nearer than this are one.
const NEAR: f64 = 0.02;

/// Points of an excitation test, rising: six by equal steps of the logarithm from 5 to 78 % of `turn`
/// volt, four from 90 to 110 %, and every voltage in `limits`. Common practice, no source. Empty when
/// `turn` is no voltage.
#[must_use]
pub fn points(turn: f64, limits: &[f64]) -> Vec<Point> {
    let Some(turn) = shown(turn) else {
        return Vec::new();
    };
    let step = libm::log(TO / FROM) / f64::from(SPREAD - 1);
    let spread = (0..SPREAD).map(|n| turn * FROM * libm::exp(step * f64::from(n)));
    let near = TURN.iter().map(|share| turn * share);
    let stated: Vec<f64> = limits.iter().copied().filter_map(shown).collect();
    let apart = |volts: &f64| {
        stated
            .iter()
            .all(|limit| (limit / volts - 1.0).abs() > NEAR)
    };
    let of = |why| move |volts| Point { volts, why };
    let mut points: Vec<Point> = spread.filter(apart).map(of(Why::Spread)).collect();
    points.extend(near.map(of(Why::Turn)));
    points.extend(stated.iter().copied().map(of(Why::Limit)));
    points.sort_by(|a, b| a.volts.total_cmp(&b.volts));
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_to_twelve_rising_points_and_the_limit_is_one_of_them() {
        for (turn, limits) in [
            (300.0, &[300.0][..]),
            (356.8, &[356.8]),
            (832.7, &[832.7]),
            (0.5, &[0.5, 0.25]),
        ] {
            let found = points(turn, limits);
            assert!((8..=12).contains(&found.len()), "{}", found.len());
            assert!(found.is_sorted_by(|a, b| a.volts < b.volts));
            let near = |point: &&Point| (0.9..=1.15).contains(&(point.volts / turn));
            assert!(found.iter().filter(near).count() >= 3, "{found:?}");
            let stated = found.iter().filter(|point| point.why == Why::Limit);
            let mut stated: Vec<f64> = stated.map(|point| point.volts).collect();
            stated.reverse();
            assert_eq!(stated, limits);
        }
        assert!(points(f64::NAN, &[]).is_empty() && points(0.0, &[1.0]).is_empty());
    }

    #[test]
    fn spaced_evenly_by_the_logarithm() {
        let found = points(100.0, &[]);
        let steps = found.windows(2).take(5);
        let steps: Vec<f64> = steps.map(|pair| pair[1].volts / pair[0].volts).collect();
        for step in &steps {
            assert!((step / steps[0] - 1.0).abs() < 1e-9, "{steps:?}");
        }
        assert!((found[0].volts - 5.0).abs() < 1e-9);
    }
}
