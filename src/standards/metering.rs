//! IEEE metering classes and the parallelogram.

use serde::Deserialize;

use super::cited::Cited;
use super::store::ieee;

/// Minutes of arc that change the transformer correction factor by one at power factor 0.6, as
/// the standard rounds it (IEEE C57.13, 5.3, from memory; exact 10800/(pi*tan(acos 0.6)) = 2578.3).
pub const BETA_CONSTANT: f64 = 2600.0;

/// Keeps points on an edge inside in spite of rounding.
const EDGE: f64 = 1e-9;

/// Limits of the transformer correction factor of one class at one current.
#[derive(Clone, Debug, PartialEq)]
pub struct MeteringRow {
    /// Current in % of rated.
    pub percent: f64,
    pub tcf_min: f64,
    pub tcf_max: f64,
    /// Greatest phase angle in minutes, reached at the two acute corners only.
    pub beta_max: f64,
    pub cited: Cited,
}

/// An IEEE metering class.
#[derive(Clone, Debug, PartialEq)]
pub struct MeteringClass {
    pub name: String,
    /// By rising `percent`: the low-current row (5 or 10 %), then 100 %.
    pub rows: Vec<MeteringRow>,
    /// False where the rows are too uncertain to judge by: show them, give no verdict.
    pub judged: bool,
}

impl MeteringClass {
    /// The row that holds at `percent` of rated current: the 100 % row from 100 % up to the rating
    /// factor, the low row below that (own reading: the standard gives no slope between), none
    /// outside.
    #[must_use]
    pub fn at(&self, percent: f64, rating_factor: f64) -> Option<&MeteringRow> {
        let top = 100.0 * rating_factor.max(1.0) * (1.0 + super::measuring::AIM);
        if percent.is_nan() || percent > top {
            return None;
        }
        let reached = |r: &&MeteringRow| percent >= r.percent * (1.0 - super::measuring::AIM);
        self.rows.iter().rev().find(reached)
    }
}

#[derive(Deserialize)]
pub(super) struct TcfRow {
    class: String,
    percent: f64,
    tcf_min: f64,
    tcf_max: f64,
    judged: bool,
    #[serde(flatten)]
    cited: Cited,
}

pub(super) fn assemble(rows: &[TcfRow]) -> Vec<MeteringClass> {
    let mut classes: Vec<MeteringClass> = Vec::new();
    for row in rows {
        let limit = MeteringRow {
            percent: row.percent,
            tcf_min: row.tcf_min,
            tcf_max: row.tcf_max,
            beta_max: BETA_CONSTANT * (row.tcf_max - row.tcf_min),
            cited: row.cited.clone(),
        };
        match classes.iter_mut().find(|c| c.name == row.class) {
            Some(class) => {
                class.judged &= row.judged;
                class.rows.push(limit);
            }
            None => classes.push(MeteringClass {
                name: row.class.clone(),
                rows: vec![limit],
                judged: row.judged,
            }),
        }
    }
    for class in &mut classes {
        class.rows.sort_by(|a, b| a.percent.total_cmp(&b.percent));
    }
    classes
}

/// The limits of an IEEE metering class (`0.3`, `0.15S`; case of the letter does not matter).
#[must_use]
pub fn ieee_metering(class: &str) -> Option<&'static MeteringClass> {
    ieee()
        .metering
        .iter()
        .find(|c| c.name.eq_ignore_ascii_case(class))
}

/// The names of the IEEE metering classes known here, also those that are not judged by.
#[must_use]
pub fn ieee_metering_names() -> Vec<&'static str> {
    ieee().metering.iter().map(|c| c.name.as_str()).collect()
}

/// Whether a ratio correction factor and a phase angle `beta_minutes` (positive when the secondary
/// leads) lie in the class parallelogram: both `RCF` and `RCF - beta/2600` within the limits of
/// the correction factor, edges included. NaN is outside.
///
/// Source: IEEE C57.13, 5.3 (1993/2008), from memory.
#[must_use]
pub fn inside_parallelogram(row: &MeteringRow, rcf: f64, beta_minutes: f64) -> bool {
    let within = |x: f64| x >= row.tcf_min - EDGE && x <= row.tcf_max + EDGE;
    within(rcf) && within(rcf - beta_minutes / BETA_CONSTANT)
}
