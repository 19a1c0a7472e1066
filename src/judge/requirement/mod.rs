//! What is required of a transformer and its circuit, known before any reading is looked at ("specified
//! requirements", ISO/IEC 17000), and what the findings show of it. The verdict, the tests due and the
//! closing lines are views of this list.

mod behind;
mod due;
mod list;
mod register;
mod shown;
mod sum;
mod unread;
mod whole;

pub use behind::asked as asked_behind;
pub use due::read_criteria;
pub use list::{Required, required};
pub use register::{ALL, Proof, Requirement};
pub use shown::{Shown, Standing};
pub use sum::{Claims, Overall, Sum, Tally, subject};
pub use unread::Unread;

#[cfg(test)]
mod tests;
