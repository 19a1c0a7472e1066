//! All integration tests, one binary.

mod corpus;
#[path = "demo/mod.rs"]
mod demo;
mod published_limits;
mod published_physics;
mod ranks;
