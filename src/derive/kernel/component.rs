//! What a part of an uncertainty belongs to, as data; its words are made where it is printed.

use super::label::Label;
use crate::ground::span::Span;
use crate::record::readings::Measure;

/// What a part of an uncertainty belongs to.
#[derive(Clone, Debug, PartialEq)]
pub enum Component {
    /// The limits of error of one function and range of an instrument, in one of its circuits. They are
    /// the same error of the same circuit in all its readings.
    Range {
        /// Its mark in `instruments.toml`.
        instrument: String,
        measure: Measure,
        /// Upper end of the range, in SI units.
        up_to: f64,
        /// Empty for the only circuit of its kind.
        circuit: &'static str,
    },
    /// The error of a reference standard.
    Standard {
        instrument: String,
        measure: Measure,
    },
    /// The angle of the exciting current in a section where nobody read it.
    UnreadAngle { section: String },
    /// The last written digit of one reading.
    LastDigit { of: Label, at: Span },
    /// A value stated beside the readings, within its half-width.
    Stated { of: Label, at: Span },
    /// The scatter of several readings; one fewer degrees of freedom than readings.
    Scatter { of: Label, freedom: u32 },
    /// How far a rule of thumb itself is off; the same error wherever it is applied.
    Law { of: &'static str },
    /// The spacing of the readings around a knee.
    Spacing { of: &'static str },
    /// The angle of the exciting current in a ratio test.
    RatioAngle,
    /// Current and range that differ between readings to be compared.
    OtherSetting,
}

impl Component {
    /// Whether it is one error in several readings. All others are of one value alone.
    pub(super) fn is_shared(&self) -> bool {
        use Component::{Law, Range, Standard, UnreadAngle};
        matches!(
            self,
            Range { .. } | Standard { .. } | UnreadAngle { .. } | Law { .. }
        )
    }

    /// Degrees of freedom: finite for what a few readings show, without end for a stated limit of error.
    pub(super) fn freedom(&self) -> f64 {
        match self {
            Self::Scatter { freedom, .. } => f64::from(*freedom),
            _ => f64::INFINITY,
        }
    }

    /// Where the value stands that it is of.
    #[must_use]
    pub fn place(&self) -> Option<Span> {
        match self {
            Self::LastDigit { at, .. } | Self::Stated { at, .. } => Some(*at),
            _ => None,
        }
    }
}
