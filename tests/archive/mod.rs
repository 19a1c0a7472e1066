//! `kneemark export`: what its rows say, that all formats say the same, and what it leaves on the disk.
//! `check.sh` asks two engines the manual's questions, `ucum.mjs` holds the codes of units to an independent library.
#![allow(clippy::disallowed_methods, reason = "these tests are about files")]

mod cores;
mod folder;
#[cfg(feature = "archive")]
mod formats;
mod laws;
mod printed;
mod shown;
mod ucum;

use assert_cmd::Command;
use std::path::Path;

/// Exports, standing in a folder; gives the exit code and what was said.
fn export(place: &Path, arguments: &[&str]) -> (Option<i32>, String) {
    let mut command = Command::cargo_bin("kneemark").expect("the program");
    let output = command
        .current_dir(place)
        .arg("export")
        .args(arguments)
        .output();
    let output = output.expect("it ran");
    let said = [output.stdout, output.stderr].concat();
    (
        output.status.code(),
        String::from_utf8_lossy(&said).into_owned(),
    )
}
