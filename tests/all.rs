//! All integration tests, one binary.

mod published_physics;
