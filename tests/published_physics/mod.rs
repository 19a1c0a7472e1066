//! The calculation core against outside figures.

mod formulas;
mod pchip;
