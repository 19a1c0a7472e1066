//! A finding beside the same finding elsewhere: the maker's certificate, the last visit, the sisters.

mod beside;

pub use beside::{Beside, Sister, beside, like_core, sister, sisters};

#[cfg(test)]
mod tests;
