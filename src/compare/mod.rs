//! A finding beside the same finding elsewhere: the maker's certificate, the last visit, the sisters.

mod beside;
mod history;
mod stages;

pub use beside::{Beside, Sister, beside, like_core, sister, sisters};
pub use history::{Change, Drift, History, Past, Reached, history, in_years};
pub use stages::{Cured, cured};

#[cfg(test)]
mod tests;
