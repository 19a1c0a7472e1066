//! What all physics here rests on: numbers that carry their derivatives, formulas as data, the
//! ledger of steps, roots and interpolation.

pub mod component;
pub(super) mod crossing;
pub mod formula;
pub mod formulas;
pub mod label;
pub(super) mod num;
pub mod outcome;
pub(super) mod pchip;
pub(super) mod root;
pub mod workings;
