//! Tables of others brought into records, and a visit of several records as one table. What comes in stands behind what
//! is there, never in its place; a unit stands in a heading or an option and is never guessed.

mod address;
mod grid;
mod lines;
mod plates;
mod put;
mod readings;
mod sheet;
mod sheet_out;
mod workbook;

pub use grid::{Grid, How};
pub use plates::{NewRecord, new_records};
pub use put::{More, Place, Put, Written};
pub use readings::{Asked, readings};
pub use sheet::{OfUnit, Sheet};
pub use sheet_out::{Table, Wanted, table};

/// What is wrong with a table, each with its row or column.
pub type Faults = Vec<String>;
