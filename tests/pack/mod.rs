//! The client pack of the demo job and of jobs with something wrong in them, in memory.

mod again;
mod at_maker;
mod attached;
pub mod command;
mod contents;
mod guarded;
mod ids;
mod permit;
mod punch;
mod refused;
mod same_bytes;
mod settings;
mod stated;
mod streamed;
mod templates;
mod torn;

use crate::demo;
use kneemark::ground::seam::{Files, Memory};
use kneemark::job::{Compiled, Diagnosed};
use kneemark::pack::build::{Built, NoPack, Planned};
use kneemark::pack::sink::InMemory;
use std::collections::BTreeMap;
use std::ops::Deref;
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

/// A pack with its files.
struct Pack {
    built: Built,
    files: BTreeMap<String, Vec<u8>>,
    others: Vec<Diagnosed>,
}

impl Deref for Pack {
    type Target = Built;

    fn deref(&self) -> &Built {
        &self.built
    }
}

fn built(files: &dyn Files) -> Pack {
    made(files).unwrap_or_else(|none| panic!("{:?}", codes(&none)))
}

fn made(files: &dyn Files) -> Result<Pack, NoPack> {
    made_at(files, "job/pack.toml")
}

fn made_at(files: &dyn Files, pack: &str) -> Result<Pack, NoPack> {
    let planned = Planned::of(files, Path::new(pack))?;
    let sink = InMemory::default();
    let built = planned.write(true, &sink).expect("room in memory");
    Ok(Pack {
        built,
        files: sink.into_files(),
        others: planned.others,
    })
}

/// Names of the diagnostics of a pack that was not made.
fn codes(none: &NoPack) -> Vec<&'static str> {
    none.0
        .iter()
        .flat_map(|told| told.diagnostics.iter().map(|one| one.code.name()))
        .collect()
}

fn text(built: &Pack, name: &str) -> String {
    let bytes = built
        .files
        .get(name)
        .unwrap_or_else(|| panic!("no {name} among {:?}", built.files.keys()));
    String::from_utf8(bytes.clone()).expect("a page is UTF-8")
}

/// A record of the job by itself.
fn unit(files: &Memory, id: &str) -> Compiled {
    let job = kneemark::compile(files, &["job".into()]);
    let is = |one: &Compiled| one.record.plate.id_text() == id;
    let found = job.records.into_iter().find(is);
    found.unwrap_or_else(|| panic!("no {id}"))
}

/// Names of the CTs with a defect.
fn sick(built: &Pack) -> Vec<String> {
    let sick = built.cards.iter().filter(|card| !card.defects.is_empty());
    sick.map(|card| card.spot.name.clone()).collect()
}

const ONE_BAY: &str = "records = [\"skerrow/**/*.ctr\"]\n[report]\nnumber = \"T-1\"\ntitle = \"one bay\"\nissued = 2026-11-20\n";
