//! What every stage may use: spans, source text, numbers, units, diagnostics as data, and the one
//! door to files. Imports no other stage.

pub mod address;
pub mod calm;
pub mod date;
pub mod diagnostic;
pub mod median;
pub mod nearest;
pub mod number;
pub mod quantity;
pub mod seam;
pub mod shelf;
pub mod source;
pub mod span;
pub mod stage;
pub mod ucum;
pub mod unit;
