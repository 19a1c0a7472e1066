//! How much of a record an error keeps from being judged.

use crate::ground::diagnostic::{Code, Diagnostic};
use crate::record::Record;

/// What could not be read: without it there is no pass.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Unread {
    #[default]
    Nothing,
    /// Cells of tables that are of these cores alone.
    Of(Vec<usize>),
    /// Anything else: nobody knows of what it speaks.
    Something,
}

impl Unread {
    /// By the errors of a record.
    pub fn by<'a>(record: &Record, errors: impl Iterator<Item = &'a Diagnostic>) -> Self {
        let mut cores = Vec::new();
        for error in errors {
            match core_of(record, error) {
                Some(core) if cores.contains(&core) => {}
                Some(core) => cores.push(core),
                None => return Self::Something,
            }
        }
        match cores.is_empty() {
            true => Self::Nothing,
            false => Self::Of(cores),
        }
    }

    /// Whether it keeps a core, or the unit as a whole, from a pass.
    pub fn opens(&self, core: Option<usize>) -> bool {
        match (self, core) {
            (Self::Nothing, _) => false,
            (Self::Of(cores), Some(core)) => cores.contains(&core),
            (Self::Of(_), None) | (Self::Something, _) => true,
        }
    }
}

/// The core that a cell is of, where its section names a pair. A line that is no row may belong to a section whose
/// opening was lost.
fn core_of(record: &Record, error: &Diagnostic) -> Option<usize> {
    let of_cell = matches!(
        error.code,
        Code::NumberUnreadable
            | Code::DecimalComma
            | Code::CellsSwapped
            | Code::DecimalSlip
            | Code::EditorCharacter
            | Code::CellCount
            | Code::CellMissing
            | Code::BoundHere
            | Code::ReadingRange
            | Code::ReadingSign
    );
    let tests = record.visits.iter().flat_map(|visit| &visit.tests);
    let before = tests.filter(|test| test.span.start <= error.span.start);
    let test = before.max_by_key(|test| test.span.start)?;
    let pair = test.pair.filter(|_| of_cell)?;
    Some(pair.value.core)
}
