//! All integration tests, one binary.

#[path = "demo/mod.rs"]
mod demo;
