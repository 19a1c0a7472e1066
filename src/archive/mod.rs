//! The archive of a job: two tables for engines that ask a fleet. One is long, a row for each quantity at its line;
//! one is wide, a row for each core. Columns are declared once, with what they hold: writers, manual and tests go by
//! that list.

pub mod columns;
mod head;
pub mod long;
pub mod wide;

use crate::job::Compiled;
use crate::judge::requirement::Claims;
use long::Quantity;
use wide::CoreRow;

/// What one record adds to both tables.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The site where the unit stands now.
    pub site: Option<columns::Text>,
    pub quantities: Vec<Quantity>,
    pub cores: Vec<CoreRow>,
}

impl Entry {
    /// The rows of a record, with what it lets claim.
    #[must_use]
    pub fn of(one: &Compiled, claims: &Claims<'_>) -> Self {
        let head = head::Head::of(one);
        Self {
            site: head.site_now.clone(),
            quantities: long::rows(one, claims, &head),
            cores: wide::rows(one, claims, &head),
        }
    }
}
