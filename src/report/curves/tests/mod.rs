//! Charts of invented cores: looked at as snapshots, tried with odd input.

mod drawn;
mod hostile;
mod place;
mod promises;
mod samples;
mod ticks;
