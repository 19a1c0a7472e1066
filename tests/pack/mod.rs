//! The client pack of the demo job and of jobs with something wrong in them, in memory.

mod command;
mod contents;
mod guarded;
mod refused;
mod same_bytes;
mod stated;
mod templates;

use crate::demo;
use kneemark::ground::seam::Memory;
use kneemark::pack::build::{Built, NoPack, build};
use kneemark::pack::plan::Entry;
use std::path::Path;

/// The demo job in a folder `job`.
fn job() -> Memory {
    let files = Memory::default();
    for (name, text) in demo::files() {
        files.put(format!("job/{name}"), text);
    }
    files
}

/// One bay of it, with a pack.toml of its own.
fn bay(bay: &str, pack: &str) -> Memory {
    let files = Memory::default();
    let prefix = format!("skerrow/{bay}/");
    for (name, text) in demo::files() {
        if name.starts_with(&prefix) || name.ends_with("s.toml") || name == "criteria.toml" {
            files.put(format!("job/{name}"), text);
        }
    }
    files.put("job/pack.toml", pack);
    files
}

/// The text of a demo file.
fn demo_text(name: &str) -> String {
    demo::files()
        .remove(name)
        .unwrap_or_else(|| panic!("no {name} in the demo"))
}

fn built(files: &Memory) -> Built {
    made(files).unwrap_or_else(|none| panic!("{:?}", codes(&none)))
}

fn made(files: &Memory) -> Result<Built, NoPack> {
    build(files, Path::new("job/pack.toml"))
}

/// Names of the diagnostics of a pack that was not made.
fn codes(none: &NoPack) -> Vec<&'static str> {
    none.0
        .iter()
        .flat_map(|told| told.diagnostics.iter().map(|one| one.code.name()))
        .collect()
}

fn text(built: &Built, name: &str) -> String {
    let bytes = built
        .files
        .get(name)
        .unwrap_or_else(|| panic!("no {name} among {:?}", built.files.keys()));
    String::from_utf8(bytes.clone()).expect("a page is UTF-8")
}

fn entry<'a>(built: &'a Built, id: &str) -> &'a Entry {
    built
        .entries
        .iter()
        .find(|entry| entry.name == id)
        .unwrap_or_else(|| panic!("no {id}"))
}

const ONE_BAY: &str = "records = [\"skerrow/**/*.ctr\"]\n[report]\nnumber = \"T-1\"\ntitle = \"one bay\"\nissued = 2026-11-20\n";
