//! What differs between two states of a record, by meaning: readings, plate, words, what is derived, verdicts. Another
//! prefix of a unit, other blanks and other columns are no difference.

mod derived;
mod lines;
mod order;
mod rows;
mod value;
mod written;

use crate::job::Compiled;
use serde::Serialize;

pub use lines::lines;

/// Everything that differs, in the order of the record; what is derived stands behind what is written.
pub fn differences(before: Option<&Compiled>, after: Option<&Compiled>) -> Vec<Difference> {
    let mut found = written::differences(before, after);
    if let (Some(before), Some(after)) = (before, after) {
        found.extend(derived::differences(before, after));
    }
    found
}

/// What of a record differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Of {
    /// Plate, place, duty.
    Plate,
    /// A file that verdicts rest on beside the record.
    Settings,
    /// A line that is not understood.
    Unread,
    /// What was observed at a visit.
    Observation,
    /// Words: people, remarks, notes.
    Words,
    /// The order of the tests, which is the order of the work.
    Order,
    /// A value that follows from the readings, or what is said of it.
    Derived,
    /// What the record may claim.
    Verdict,
}

/// How it differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    Added,
    Removed,
    Changed,
    /// The same value with more digits: its uncertainty is another.
    WrittenFiner,
    WrittenCoarser,
}

/// One difference.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    pub of: Of,
    pub how: How,
    /// `visit 2026-03-14 / excitation 1S1-1S2 / 413.4 V / current`
    pub place: String,
    pub before: Option<String>,
    pub after: Option<String>,
    /// How far apart two quantities are.
    pub size: Option<Size>,
    /// An observation that was there is no longer what it was, and no `amended:` line says why
    /// (ISO/IEC 17025:2017, 7.5.2).
    pub unamended: bool,
    /// Lines from 1, where it is written.
    pub line_before: Option<usize>,
    pub line_after: Option<usize>,
}

/// How far apart two quantities are, in the unit of the later one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Size {
    pub change: f64,
    pub unit: String,
    /// Of the earlier value; `None` where that is zero.
    pub percent: Option<f64>,
    /// Expanded uncertainty of the later reading; `None` where it is not known.
    pub expanded_uncertainty: Option<f64>,
}

impl Difference {
    fn plain(of: Of, how: How, place: String) -> Self {
        Self {
            of,
            how,
            place,
            before: None,
            after: None,
            size: None,
            unamended: false,
            line_before: None,
            line_after: None,
        }
    }
}
