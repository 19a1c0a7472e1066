//! What all physics here rests on: numbers that carry their derivatives, formulas as data, the
//! ledger of steps, roots and interpolation.

pub(in crate::derive) mod crossing;
pub mod formula;
pub mod formula_text;
pub mod formulas;
pub mod input;
pub mod num;
pub mod outcome;
pub(in crate::derive) mod pchip;
pub mod root;
pub mod workings;
