//! The calculation core against outside figures.

mod pchip;
