//! What a calculation can come to, when it is not always a number.

use super::workings::Value;
use crate::ground::number::Bound;

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
    /// What a reading says of its value: a bound is one side of it.
    #[must_use]
    pub fn read(value: Value, bound: Bound) -> Self {
        match bound {
            Bound::Exact => Self::Known(value),
            Bound::MoreThan => Self::AtLeast(value),
            Bound::LessThan => Self::AtMost(value),
        }
    }

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

/// On which side of its number a truth lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Known,
    AtLeast,
    AtMost,
}

impl Side {
    /// An outcome on this side.
    #[must_use]
    pub fn of(self, value: Value) -> Outcome {
        match self {
            Self::Known => Outcome::Known(value),
            Self::AtLeast => Outcome::AtLeast(value),
            Self::AtMost => Outcome::AtMost(value),
        }
    }
}

impl Outcome {
    /// Its number with the side of it that the truth lies on, where it is a reading or a bound of one.
    #[must_use]
    pub fn sided(&self) -> Option<(Side, Value)> {
        match self {
            Self::Known(value) => Some((Side::Known, *value)),
            Self::AtLeast(value) => Some((Side::AtLeast, *value)),
            Self::AtMost(value) => Some((Side::AtMost, *value)),
            Self::NotReached { .. } | Self::Lacking(_) => None,
        }
    }

    /// Of what rises with this one and falls with the other, a difference or a ratio: its side, this number
    /// and the other; `None` where nothing can be said of it.
    #[must_use]
    pub fn over(&self, other: &Self) -> Option<(Side, Value, Value)> {
        use Side::{AtLeast, AtMost, Known};
        let ((own, a), (of, b)) = (self.sided()?, other.sided()?);
        let side = match (own, of) {
            (Known, Known) => Known,
            (AtLeast, Known | AtMost) | (Known, AtMost) => AtLeast,
            (AtMost, Known | AtLeast) | (Known, AtLeast) => AtMost,
            (AtLeast, AtLeast) | (AtMost, AtMost) => return None,
        };
        Some((side, a, b))
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
