//! The trade's fixed words: what a core serves, what insulates a unit, why a visit was made.

use crate::standards::InsulationKind;
use strum::{Display, EnumString, VariantNames};

/// What a core serves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Display, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Service {
    Protection,
    Metering,
    #[strum(serialize = "protection and metering")]
    Both,
    Spare,
}

/// What insulates the primary, as plates say it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Display, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Insulation {
    #[strum(serialize = "oil and paper")]
    OilAndPaper,
    #[strum(serialize = "cast resin")]
    CastResin,
    Gas,
    Dry,
    Unknown,
}

impl Insulation {
    /// The kind whose temperature law holds for it.
    pub fn kind(self) -> InsulationKind {
        match self {
            Self::OilAndPaper => InsulationKind::Oil,
            Self::CastResin | Self::Dry => InsulationKind::Solid,
            Self::Gas => InsulationKind::Gas,
            Self::Unknown => InsulationKind::Unknown,
        }
    }
}

/// Why a visit was made, as far as it decides which tests are due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString)]
#[strum(serialize_all = "lowercase")]
pub enum Purpose {
    Factory,
    Receiving,
    Commissioning,
    Maintenance,
    Retest,
    Investigation,
    Other,
}

impl Purpose {
    /// Reads `commissioning, after repair`: the first word counts.
    pub fn read(text: &str) -> Self {
        let first = text.split([' ', ',', ';']).next().unwrap_or("");
        first.parse().unwrap_or(Self::Other)
    }
}
