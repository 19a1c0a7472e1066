//! Many records into one job: gathering files, configuration, and the client pack.

pub mod gather;
