//! Source text to lines and sections, lossless: every byte lies in exactly one line.

pub mod line;
mod tree;
mod words;

pub use line::{Class, Line};
pub use tree::{Section, Tree, read};
