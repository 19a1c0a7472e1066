//! Derived values against the limits of plate, standard and job: findings with verdict, limit and
//! source. Adds no physics and draws no report.

pub mod assess;
pub mod decision;
pub mod finding;
pub mod kinds;
pub mod say;
pub mod verdict;

pub use assess::{Assessment, assess, findings};
