//! What an axis spans, given the values that it must hold.

use super::ruler::Scale;
use super::step::{Step, stop_above, stop_below};

/// How an axis finds its range. Whatever is drawn lies within it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Range {
    /// Linear, from the least to the greatest value.
    Tight,
    /// Linear, on round steps, with this value inside or at an end.
    Holding(f64),
    /// Linear, on round steps, equally far to both sides of the middle; `least` to both sides where
    /// all values lie on the middle.
    Around { middle: f64, least: f64 },
    /// Logarithmic, at least between these two values.
    Log { from: f64, to: f64 },
}

impl Range {
    pub(super) fn scale(self) -> Scale {
        match self {
            Self::Log { .. } => Scale::Log,
            _ => Scale::Linear,
        }
    }

    /// Lower and upper end, as positions.
    pub(super) fn over(self, values: impl Iterator<Item = f64>) -> (f64, f64) {
        let positions = values.filter_map(|value| self.scale().position(value));
        match self {
            Self::Tight => span(positions),
            Self::Holding(held) => {
                let (lo, hi) = span(positions.chain([held]));
                let room = |end: f64| if end == held { 0.0 } else { 0.06 * (hi - lo) };
                Step::at_least((hi - lo) / 7.0).round_out(lo - room(lo), hi + room(hi))
            }
            Self::Around { middle, least } => {
                let reach = positions.map(|at| (at - middle).abs()).fold(0.0, f64::max);
                let reach = 1.08 * if reach > least * 1e-3 { reach } else { least };
                let (lo, hi) = Step::at_least(reach / 5.0).round_out(-reach, reach);
                (middle + lo, middle + hi)
            }
            Self::Log { from, to } => {
                let (mut lo, mut hi) = (libm::log10(from), libm::log10(to));
                for at in positions {
                    lo = if at < lo { stop_below(at) } else { lo };
                    hi = if at > hi { stop_above(at) } else { hi };
                }
                // A little room keeps marks off the frame.
                (lo - 0.04, hi + 0.02)
            }
        }
    }
}

/// Least and greatest of the values.
pub(super) fn ends(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |ends: Option<(f64, f64)>, value| {
        let (lo, hi) = ends.unwrap_or((value, value));
        Some((lo.min(value), hi.max(value)))
    })
}

/// Least and greatest of the values, never equal; 0 to 1 if there are none.
fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let Some((lo, hi)) = ends(values) else {
        return (0.0, 1.0);
    };
    let least = lo.abs().max(hi.abs()) * 1e-9;
    if hi - lo <= least {
        let half = 0.5 * least.max(1e-3);
        (lo - half, hi + half)
    } else {
        (lo, hi)
    }
}
