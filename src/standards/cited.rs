//! Where a limit comes from, and the plain number that many limits are.

use serde::Deserialize;
use std::ops::Deref;
use std::sync::Arc;

/// How a figure came into the tables; told in the annex of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Provenance {
    /// Read in a reprint or extract of the source.
    Seen,
    /// Recalled; a report says "from memory".
    Memory,
    /// Arithmetic or a convention of this project; no source claims it.
    Derived,
    /// No figure of the tables: plate, duty or criteria state it.
    #[serde(skip)]
    Stated,
}

impl Provenance {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Seen => "seen in a reprint or extract",
            Self::Memory => "from memory",
            Self::Derived => "own arithmetic or convention",
            Self::Stated => "stated for this unit or job",
        }
    }
}

/// What a report prints beside a limit. Findings and steps of the ledger keep it by the dozen, so that it is
/// shared and not copied.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(from = "Citation")]
pub struct Cited(Arc<Citation>);

impl From<Citation> for Cited {
    fn from(citation: Citation) -> Self {
        Self(Arc::new(citation))
    }
}

impl Deref for Cited {
    type Target = Citation;

    fn deref(&self) -> &Citation {
        &self.0
    }
}

/// The row that a limit stands in.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub struct Citation {
    /// Stable name of the row, such as `iec-0.2s-ratio-5`.
    pub id: String,
    /// Standard, edition and clause or table; or "common practice, no source".
    pub source: String,
    pub provenance: Provenance,
    /// Where a figure was seen that was not read in the source itself.
    pub seen_in: Option<String>,
    /// Doubts, disagreements between sources, limits of use.
    pub note: Option<String>,
}

impl Cited {
    /// A limit that plate, duty or criteria state.
    #[must_use]
    pub fn stated(id: String, source: String) -> Self {
        let citation = Citation {
            id,
            source,
            provenance: Provenance::Stated,
            seen_in: None,
            note: None,
        };
        citation.into()
    }
}

impl Citation {
    /// How the figure is known: `from memory`, `seen in a power engineering handbook`.
    #[must_use]
    pub fn how_known(&self) -> String {
        match &self.seen_in {
            Some(copy) => format!("seen in {copy}"),
            None => self.provenance.words().to_owned(),
        }
    }

    /// Source and provenance in one line, such as `IEC 61869-2:2012, 5.202 (from memory)`.
    #[must_use]
    pub fn line(&self) -> String {
        format!("{} ({})", self.source, self.how_known())
    }
}

/// The source of a formula without the words that it is from memory; `None` where they are not there.
#[must_use]
pub fn without_memory(source: &str) -> Option<String> {
    let mut all = source.split("from memory)");
    let mut bare = all.next()?.to_owned();
    let mut is_told = false;
    for behind in all {
        let length = bare.len();
        // In brackets by itself, or behind something else in them.
        let own = bare.ends_with(" (");
        if own || bare.ends_with("; ") || bare.ends_with(", ") {
            bare.truncate(length - 2);
            bare.push_str(if own { "" } else { ")" });
            is_told = true;
        } else {
            bare.push_str("from memory)");
        }
        bare.push_str(behind);
    }
    is_told.then_some(bare)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_from_memory_is_told_apart() {
        let bare = |source| without_memory(source).unwrap();
        assert_eq!(
            bare("IEC 61869-2:2012, Annex 2B (from memory)"),
            "IEC 61869-2:2012, Annex 2B"
        );
        assert_eq!(
            bare("IEEE 43 for 10 min (from memory); trade practice for 60 s"),
            "IEEE 43 for 10 min; trade practice for 60 s"
        );
        assert_eq!(
            bare("IEC 61869-2:2012, 3.4 (turns; from memory)"),
            "IEC 61869-2:2012, 3.4 (turns)"
        );
        assert_eq!(
            bare("IEEE 43-2013, clause 4 (machines, from memory)"),
            "IEEE 43-2013, clause 4 (machines)"
        );
        assert_eq!(without_memory("rating plate"), None);
    }

    #[test]
    fn a_line_says_the_clause_and_how_it_is_known() {
        let citation = |seen_in: Option<&str>| Citation {
            id: "x".into(),
            source: "IEC 61869-2:2012, 5.6".into(),
            seen_in: seen_in.map(Into::into),
            provenance: Provenance::Memory,
            note: Default::default(),
        };
        assert_eq!(citation(None).line(), "IEC 61869-2:2012, 5.6 (from memory)");
        assert_eq!(
            citation(Some("a reprint")).line(),
            "IEC 61869-2:2012, 5.6 (seen in a reprint)"
        );
    }
}
