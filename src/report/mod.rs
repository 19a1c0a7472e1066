//! What a report says and how it is drawn.

pub mod curves;
pub mod worksheet;
