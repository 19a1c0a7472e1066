//! What a reading is to the instrument that took it.

use crate::ground::unit::Dimension;
use strum::{IntoStaticStr, VariantArray};

/// What an instrument measures, as `instruments.toml` names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "kebab-case")]
pub enum Measure {
    Voltage,
    Current,
    Resistance,
    Insulation,
    Angle,
    Phase,
    RatioError,
    Ratio,
    Temperature,
    Frequency,
    Humidity,
    Time,
    Charge,
    Capacitance,
    DissipationFactor,
}

impl Measure {
    /// All of them.
    pub const ALL: &'static [Self] = <Self as VariantArray>::VARIANTS;

    /// The word in `instruments.toml`.
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// The quantity that is read.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Voltage => Dimension::Voltage,
            Self::Current => Dimension::Current,
            Self::Resistance | Self::Insulation => Dimension::Resistance,
            Self::Angle | Self::Phase => Dimension::Angle,
            Self::RatioError | Self::Ratio | Self::Humidity | Self::DissipationFactor => {
                Dimension::Percent
            }
            Self::Temperature => Dimension::Temperature,
            Self::Frequency => Dimension::Frequency,
            Self::Time => Dimension::Time,
            Self::Charge => Dimension::Charge,
            Self::Capacitance => Dimension::Capacitance,
        }
    }
}
