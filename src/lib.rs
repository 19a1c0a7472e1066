//! kneemark: text records of current-transformer tests in, judged reports out.
//!
//! Text flows one way through the folders below; each stage imports only the stages above it in
//! this list (`tests/ranks.rs` reads the `use` lines). Only `ground::seam` touches files.
#![warn(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice
)]

pub mod cli;
pub mod compare;
pub mod derive;
pub mod document;
pub mod emit;
pub mod ground;
pub mod judge;
pub mod pack;
pub mod record;
pub mod report;
pub mod standards;
pub mod syntax;
