//! Same input, same bytes: whatever order the folder is listed in, wherever the pack is built from.

use super::{built, job, made_at, text};
use crate::demo;
use crate::through::{Through, Way};
use kneemark::ground::seam::{Kind, Memory};
use std::path::PathBuf;

/// Files that are listed backwards.
struct Backwards;

impl Way for Backwards {
    fn listed(&self, names: Vec<(PathBuf, Kind)>) -> Vec<(PathBuf, Kind)> {
        names.into_iter().rev().collect()
    }
}

#[test]
fn listing_order_changes_no_byte() {
    let (one, other) = (
        built(&job()),
        built(&Through {
            files: job(),
            way: Backwards,
        }),
    );
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
