//! The wire formats. They have their own types, with a version, so that the model may change.

pub mod json;
