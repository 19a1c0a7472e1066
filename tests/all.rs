//! All integration tests, one binary.
