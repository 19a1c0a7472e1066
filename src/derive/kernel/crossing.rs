//! Where a condition on an excitation curve last comes true and stays true.

use super::root::solve;
use crate::derive::curve::Curve;

const SUBDIVISIONS: usize = 16;

/// Whether the current steps back anywhere from reading `k` on.
pub fn falls_from(curve: &Curve, k: usize) -> bool {
    let currents = curve.log_currents().get(k..).unwrap_or(&[]);
    currents.windows(2).any(|pair| pair.last() < pair.first())
}

/// Places from `low` to `high` between which the curve is looked at: every knot, and several
/// between two neighbours.
pub fn grid(low: f64, high: f64, knots: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut ends: Vec<f64> = knots.filter(|x| *x > low && *x < high).collect();
    ends.extend([low, high]);
    ends.sort_by(f64::total_cmp);
    let gaps = ends.iter().zip(ends.iter().skip(1));
    let inner = gaps.flat_map(|(a, b)| {
        (0..SUBDIVISIONS).map(move |n| a + (b - a) * (n as f64) / SUBDIVISIONS as f64)
    });
    inner.chain([high]).collect()
}

pub enum Crossing {
    /// Already above zero at the first place.
    Before,
    /// Still below zero at the last place.
    After,
    At(f64),
}

/// The last place where `f` rises through zero and stays above it.
pub fn last_rise(grid: &[f64], f: impl Fn(f64) -> f64) -> Crossing {
    let below = grid.iter().rposition(|x| f(*x) < 0.0);
    let Some(k) = below else {
        return Crossing::Before;
    };
    match (grid.get(k), grid.get(k + 1)) {
        (Some(a), Some(b)) => solve(*a, *b, |x| Some(f(x))).map_or(Crossing::Before, Crossing::At),
        _ => Crossing::After,
    }
}
