//! Same input, same bytes: whatever order the folder is listed in, wherever the pack is built from.

use super::{built, job, made_at, text};
use crate::demo;
use kneemark::ground::seam::{Files, Kind, Memory};
use std::io;
use std::path::{Path, PathBuf};

/// Files that are listed backwards.
struct Backwards(Memory);

impl Files for Backwards {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.0.read(path)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<(PathBuf, Kind)>> {
        self.0
            .list(folder)
            .map(|names| names.into_iter().rev().collect())
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.0.is_folder(path)
    }
    fn exists(&self, path: &Path) -> bool {
        self.0.exists(path)
    }
    fn real(&self, path: &Path) -> io::Result<PathBuf> {
        self.0.real(path)
    }
}

#[test]
fn listing_order_changes_no_byte() {
    let (one, other) = (built(&job()), built(&Backwards(job())));
    assert_eq!(
        one.files.keys().collect::<Vec<_>>(),
        other.files.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &one.files {
        assert!(other.files[name] == *bytes, "{name} differs");
    }
}

#[test]
fn the_place_of_the_job_changes_no_byte() {
    let elsewhere = Memory::default();
    for (name, text) in demo::files() {
        elsewhere.put(format!("some/where/else/{name}"), text);
    }
    let (Ok(one), Ok(other)) = (
        made_at(&job(), "job/pack.toml"),
        made_at(&elsewhere, "some/where/else/pack.toml"),
    ) else {
        panic!("not made")
    };
    for (name, bytes) in &one.files {
        assert!(other.files[name] == *bytes, "{name} differs");
    }
    assert!(!text(&other, "pack.html").contains("some/where"));
}
