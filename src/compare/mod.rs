//! A finding beside the same finding elsewhere: the maker's certificate, the last visit, the sisters.

mod beside;

pub use beside::{
    Beside, Sister, are_sisters, beside, like_core, median_of_phases, sister, sisters,
};

#[cfg(test)]
mod tests;
