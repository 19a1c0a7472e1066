//! One axis: scale and range, known to plotters as a `Ranged`.

use std::ops::Range;

use plotters::coord::ranged1d::{DefaultFormatting, KeyPointHint, Ranged};

use super::ticks::{Room, Tick, Weight, linear_ticks, log_ticks};

/// Values beyond this cannot be drawn: sums of two would leave the range of numbers.
const LARGEST: f64 = 1e300;

/// How values become lengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    Linear,
    Log,
}

impl Scale {
    /// Position of a value on the axis; `None` if it has none (not finite, not positive on a
    /// logarithmic axis, beyond 1e300 on a linear one).
    pub fn position(self, value: f64) -> Option<f64> {
        match self {
            Scale::Linear => (value.abs() <= LARGEST).then_some(value),
            Scale::Log => (value > 0.0 && value.is_finite()).then(|| libm::log10(value)),
        }
    }
}

/// An axis from position `lo` to position `hi` (log10 of the values on a logarithmic scale).
#[derive(Clone, Copy, Debug)]
pub struct Axis {
    pub scale: Scale,
    pub lo: f64,
    pub hi: f64,
}

impl Axis {
    /// The share of the axis below `value`: 0 at the start, 1 at the end; never far outside.
    pub fn part(&self, value: f64) -> f64 {
        let span = self.hi - self.lo;
        let part = self
            .scale
            .position(value)
            .map_or(0.0, |at| (at - self.lo) / span);
        if part.is_nan() {
            0.0
        } else {
            part.clamp(-1.0, 2.0)
        }
    }

    /// The share of the axis below a tick's position.
    pub fn share(&self, at: f64) -> f64 {
        let part = (at - self.lo) / (self.hi - self.lo);
        if part.is_nan() {
            0.0
        } else {
            part.clamp(0.0, 1.0)
        }
    }

    /// Grid lines for the room given.
    pub fn ticks(&self, room: Room) -> Vec<Tick> {
        match self.scale {
            Scale::Linear => linear_ticks(self.lo, self.hi, room),
            Scale::Log => log_ticks(self.lo, self.hi, room),
        }
    }

    fn value(&self, at: f64) -> f64 {
        match self.scale {
            Scale::Linear => at,
            Scale::Log => libm::exp10(at.clamp(-307.0, 308.0)),
        }
    }
}

impl Ranged for Axis {
    type FormatOption = DefaultFormatting;
    type ValueType = f64;

    fn map(&self, value: &f64, limit: (i32, i32)) -> i32 {
        let length = f64::from(limit.1) - f64::from(limit.0);
        limit
            .0
            .saturating_add((self.part(*value) * length).round() as i32)
    }

    fn key_points<Hint: KeyPointHint>(&self, hint: Hint) -> Vec<f64> {
        let most = hint.max_num_points();
        let room = Room {
            length: most.max(2) as f64,
            gap: 2.0,
        };
        let light = hint.weight().allow_light_points();
        self.ticks(room)
            .into_iter()
            .filter(|tick| light || tick.weight == Weight::Strong)
            .map(|tick| self.value(tick.at))
            .take(most)
            .collect()
    }

    fn range(&self) -> Range<f64> {
        self.value(self.lo)..self.value(self.hi)
    }
}
