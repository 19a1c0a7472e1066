//! The constant that takes a winding resistance to 75 °C.

use std::sync::LazyLock;

use serde::Deserialize;
use strum::{EnumString, IntoStaticStr, VariantNames};

use super::cited::Cited;
use super::store::rows;

/// The family of standards that a plate names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Family {
    Iec,
    Ieee,
    Other,
}

/// What the winding is made of.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Deserialize, EnumString, IntoStaticStr, VariantNames,
)]
#[serde(rename_all = "lowercase")]
#[strum(serialize_all = "lowercase")]
pub enum Metal {
    Copper,
    Aluminium,
}

impl Metal {
    /// As written on a plate.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.into()
    }
}

/// Constant k of `R75 = R*(k + 75)/(k + t)`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct ConductorConstant {
    family: Family,
    pub metal: Metal,
    /// The other published figure, which the criteria may choose.
    pub alternative: bool,
    /// k in °C.
    #[serde(rename = "limit")]
    pub k: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

static CONSTANTS: LazyLock<Vec<ConductorConstant>> = LazyLock::new(|| rows("conductor"));

/// The constant for a metal under a family of standards; the report prints which was used. Where a
/// plate names neither family, the IEC rows serve.
#[must_use]
pub fn conductor_constant(
    family: Family,
    metal: Metal,
    alternative: bool,
) -> Option<&'static ConductorConstant> {
    let family = match family {
        Family::Ieee => Family::Ieee,
        Family::Iec | Family::Other => Family::Iec,
    };
    CONSTANTS
        .iter()
        .find(|row| (row.family, row.metal, row.alternative) == (family, metal, alternative))
}
