//! Derived values against the limits of plate, standard and job: findings with verdict, limit and
//! source. Adds no physics and draws no report.

mod assess;
mod cause;
pub mod condition;
pub mod decision;
pub mod doubts;
pub mod finding;
mod kinds;
pub mod requirement;
pub mod rules;
mod standard;
pub mod standing;
mod travel;
pub mod verdict;
pub mod words;

pub use assess::{Assessment, Others, VisitAssessment, findings};
pub use kinds::ratio::turns_tolerance;
pub use travel::{doubt_of_curve, is_doubt};
