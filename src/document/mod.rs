//! The one way from typed values to a page: phrases, grades, blocks.

pub mod grade;
pub mod phrase;

pub use grade::Grade;
#[allow(
    unused_imports,
    reason = "used from the stages above as they take it up"
)]
pub(crate) use phrase::say;
pub use phrase::{Part, Phrase, Quantity};
