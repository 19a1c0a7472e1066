//! A ruled axis, known to plotters as a `Ranged` with key points and labels of its own. The
//! logarithmic axis of plotters has no ticks within one decade and loses the first of several.

use std::ops::Range;

use plotters::coord::ranged1d::{KeyPointHint, NoDefaultFormatting, Ranged, ValueFormatter};

use super::svg::TEXT;
use super::text::width;
use super::ticks::{Room, Tick, linear_ticks, log_ticks};

/// Values beyond this cannot be drawn: sums of two would leave the range of numbers.
const LARGEST: f64 = 1e300;

/// How values become lengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scale {
    Linear,
    Log,
}

impl Scale {
    /// Position of a value on the axis; `None` if it has none (not finite, not positive on a
    /// logarithmic axis, or too far from 1).
    pub(super) fn position(self, value: f64) -> Option<f64> {
        self.has(value).then(|| match self {
            Self::Linear => value,
            Self::Log => libm::log10(value),
        })
    }

    /// Whether a value has a position.
    pub(super) fn has(self, value: f64) -> bool {
        match self {
            Self::Linear => value.abs() <= LARGEST,
            Self::Log => (1.0 / LARGEST..=LARGEST).contains(&value),
        }
    }

    fn value(self, at: f64) -> f64 {
        match self {
            Self::Linear => at,
            Self::Log => libm::exp10(at),
        }
    }
}

/// An axis from position `lo` to position `hi` (log10 of the values on a logarithmic scale).
#[derive(Clone, Debug)]
pub(super) struct Ruler {
    pub scale: Scale,
    pub lo: f64,
    pub hi: f64,
    ticks: Vec<Tick>,
}

impl Ruler {
    /// Ruled for a length in millimetres, its labels at least `gap` apart.
    pub(super) fn new(scale: Scale, (lo, hi): (f64, f64), length: f64, gap: f64) -> Self {
        let rule = match scale {
            Scale::Linear => linear_ticks,
            Scale::Log => log_ticks,
        };
        Self {
            scale,
            lo,
            hi,
            ticks: rule(lo, hi, Room { length, gap }),
        }
    }

    /// Ruled as densely as the widths of labels allow that stand side by side.
    pub(super) fn level(scale: Scale, range: (f64, f64), length: f64) -> Self {
        let mut gap = if scale == Scale::Log { 5.0 } else { 9.0 };
        let mut ruler = Self::new(scale, range, length, gap);
        for _ in 0..3 {
            let needed = f64::from(ruler.widest()) / 100.0 + 1.2;
            if needed <= gap {
                break;
            }
            gap = needed;
            ruler = Self::new(scale, range, length, gap);
        }
        ruler
    }

    /// The share of the axis below `value`: 0 at the start, 1 at the end, never outside.
    fn part(&self, value: f64) -> f64 {
        let at = self.scale.position(value).unwrap_or(self.lo);
        let part = (at - self.lo) / (self.hi - self.lo);
        // An axis without a length has no shares: 0/0.
        if part.is_nan() {
            0.0
        } else {
            part.clamp(0.0, 1.0)
        }
    }

    /// Width of the widest label, hundredths of a millimetre.
    pub(super) fn widest(&self) -> i32 {
        let labels = self.ticks.iter().filter_map(|tick| tick.label.as_deref());
        labels.map(|label| width(label, TEXT)).max().unwrap_or(0)
    }
}

impl Ranged for Ruler {
    type FormatOption = NoDefaultFormatting;
    type ValueType = f64;

    fn map(&self, value: &f64, (from, to): (i32, i32)) -> i32 {
        from + (self.part(*value) * f64::from(to - from)).round() as i32
    }

    /// The labelled lines are the bold ones. The axis knows its length and the room that its labels
    /// need, so the number that is wished for does not count.
    fn key_points<Hint: KeyPointHint>(&self, hint: Hint) -> Vec<f64> {
        let light = hint.weight().allow_light_points();
        let ticks = self
            .ticks
            .iter()
            .filter(|tick| tick.label.is_none() == light);
        ticks.map(|tick| tick.value).collect()
    }

    fn range(&self) -> Range<f64> {
        self.scale.value(self.lo)..self.scale.value(self.hi)
    }
}

impl ValueFormatter<f64> for Ruler {
    fn format_ext(&self, value: &f64) -> String {
        let tick = self.ticks.iter().find(|tick| tick.value == *value);
        tick.and_then(|tick| tick.label.clone()).unwrap_or_default()
    }
}
