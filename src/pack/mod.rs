//! Many records into one job: gathering files, configuration, and the client pack.

pub mod config;
mod config_text;
pub mod defects;
pub mod gather;
pub mod items;
pub mod matrix;
pub mod natural;
pub mod plan;
pub mod points;
pub mod select;
pub mod untested;
pub mod used;
