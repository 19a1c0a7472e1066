//! IEC measuring classes: ratio error, phase displacement, burden range, power factor.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::{Cited, Threshold};
use super::practice::threshold;
use super::store::rows;

/// Limits of a measuring class at one current.
#[derive(Clone, Debug, PartialEq)]
pub struct ErrorLimit {
    /// Current in % of rated primary current.
    pub percent: f64,
    /// Ratio error limit, plus or minus, in %.
    pub ratio_error: f64,
    /// Phase displacement limit, plus or minus, in minutes of arc; none for classes 3 and 5.
    pub phase_minutes: Option<f64>,
    /// The same in centiradians as tabulated, which is rounded: judge in the recorded unit.
    pub phase_crad: Option<f64>,
    pub cited: Cited,
    /// The phase limit is a row of its own.
    pub phase_cited: Option<Cited>,
}

/// An IEC measuring class.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuringClass {
    /// As on a plate, such as `0.2S`.
    pub name: String,
    /// By rising `percent`.
    pub rows: Vec<ErrorLimit>,
    /// Burden range in % of the rated burden over which the class must hold.
    pub burden_min_pct: f64,
    pub burden_max_pct: f64,
    pub burden_cited: Cited,
}

/// How far from a listed current a reading may be taken and still be judged at it, as a part of
/// the listed current. Own convention; IEC gives no rule between the listed currents.
pub const AIM: f64 = 0.02;

impl MeasuringClass {
    /// The burdens over which the class holds, VA, the lowest first: a share of the rated one, and no test
    /// burden below the least of the standard; or down to what the plate states.
    #[must_use]
    pub fn burdens(&self, rated: f64, stated: Option<f64>) -> (f64, f64) {
        let most = rated * self.burden_max_pct / 100.0;
        let share = rated * self.burden_min_pct / 100.0;
        let floor = least_test_burden().map_or(0.0, |row| row.limit);
        let least = stated.unwrap_or(share.max(floor));
        (least.min(most), most)
    }

    /// The limits at `percent` of rated current, when that is within [`AIM`] of a listed current.
    ///
    /// With an extended rating (in %, such as 150) the limits at 120 % hold from 120 % up to it
    /// (IEC 61869-2:2012, 5.6.201.5, from memory). Nothing is interpolated.
    #[must_use]
    pub fn at(&self, percent: f64, extended: Option<f64>) -> Option<&ErrorLimit> {
        let listed = self
            .rows
            .iter()
            .find(|r| (percent - r.percent).abs() <= AIM * r.percent);
        if listed.is_some() {
            return listed;
        }
        let top = self.rows.last()?;
        let end = extended.filter(|e| e.is_finite())?;
        (percent > top.percent && percent <= end * (1.0 + AIM)).then_some(top)
    }
}

#[derive(Deserialize)]
struct RatioRow {
    class: String,
    percent: f64,
    limit: f64,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct PhaseRow {
    class: String,
    percent: f64,
    limit: f64,
    crad: f64,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct BurdenRow {
    class: String,
    min_percent: f64,
    max_percent: f64,
    #[serde(flatten)]
    cited: Cited,
}

static CLASSES: LazyLock<Vec<MeasuringClass>> = LazyLock::new(classes);
static FACTORS: LazyLock<Vec<PowerFactor>> = LazyLock::new(|| rows("power_factor"));

fn classes() -> Vec<MeasuringClass> {
    let ratios: Vec<RatioRow> = rows("measuring_ratio");
    let phases: Vec<PhaseRow> = rows("measuring_phase");
    let burdens: Vec<BurdenRow> = rows("measuring_burden");
    let class = |burden: BurdenRow| {
        let own = ratios.iter().filter(|row| row.class == burden.class);
        let mut rows: Vec<ErrorLimit> = own.map(|row| error_limit(row, &phases)).collect();
        rows.sort_by(|a, b| a.percent.total_cmp(&b.percent));
        MeasuringClass {
            name: burden.class,
            rows,
            burden_min_pct: burden.min_percent,
            burden_max_pct: burden.max_percent,
            burden_cited: burden.cited,
        }
    };
    burdens.into_iter().map(class).collect()
}

#[allow(
    clippy::float_cmp,
    reason = "both figures are written alike in one file"
)]
fn error_limit(ratio: &RatioRow, phases: &[PhaseRow]) -> ErrorLimit {
    let phase = phases
        .iter()
        .find(|p| p.class == ratio.class && p.percent == ratio.percent);
    ErrorLimit {
        percent: ratio.percent,
        ratio_error: ratio.limit,
        phase_minutes: phase.map(|p| p.limit),
        phase_crad: phase.map(|p| p.crad),
        cited: ratio.cited.clone(),
        phase_cited: phase.map(|p| p.cited.clone()),
    }
}

/// The limits of a measuring class (`0.1` to `5`, `0.2S`, `0.5S`; case of `S` does not matter).
/// `None` for a class not in IEC 61869-2: no limit, no verdict.
#[must_use]
pub fn measuring(class: &str) -> Option<&'static MeasuringClass> {
    CLASSES
        .iter()
        .find(|known| known.name.eq_ignore_ascii_case(class))
}

/// The names of the measuring classes known here.
#[must_use]
pub fn measuring_names() -> Vec<&'static str> {
    CLASSES.iter().map(|c| c.name.as_str()).collect()
}

/// The least burden in VA that a class is tested at, however small the share of the rated one.
fn least_test_burden() -> Option<&'static Threshold> {
    threshold("iec-min-test-burden")
}

/// Whose burden a power factor is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum BurdenKind {
    #[serde(rename = "measuring")]
    Measuring,
    P,
    #[serde(rename = "PR")]
    Pr,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
struct PowerFactor {
    kind: BurdenKind,
    limit: f64,
    below_va: f64,
    below: f64,
    #[serde(flatten)]
    cited: Cited,
}

/// Power factor (inductive) of a rated burden, or of the burden of a test, of so many volt-amperes:
/// 0.8, or 1.0 below 5 VA.
///
/// IEC 61869-2:2012, 5.6.201.3 and 5.6.202 (from memory: "the burden used for test purposes", so a
/// quarter of 15 VA is taken at 1.0). PX and TP classes state a resistance instead. `None` when `va` is
/// not a number above zero.
#[must_use]
pub fn power_factor(kind: BurdenKind, va: f64) -> Option<(f64, &'static Cited)> {
    if !va.is_finite() || va <= 0.0 {
        return None;
    }
    let row = FACTORS.iter().find(|r| r.kind == kind)?;
    let cos_phi = if va < row.below_va {
        row.below
    } else {
        row.limit
    };
    Some((cos_phi, &row.cited))
}
