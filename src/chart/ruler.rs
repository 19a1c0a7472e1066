//! A ruled axis: where a value stands on it, and its lines with their labels.

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
}

/// An axis from position `lo` to position `hi` (log10 of the values on a logarithmic scale).
#[derive(Clone, Debug)]
pub(super) struct Ruler {
    pub scale: Scale,
    pub lo: f64,
    pub hi: f64,
    pub ticks: Vec<Tick>,
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

    /// The place of a value between those of the two ends, never outside.
    pub(super) fn place(&self, value: f64, (from, to): (i32, i32)) -> i32 {
        from + (self.part(value) * f64::from(to - from)).round() as i32
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
        let mut text = String::new();
        let labels = self.ticks.iter().filter_map(|tick| tick.label);
        let widths = labels.map(|label| {
            text.clear();
            label.push(&mut text);
            width(&text, TEXT)
        });
        widths.max().unwrap_or(0)
    }
}
