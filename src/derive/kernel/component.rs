//! What a part of an uncertainty belongs to, as data; its words are made where it is printed.

use crate::ground::span::Span;
use crate::record::readings::Measure;
use std::fmt;

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
    LastDigit { of: String, at: Span },
    /// A value stated beside the readings, within its half-width.
    Stated { of: String, at: Span },
    /// The scatter of several readings.
    Scatter { of: String },
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
        use Component::{Range, Standard, UnreadAngle};
        matches!(self, Range { .. } | Standard { .. } | UnreadAngle { .. })
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

impl fmt::Display for Component {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Range {
                instrument,
                measure,
                up_to,
                circuit,
            } => {
                let blank = if circuit.is_empty() { "" } else { " " };
                let measure = measure.word();
                write!(
                    f,
                    "{instrument} {measure}, range up to {up_to}{blank}{circuit}"
                )
            }
            Self::Standard {
                instrument,
                measure,
            } => write!(f, "{instrument} {}", measure.word()),
            Self::UnreadAngle { section } => {
                write!(f, "angle of the exciting current, not read, {section}")
            }
            Self::LastDigit { of, .. } => write!(f, "last digit of {of}"),
            Self::Stated { of, .. } => f.write_str(of),
            Self::Scatter { of } => write!(f, "scatter of the readings of {of}"),
            Self::Spacing { of } => write!(f, "spacing of the readings, {of}"),
            Self::RatioAngle => f.write_str("angle of the exciting current in the ratio test"),
            Self::OtherSetting => f.write_str("current and range that differ between the readings"),
        }
    }
}
