//! The physics: formulas as data, and the ledger that is both trace and chain rule. Pure
//! computation in SI units: no files, no words for people beyond the names of what is computed.

pub mod accuracy;
pub mod case;
pub mod conductor;
mod crossing;
pub mod curve;
pub mod error_bound;
pub mod excitation;
pub mod expected;
pub mod flux_curve;
pub mod formula;
pub mod formula_text;
pub mod formulas;
pub mod input;
pub mod kinds;
pub mod knee;
pub mod num;
pub mod outcome;
mod pchip;
pub mod root;
pub mod simulate;
pub mod transient;
pub mod workings;
