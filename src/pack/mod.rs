//! The client pack of a job: its configuration, cover, matrix, lists and pages.

pub mod build;
mod config;
mod cover;
pub mod defects;
pub mod items;
mod jobs;
mod lists;
mod logo;
pub mod matrix;
mod own_templates;
pub mod plan;
mod select;
pub mod target;
mod untested;
mod used;
pub(crate) mod write;
