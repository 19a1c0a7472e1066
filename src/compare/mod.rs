//! A finding beside the same finding elsewhere: the maker's certificate, the last visit, the sisters.

mod beside;

pub use beside::{Beside, Sister, beside, is_same, is_sister, sister_median, standing};
