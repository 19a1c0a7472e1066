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
    let spread = (0..SPREAD).map(|n| Point {
        volts: turn * FROM * libm::exp(step * f64::from(n)),
        why: Why::Spread,
    });
    let near = TURN.iter().map(|share| Point {
        volts: turn * share,
        why: Why::Turn,
    });
    let stated: Vec<f64> = limits.iter().copied().filter_map(shown).collect();
    let apart = |point: &Point| {
        point.why == Why::Turn
            || stated
                .iter()
                .all(|volts| (volts / point.volts - 1.0).abs() > NEAR)
    };
    let mut points: Vec<Point> = spread.chain(near).filter(apart).collect();
    points.extend(stated.iter().map(|&volts| Point {
        volts,
        why: Why::Limit,
    }));
    points.sort_by(|a, b| a.volts.total_cmp(&b.volts));
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_to_twelve_rising_points_and_the_limit_is_one_of_them() {
        for (turn, limits) in [
            (300.0, vec![300.0]),
            (356.8, vec![356.8]),
            (832.7, vec![832.7]),
            (0.5, vec![0.5, 0.25]),
        ] {
            let found = points(turn, &limits);
            assert!((8..=12).contains(&found.len()), "{}", found.len());
            assert!(found.is_sorted_by(|a, b| a.volts < b.volts));
            let near = found
                .iter()
                .filter(|point| (0.9..=1.15).contains(&(point.volts / turn)))
                .count();
            assert!(near >= 3, "{near}");
            assert!(limits.iter().all(|limit| {
                found
                    .iter()
                    .any(|point| point.volts == *limit && point.why == Why::Limit)
            }));
        }
        assert!(points(f64::NAN, &[]).is_empty() && points(0.0, &[1.0]).is_empty());
    }

    #[test]
    fn spaced_evenly_by_the_logarithm() {
        let found = points(100.0, &[]);
        let steps: Vec<f64> = found
            .windows(2)
            .take(5)
            .map(|pair| pair[1].volts / pair[0].volts)
            .collect();
        assert!(
            steps
                .iter()
                .all(|step| (step / steps[0] - 1.0).abs() < 1e-9),
            "{steps:?}"
        );
        assert!((found[0].volts - 5.0).abs() < 1e-9);
    }
}
