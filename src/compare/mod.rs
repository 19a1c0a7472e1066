//! A finding beside the same finding elsewhere: the maker's certificate, the last visit, the sisters.

mod beside;

pub use beside::{Sister, beside, is_sister, like_core, median_of_phases, sisters};

#[cfg(test)]
mod tests;
