//! All integration tests, one binary.

#[path = "demo/mod.rs"]
mod demo;
mod published_limits;
mod published_physics;
mod report;
