//! The archive as files: CSV, Parquet, SQLite. Rows are written as they come, so that no job is held whole; files are
//! made in a stage and go to their place together.

pub mod csv;
mod folders;
#[cfg(feature = "archive")]
pub mod parquet;
#[cfg(feature = "archive")]
pub mod sqlite;
mod target;

pub use folders::Folders;
pub use target::Target;

use crate::archive::Entry;
use std::io;

/// Takes the rows of a job, record by record.
pub trait Store {
    /// # Errors
    /// When there is no room, or a name is too long.
    fn put(&mut self, entry: &Entry) -> io::Result<()>;

    /// Ends its files.
    ///
    /// # Errors
    /// The same.
    fn end(self: Box<Self>) -> io::Result<()>;
}
