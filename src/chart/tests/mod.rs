//! Charts of invented data: looked at as snapshots, tried with odd input.

pub(crate) mod apart;
mod hostile;
mod place;
mod promises;
mod samples;
mod ticks;
