//! (to be written)

pub mod decision;
pub mod limit;
