//! All integration tests, one binary.

mod corpus;
#[path = "demo/mod.rs"]
mod demo;
mod design_records;
mod diagnostics;
mod hostile;
mod published_limits;
mod published_physics;
mod ranks;
