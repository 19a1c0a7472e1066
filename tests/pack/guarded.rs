//! Where a pack may be written, on the real disk: refused before the first byte.
#![allow(clippy::disallowed_methods, reason = "these tests are about the disk")]

use kneemark::document::finish;
use kneemark::ground::seam::{Disk, Files as _};
use kneemark::pack::sink::Sink as _;
use kneemark::pack::target::{LIST, Refused, Target, Written, put_printed};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A folder with `records/bay/a.ctr`.
fn place() -> (TempDir, PathBuf) {
    let place = tempfile::tempdir().expect("a folder");
    let record = place.path().join("records/bay/a.ctr");
    fs::create_dir_all(record.parent().expect("a parent")).expect("folders");
    fs::write(&record, "format: 1\n").expect("a record");
    (place, record)
}

fn made(names: &[&str]) -> BTreeMap<String, Vec<u8>> {
    let file = |name: &&str| {
        let text = finish(&format!("# {name}"), "");
        ((*name).to_owned(), text.into_bytes())
    };
    names.iter().map(file).collect()
}

fn put(out: &Path, names: &[&str], record: &Path) -> Result<Written, Refused> {
    write(out, names, record, false)
}

fn write(out: &Path, names: &[&str], record: &Path, print: bool) -> Result<Written, Refused> {
    let made = made(names);
    let names: Vec<String> = made.keys().cloned().collect();
    let target = Target::open(&Disk, out, &names, std::iter::once(record), print)?;
    for (name, bytes) in &made {
        target
            .put(name, bytes)
            .map_err(|error| target.failed(&error))?;
    }
    target.finish()
}

fn everything(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let paths = entries.map(|entry| entry.expect("an entry").path());
    paths
        .flat_map(|path| {
            if path.is_dir() {
                everything(&path)
            } else {
                vec![path]
            }
        })
        .collect()
}

#[test]
fn written_whole_and_again() {
    let (place, record) = place();
    let out = place.path().join("out");
    assert_eq!(
        put(&out, &["index.md", "ct/a.md"], &record).map(|written| written.count),
        Ok(3)
    );
    let sums = fs::read_to_string(out.join(LIST)).expect("a list");
    assert!(
        sums.lines()
            .any(|line| line.ends_with("  ct/a.md") && line.len() == 64 + 2 + 7),
        "{sums}"
    );
    let again = put(&out, &["index.md"], &record).expect("our own files may be replaced");
    assert_eq!(again.left, ["ct/a.md"], "what is left over is named");
    assert!(out.join("ct/a.md").exists(), "and never taken away");
}

#[test]
fn not_among_the_records() {
    let (place, record) = place();
    for out in ["records", "records/bay", "", "records/../records/bay"] {
        let before = everything(place.path());
        let refused = put(&place.path().join(out), &["index.md"], &record).expect_err(out);
        assert!(
            refused.message.contains("holds records"),
            "{out}: {refused:?}"
        );
        assert_eq!(everything(place.path()), before, "{out}");
    }
    assert!(
        put(&place.path().join("records/out"), &["index.md"], &record).is_ok(),
        "a folder that holds no record"
    );
}

#[test]
fn nobody_elses_file() {
    let (place, record) = place();
    let out = place.path().join("out");
    fs::create_dir_all(&out).expect("a folder");
    for strange in ["z.md", LIST] {
        fs::write(out.join(strange), "my own notes\n").expect("a file");
        let refused = put(&out, &["a.md", "z.md"], &record).expect_err(strange);
        assert!(
            refused.message.contains("was not written by kneemark"),
            "{refused:?}"
        );
        assert_eq!(
            fs::read_to_string(out.join(strange)).expect("still there"),
            "my own notes\n"
        );
        assert!(
            !out.join("a.md").exists(),
            "refused before anything is written"
        );
        fs::remove_file(out.join(strange)).expect("cleared");
    }
}

#[test]
fn a_printed_pack_is_replaced_only_when_it_is_ours() {
    let (place, record) = place();
    let out = place.path().join("out");
    fs::create_dir_all(&out).expect("a folder");
    fs::write(out.join("pack.pdf"), "%PDF of somebody").expect("a file");
    let print = || write(&out, &["index.md"], &record, true);
    assert!(print().expect_err("strange").message.contains("pack.pdf"));
    fs::remove_file(out.join("pack.pdf")).expect("cleared");
    assert!(print().is_ok());
    fs::write(out.join("pack.pdf"), "%PDF of somebody").expect("a file");
    assert!(print().is_err(), "a print that failed makes no file ours");
    fs::remove_file(out.join("pack.pdf")).expect("cleared");
    assert!(print().is_ok());
    let mut pdf = Disk.keep(&out).expect("a file to be");
    pdf.add(b"%PDF of ours").expect("room");
    put_printed(&Disk, &out, pdf).expect("a print");
    let again = print().expect("the list says that we printed it");
    assert!(again.left.is_empty());
    let left = write(&out, &["index.md"], &record, false).expect("without a print");
    assert_eq!(left.left, ["pack.pdf"], "an older print is named");
    assert!(print().is_ok(), "and is still ours");
}

#[test]
fn a_file_is_no_folder() {
    let (place, record) = place();
    let out = place.path().join("out");
    fs::write(&out, "x").expect("a file");
    assert!(
        put(&out, &["index.md"], &record)
            .expect_err("a file")
            .message
            .ends_with("is a file")
    );
    let below = put(&out.join("deeper"), &["index.md"], &record).expect_err("below a file");
    assert!(below.message.contains("nothing was written"), "{below:?}");
}

#[cfg(unix)]
#[test]
fn a_link_carries_nothing_away() {
    let (place, record) = place();
    let (out, away) = (place.path().join("out"), place.path().join("away"));
    fs::create_dir_all(&out).expect("a folder");
    fs::create_dir_all(&away).expect("a folder");
    std::os::unix::fs::symlink(&away, out.join("ct")).expect("a link");
    let refused = put(&out, &["ct/a.md", "index.md"], &record).expect_err("a link");
    assert!(
        refused.message.contains("link that leads out"),
        "{refused:?}"
    );
    assert!(everything(&away).is_empty() && !out.join("index.md").exists());
    std::os::unix::fs::symlink(place.path().join("records"), place.path().join("alias"))
        .expect("a link");
    assert!(
        put(&place.path().join("alias/bay"), &["index.md"], &record)
            .expect_err("an alias")
            .message
            .contains("holds records")
    );
}
