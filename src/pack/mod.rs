//! The client pack of a job: its configuration, cover, matrix, lists and pages.

mod again;
mod bay;
pub mod build;
pub mod card;
pub mod config;
mod cover;
pub mod defects;
pub mod items;
mod lists;
mod logo;
pub mod matrix;
mod own_templates;
pub mod plan;
mod punch;
mod select;
pub mod sink;
pub mod target;
mod untested;
mod used;
mod write;

pub use select::{LONGEST_PATTERN, MOST_PATTERNS, MOST_STARS};
pub use write::WHOLE;
