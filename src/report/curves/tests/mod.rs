//! Charts of invented cores: looked at as snapshots, tried with odd input.

mod hostile;
mod place;
mod promises;
mod samples;
mod snapshots;
mod ticks;
