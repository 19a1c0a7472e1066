//! Where a limit comes from, and the plain number that many limits are.

use serde::Deserialize;

/// How a figure came into the tables; printed beside the limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Provenance {
    /// Read in a reprint or extract of the source.
    Seen,
    /// Recalled; a report says "from memory".
    Memory,
    /// Arithmetic or a convention of this project; no source claims it.
    Derived,
}

impl Provenance {
    /// The words a report prints after the source.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Seen => "seen in a reprint or extract",
            Self::Memory => "from memory",
            Self::Derived => "own arithmetic or convention",
        }
    }
}

/// What a report prints beside a limit.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Cited {
    /// Stable name of the row, such as `iec-0.2s-ratio-5`.
    pub id: String,
    /// Standard, edition and clause or table; or "common practice, no source".
    pub source: String,
    pub provenance: Provenance,
    /// Doubts, disagreements between sources, limits of use.
    pub note: Option<String>,
}

impl Cited {
    /// Source and provenance in one line, such as `IEC 61869-2:2012, 5.202 (from memory)`.
    #[must_use]
    pub fn line(&self) -> String {
        format!("{} ({})", self.source, self.provenance.words())
    }
}

/// A limit that is one number.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Threshold {
    /// The number, in `unit`.
    pub limit: f64,
    /// Unit and sense in words, such as `% between phases`.
    pub unit: String,
    #[serde(flatten)]
    pub cited: Cited,
}

/// A list of standard values. A value outside it is a remark, never a failure.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct ValueList {
    /// Ascending, in `unit`.
    pub values: Vec<f64>,
    /// Decimal multiples and fractions of the values are standard too.
    #[serde(default)]
    pub decades: bool,
    pub unit: String,
    #[serde(flatten)]
    pub cited: Cited,
}

impl ValueList {
    /// True when `value` (in `unit`) is in the list, within a relative 1e-9; false for NaN,
    /// infinities and anything not above zero.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        if !value.is_finite() || value <= 0.0 {
            return false;
        }
        let near = |scaled: f64, listed: &f64| (scaled - listed).abs() <= 1e-9 * listed.abs();
        if !self.decades {
            return self.values.iter().any(|listed| near(value, listed));
        }
        // Nine decades either way hold every current a transformer can be rated for.
        (-9..=9).any(|decade: i32| {
            let scaled = value * libm::pow(10.0, f64::from(decade));
            self.values.iter().any(|listed| near(scaled, listed))
        })
    }
}
