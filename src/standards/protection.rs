//! IEC protection classes: P and PR, PX and PXR, TPX, TPY and TPZ.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::Cited;
use super::store::rows;

/// Limits of 5P, 10P, 5PR and 10PR.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct ProtectionLimit {
    /// As on a plate without the accuracy limit factor, such as `5PR`.
    #[serde(rename = "class")]
    pub name: String,
    /// Composite error at the accuracy limit, in %.
    pub composite: u8,
    pub remanence_limited: bool,
    /// Ratio error at rated current and rated burden, plus or minus, in %.
    pub ratio_error: f64,
    /// Phase displacement at the same point, plus or minus; none for 10P and 10PR.
    pub phase_minutes: Option<f64>,
    pub phase_crad: Option<f64>,
    /// Remanence factor at most, in % of saturation flux.
    pub remanence_max: Option<f64>,
    #[serde(flatten)]
    pub cited: Cited,
}

/// Limits of PX and PXR that do not depend on the plate.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct PxLimit {
    #[serde(rename = "class")]
    pub name: String,
    pub remanence_limited: bool,
    /// Turns ratio error, plus or minus, in %.
    pub turns_ratio_error: f64,
    /// Remanence factor at most, in % of saturation flux.
    pub remanence_max: Option<f64>,
    /// Step of the knee rule in % of voltage ...
    pub knee_voltage_step: f64,
    /// ... and the rise of exciting current in % that it may cause at rated knee e.m.f.
    pub knee_current_rise: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

/// A class for transient performance.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Deserialize, strum::EnumString, strum::IntoStaticStr,
)]
#[serde(rename_all = "UPPERCASE")]
#[strum(serialize_all = "UPPERCASE")]
pub enum TransientClass {
    Tpx,
    Tpy,
    Tpz,
}

impl TransientClass {
    /// As on a plate.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.into()
    }
}

/// Of which current the peak error is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PeakOf {
    Instantaneous,
    /// The alternating component only.
    Alternating,
}

/// Limits of a class for transient performance.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct TransientLimit {
    pub class: TransientClass,
    /// Ratio error at rated current, plus or minus, in %.
    pub ratio_error: f64,
    /// Phase displacement at rated current in minutes: a limit, plus or minus, or, where a
    /// tolerance is given, the nominal value.
    pub phase_minutes: f64,
    pub phase_minutes_tolerance: Option<f64>,
    /// The same in centiradians.
    pub phase_crad: f64,
    pub phase_crad_tolerance: Option<f64>,
    /// Peak error over the duty cycle, in %.
    pub peak_error: f64,
    pub peak_of: PeakOf,
    /// Remanence factor at most, in % of saturation flux.
    pub remanence_max: Option<f64>,
    #[serde(flatten)]
    pub cited: Cited,
}

impl TransientLimit {
    /// Least and greatest phase displacement in minutes.
    #[must_use]
    pub fn phase_range(&self) -> (f64, f64) {
        match self.phase_minutes_tolerance {
            Some(tolerance) => (
                self.phase_minutes - tolerance,
                self.phase_minutes + tolerance,
            ),
            None => (-self.phase_minutes, self.phase_minutes),
        }
    }
}

static PROTECTION: LazyLock<Vec<ProtectionLimit>> = LazyLock::new(|| rows("protection"));
static PX: LazyLock<Vec<PxLimit>> = LazyLock::new(|| rows("px"));
static TRANSIENT: LazyLock<Vec<TransientLimit>> = LazyLock::new(|| rows("transient"));

/// The limits of the P (or, with `remanence_limited`, PR) class of that composite error in %.
#[must_use]
pub fn protection(composite: u8, remanence_limited: bool) -> Option<&'static ProtectionLimit> {
    PROTECTION
        .iter()
        .find(|row| (row.composite, row.remanence_limited) == (composite, remanence_limited))
}

/// The limits of PX or, with `remanence_limited`, PXR.
#[must_use]
pub fn px(remanence_limited: bool) -> Option<&'static PxLimit> {
    PX.iter()
        .find(|row| row.remanence_limited == remanence_limited)
}

/// The limits of TPX, TPY or TPZ.
#[must_use]
pub fn transient(class: TransientClass) -> Option<&'static TransientLimit> {
    TRANSIENT.iter().find(|row| row.class == class)
}
