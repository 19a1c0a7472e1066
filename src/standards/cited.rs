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
    /// A limit that plate, duty or criteria state.
    #[must_use]
    pub fn stated(id: String, source: String) -> Self {
        Self {
            id,
            source,
            provenance: Provenance::Seen,
            note: None,
        }
    }

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
