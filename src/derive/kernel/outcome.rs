//! What a calculation can come to, when it is not always a number.

use super::workings::Value;

/// A value, a one-sided truth, or the reason why there is none.
#[derive(Clone, Copy, Debug)]
pub enum Outcome {
    /// Known within the readings.
    Known(Value),
    /// The readings end before the answer: it is this much or more.
    AtLeast(Value),
    /// The readings begin after the answer: it is this much or less.
    AtMost(Value),
    /// Not reached up to this value.
    NotReached {
        /// Up to here the readings show that it is not reached.
        beyond: Value,
    },
    /// There is no answer, and why.
    Lacking(Reason),
}

impl Outcome {
    /// The number, whichever side of the truth it is.
    #[must_use]
    pub fn value(&self) -> Option<Value> {
        match self {
            Self::Known(value)
            | Self::AtLeast(value)
            | Self::AtMost(value)
            | Self::NotReached { beyond: value } => Some(*value),
            Self::Lacking(_) => None,
        }
    }

    /// The value when it is known within the readings.
    #[must_use]
    pub fn known(&self) -> Option<Value> {
        match self {
            Self::Known(value) => Some(*value),
            Self::AtLeast(_) | Self::AtMost(_) | Self::NotReached { .. } | Self::Lacking(_) => None,
        }
    }
}

/// A value is an outcome that is known; a finding may also have none at all.
impl From<Value> for Option<Outcome> {
    fn from(value: Value) -> Self {
        Some(Outcome::Known(value))
    }
}

/// Why a calculation has no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Fewer usable readings than the calculation needs.
    TooFewPoints,
    /// The current does not rise with the voltage where it has to.
    NotRising,
    /// The curve bends nowhere as the rule asks, between its first and last reading.
    NoCrossing,
    /// The answer lies below the first reading.
    BelowFirstReading,
    /// The inputs lie outside what the formula can take (a result would not be finite).
    OutOfDomain,
    /// The calculation would take more steps than allowed.
    TooLong,
    /// The voltage was read as its crest, which above the knee follows neither flux nor r.m.s. value.
    Crest,
}
