//! Insulation resistance: least values from named profiles, factors to 20 °C.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::Cited;
use super::store::rows;

/// A named set of least insulation resistances. IEC gives none, so none applies by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Profile {
    name: &'static str,
}

/// What a profile asks of one winding.
#[derive(Clone, Debug, PartialEq)]
pub struct InsulationMinimum {
    /// Least test voltage in V dc.
    pub test_v_dc: f64,
    /// Least resistance in ohm at 20 °C.
    pub min_ohm: f64,
    pub cited: Cited,
}

#[derive(Deserialize)]
struct InsulationRow {
    profile: String,
    up_to_v: Option<f64>,
    test_v_dc: f64,
    min_mohm_wet: f64,
    min_mohm_dry: f64,
    #[serde(flatten)]
    cited: Cited,
}

const PROFILES: [&str; 2] = ["neta-100.1", "neta-100.5"];

impl Profile {
    /// The row for a winding of `rated_volts` (r.m.s.), dry or liquid-filled. A rating between two
    /// rows takes the next higher row (own reading; Table 100.1 lists ratings, not ranges).
    /// `None` when `rated_volts` is not a number above zero.
    #[must_use]
    pub fn minimum(&self, rated_volts: f64, dry: bool) -> Option<InsulationMinimum> {
        if !rated_volts.is_finite() || rated_volts <= 0.0 {
            return None;
        }
        let covers = |r: &&InsulationRow| {
            r.profile == self.name && r.up_to_v.is_none_or(|top| rated_volts <= top)
        };
        let row = MINIMA.iter().find(covers)?;
        let megohm = if dry {
            row.min_mohm_dry
        } else {
            row.min_mohm_wet
        };
        Some(InsulationMinimum {
            test_v_dc: row.test_v_dc,
            min_ohm: megohm * 1e6,
            cited: row.cited.clone(),
        })
    }
}

/// The profile of that name: `neta-100.1` or `neta-100.5`.
#[must_use]
pub fn insulation_profile(name: &str) -> Option<Profile> {
    PROFILES
        .into_iter()
        .find(|p| *p == name)
        .map(|name| Profile { name })
}

/// The names of the profiles.
#[must_use]
pub fn insulation_profile_names() -> &'static [&'static str] {
    &PROFILES
}

/// What insulates the primary; decides how its resistance falls with temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum InsulationKind {
    Oil,
    /// Cast resin and other dry insulation.
    Solid,
    Gas,
    Unknown,
}

/// Factors that take an insulation resistance to `reference_c`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct TemperatureTable {
    pub kind: InsulationKind,
    temps_c: Vec<f64>,
    factors: Vec<f64>,
    /// The law is `base^((t - reference_c)/kelvin)`.
    pub base: f64,
    pub kelvin: f64,
    pub reference_c: f64,
    /// Whose law it is: the table prints factors only.
    pub law_source: String,
    /// How far law and table part at most, in %.
    pub law_agrees_pct: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

impl TemperatureTable {
    /// Temperature in °C and factor, as printed.
    pub fn rows(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.temps_c
            .iter()
            .copied()
            .zip(self.factors.iter().copied())
    }

    /// Whether the table reaches to `celsius`: nothing is corrected outside it.
    #[must_use]
    pub fn covers(&self, celsius: f64) -> bool {
        let ends = self.temps_c.first().zip(self.temps_c.last());
        ends.is_some_and(|(low, high)| (*low..=*high).contains(&celsius))
    }
}

/// A ratio of two insulation resistances that tells how the insulation takes its charge.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct AbsorptionTimes {
    /// Times under voltage, in s.
    pub later_s: f64,
    pub earlier_s: f64,
    /// How far from its time a reading may be taken, in % of that time.
    pub near_pct: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

static MINIMA: LazyLock<Vec<InsulationRow>> = LazyLock::new(|| rows("insulation"));
static FACTORS: LazyLock<Vec<TemperatureTable>> = LazyLock::new(|| rows("insulation_temperature"));
static ABSORPTION: LazyLock<Vec<AbsorptionTimes>> = LazyLock::new(|| rows("insulation_absorption"));

/// The factors of a kind of insulation. A kind without a table has none: then nothing is corrected.
#[must_use]
pub fn insulation_temperature(kind: InsulationKind) -> Option<&'static TemperatureTable> {
    FACTORS.iter().find(|table| table.kind == kind)
}

/// Polarisation index first, then the absorption ratios.
#[must_use]
pub fn insulation_absorption() -> &'static [AbsorptionTimes] {
    &ABSORPTION
}
