//! Charts of invented data: looked at as snapshots, tried with odd input.

mod hostile;
mod place;
mod promises;
mod samples;
mod ticks;
