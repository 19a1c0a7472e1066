//! Writes the demo job anew: `cargo run --example demo`.
#![allow(
    clippy::disallowed_methods,
    reason = "a generator writes files; the library does not"
)]

#[path = "mod.rs"]
mod demo;

use std::path::Path;

fn main() -> std::io::Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records");
    let files = demo::files();
    for (name, text) in &files {
        let path = root.join(name);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(path, text)?;
    }
    let sick = demo::planted()
        .iter()
        .filter(|one| one.fault != "none")
        .count();
    println!("records/: {} files, {sick} sick CTs", files.len());
    Ok(())
}
