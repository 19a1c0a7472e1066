//! IEEE metering classes and the parallelogram.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::{Cited, Threshold};
use super::practice::threshold;
use super::store::rows;

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
    /// Minutes that change the correction factor by one; see [`angle_constant`].
    constant: f64,
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
struct TcfRow {
    class: String,
    percent: f64,
    tcf_min: f64,
    tcf_max: f64,
    judged: bool,
    #[serde(flatten)]
    cited: Cited,
}

static CLASSES: LazyLock<Vec<MeteringClass>> = LazyLock::new(|| classes().unwrap_or_default());

/// Minutes of arc that change the transformer correction factor by one at power factor 0.6, as
/// the standard rounds it (2600).
#[must_use]
pub fn angle_constant() -> Option<&'static Threshold> {
    threshold("ieee-parallelogram")
}

fn classes() -> Option<Vec<MeteringClass>> {
    let constant = angle_constant()?.limit;
    let mut classes: Vec<MeteringClass> = Vec::new();
    for row in rows::<TcfRow>("metering") {
        let limit = MeteringRow {
            percent: row.percent,
            tcf_min: row.tcf_min,
            tcf_max: row.tcf_max,
            beta_max: constant * (row.tcf_max - row.tcf_min),
            constant,
            cited: row.cited,
        };
        match classes.iter_mut().find(|c| c.name == row.class) {
            Some(class) => {
                class.judged &= row.judged;
                class.rows.push(limit);
            }
            None => classes.push(MeteringClass {
                name: row.class,
                rows: vec![limit],
                judged: row.judged,
            }),
        }
    }
    for class in &mut classes {
        class.rows.sort_by(|a, b| a.percent.total_cmp(&b.percent));
    }
    Some(classes)
}

/// The limits of an IEEE metering class (`0.3`, `0.15S`; case of the letter does not matter).
#[must_use]
pub fn ieee_metering(class: &str) -> Option<&'static MeteringClass> {
    CLASSES
        .iter()
        .find(|known| known.name.eq_ignore_ascii_case(class))
}

/// The names of the IEEE metering classes known here, also those that are not judged by.
#[must_use]
pub fn ieee_metering_names() -> Vec<&'static str> {
    CLASSES.iter().map(|c| c.name.as_str()).collect()
}

/// Whether a ratio correction factor and a phase angle `beta_minutes` (positive when the secondary
/// leads) lie in the class parallelogram: both `RCF` and `RCF - beta/2600` within the limits of
/// the correction factor, edges included. NaN is outside.
///
/// Source: IEEE C57.13, 5.3 (1993/2008), from memory.
#[must_use]
pub fn inside_parallelogram(row: &MeteringRow, rcf: f64, beta_minutes: f64) -> bool {
    let within = |x: f64| x >= row.tcf_min - EDGE && x <= row.tcf_max + EDGE;
    within(rcf) && within(rcf - beta_minutes / row.constant)
}
