//! `kneemark explain`: every name of every register, and every line of every record.

mod lines;
mod names;

use std::process::{Command, Output};

/// The command, at the root of the repository.
fn explain(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kneemark"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command.arg("explain").args(arguments).output().unwrap()
}

fn printed(arguments: &[&str]) -> String {
    let done = explain(arguments);
    assert_eq!(done.status.code(), Some(0), "{arguments:?}: {done:?}");
    String::from_utf8(done.stdout).unwrap()
}
