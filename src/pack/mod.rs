//! The client pack of a job: its configuration, cover, matrix, lists and pages.

pub mod belongs;
pub mod build;
pub mod config;
mod config_text;
pub mod cover;
pub mod defects;
mod fallback;
pub mod items;
pub mod jobs;
mod lists;
mod logo;
pub mod matrix;
pub mod natural;
pub mod own_templates;
pub mod plan;
pub mod points;
pub mod select;
pub mod target;
pub mod untested;
pub mod used;
pub mod write;
