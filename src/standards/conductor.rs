//! The constant that takes a winding resistance to 75 °C.

use serde::Deserialize;

use super::cited::Cited;
use super::store::{iec, ieee};

/// The two families of standards that give limits here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standard {
    Iec,
    Ieee,
}

/// What the winding is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Metal {
    Copper,
    Aluminium,
}

/// Which figure to use where sources disagree: a setting of the criteria file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Choice {
    /// 234.5 for copper, 225 for aluminium.
    #[default]
    Stated,
    /// 235 for copper, 228 for aluminium.
    Alternative,
}

/// Constant k of `R75 = R*(k + 75)/(k + t)`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct ConductorConstant {
    pub metal: Metal,
    pub choice: Choice,
    /// k in °C.
    #[serde(rename = "limit")]
    pub k: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

/// The constant for a metal under a standard; the report prints which was used.
#[must_use]
pub fn copper_constant(
    standard: Standard,
    metal: Metal,
    choice: Choice,
) -> Option<&'static ConductorConstant> {
    let rows = match standard {
        Standard::Iec => &iec().file.conductor,
        Standard::Ieee => &ieee().file.conductor,
    };
    rows.iter().find(|r| r.metal == metal && r.choice == choice)
}
