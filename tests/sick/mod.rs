//! Sick and healthy CTs whose illness is known, to hold the naming of causes against. Iron, copper and
//! insulation have laws of their own here, which neither the library nor the demo job uses; rules of the
//! library are not looked at, only counted (`tally.rs`).
//!
//! A case is a bay's CTs, read by a technician at one to three visits (`job.rs`). A fault changes the
//! body, the bench or the paper of one of them (`faults/`). The same case without it is its twin: all
//! scatter is drawn by place, so that the two differ by the fault alone.

mod bench;
mod causes;
mod core;
mod dice;
mod excite;
mod faults;
mod healthy;
mod insulation;
mod iron;
mod job;
mod meter;
mod sanity;
mod sheet;
mod tally;
mod unit;
mod visit;
mod winding;
mod write;
