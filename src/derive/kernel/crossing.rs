//! Where a condition on an excitation curve last comes true and stays true.

use super::root::solve;
use crate::derive::curve::Curve;

const SUBDIVISIONS: usize = 16;

/// Whether the current steps back anywhere from reading `k` on.
pub fn falls_from(curve: &Curve, k: usize) -> bool {
    let currents = curve.log_currents().get(k..).unwrap_or(&[]);
    currents.windows(2).any(|pair| pair.last() < pair.first())
}

/// The knots between `low` and `high`, and both of these: a curve is looked at in them, and in several places
/// between two neighbours.
pub fn knots(low: f64, high: f64, knots: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut ends: Vec<f64> = knots.filter(|x| *x > low && *x < high).collect();
    ends.extend([low, high]);
    ends.sort_by(f64::total_cmp);
    ends
}

/// The places to look at, from the highest down.
fn downwards(knots: &[f64]) -> impl Iterator<Item = f64> {
    let gaps = knots.windows(2).rev().flat_map(|gap| match gap {
        [a, b] => Some((*a, *b)),
        _ => None,
    });
    let inner = gaps.flat_map(|(a, b)| {
        let place = move |n: usize| a + (b - a) * (n as f64) / SUBDIVISIONS as f64;
        (0..SUBDIVISIONS).rev().map(place)
    });
    knots.last().copied().into_iter().chain(inner)
}

pub enum Crossing {
    /// Already above zero at the first place.
    Before,
    /// Still below zero at the last place.
    After,
    At(f64),
}

/// The last place where `f` rises through zero and stays above it.
pub fn last_rise(knots: &[f64], f: impl Fn(f64) -> f64) -> Crossing {
    let mut above = None;
    for x in downwards(knots) {
        if f(x) < 0.0 {
            return match above {
                Some(above) => {
                    solve(x, above, |x| Some(f(x))).map_or(Crossing::Before, Crossing::At)
                }
                None => Crossing::After,
            };
        }
        above = Some(x);
    }
    Crossing::Before
}
