//! All integration tests, one binary.
#![allow(clippy::disallowed_methods, reason = "tests read their own files")]

mod archive;
mod book;
mod causes;
mod claims;
mod corpus;
mod demo;
mod design_records;
mod diagnostics;
mod diff;
mod editor;
mod explain;
mod formats;
mod formulas;
mod history;
mod hostile;
mod identity;
mod intake;
mod kinds;
mod laws;
mod layout;
mod pack;
mod protection_demo;
mod published;
mod published_limits;
mod published_physics;
mod ranks;
mod ratio_demo;
mod reference;
mod report;
mod rules;
mod schema;
mod sick;
mod through;
mod watch;
mod worksheet;
