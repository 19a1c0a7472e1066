//! What a value is called. A ledger holds hundreds of them and few are ever printed, so the words are put
//! together only then.

use std::borrow::Cow;
use std::fmt;

/// Words, and the row of the table that a reading stands in: `voltage, row 3`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    words: Cow<'static, str>,
    row: Option<usize>,
}

impl Label {
    /// A reading in a row of a table, which count from one.
    #[must_use]
    pub fn row(words: &'static str, row: usize) -> Self {
        let words = Cow::Borrowed(words);
        let row = Some(row);
        Self { words, row }
    }
}

impl<T: Into<Cow<'static, str>>> From<T> for Label {
    fn from(words: T) -> Self {
        let (words, row) = (words.into(), None);
        Self { words, row }
    }
}

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)?;
        match self.row {
            Some(row) => write!(f, ", row {row}"),
            None => Ok(()),
        }
    }
}
