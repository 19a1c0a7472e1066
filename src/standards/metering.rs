//! IEEE metering classes and the parallelogram.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::{Cited, Threshold};
use super::practice::threshold;
use super::store::rows;

/// Limits of the transformer correction factor of one class at one current.
#[derive(Clone, Debug, PartialEq)]
pub struct MeteringRow {
    /// Current in % of rated.
    pub percent: f64,
    pub tcf_min: f64,
    pub tcf_max: f64,
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

static CLASSES: LazyLock<Vec<MeteringClass>> = LazyLock::new(classes);

/// Minutes of arc that change the transformer correction factor by one at power factor 0.6, as
/// the standard rounds it (2600).
#[must_use]
pub fn angle_constant() -> Option<&'static Threshold> {
    threshold("ieee-parallelogram")
}

fn classes() -> Vec<MeteringClass> {
    let mut classes: Vec<MeteringClass> = Vec::new();
    for row in rows::<TcfRow>("metering") {
        let limit = MeteringRow {
            percent: row.percent,
            tcf_min: row.tcf_min,
            tcf_max: row.tcf_max,
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
    classes
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
