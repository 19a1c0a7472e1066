//! Where a pack may be written, on the real disk: refused before the first byte.
#![allow(clippy::disallowed_methods, reason = "these tests are about the disk")]

use kneemark::document::finish;
use kneemark::pack::sink::Sink as _;
use kneemark::pack::target::{LIST, Refused, Target, Written};
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
    write(out, &made(names), record)
}

fn write(out: &Path, files: &BTreeMap<String, Vec<u8>>, record: &Path) -> Result<Written, Refused> {
    let names: Vec<String> = files.keys().cloned().collect();
    let target = Target::open(out, &names, std::iter::once(record), None)?;
    for (name, bytes) in files {
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
    let names = ["index.md", "ct/a.md", "ct/b.md"];
    assert_eq!(
        put(&out, &names, &record).map(|written| written.count),
        Ok(4)
    );
    let sums = fs::read_to_string(out.join(LIST)).expect("a list");
    assert!(
        sums.lines()
            .any(|line| line.ends_with("  ct/a.md") && line.len() == 64 + 2 + 7),
        "{sums}"
    );
    fs::write(out.join("ct/b.md"), "signed").expect("a change");
    let again = put(&out, &["index.md"], &record).expect("our own files may be replaced");
    assert_eq!(
        again.gone,
        ["ct/a.md"],
        "what is no part of it goes, and is named"
    );
    assert_eq!(again.left, ["ct/b.md"], "what somebody changed stays");
    assert!(!out.join("ct/a.md").exists() && out.join("ct/b.md").exists());
    let sums = fs::read_to_string(out.join(LIST)).expect("a list");
    assert!(sums.contains("index.md") && !sums.contains("ct/"), "{sums}");
    let left = everything(place.path());
    assert!(
        left.iter()
            .all(|path| !path.to_string_lossy().contains("kneemark-")),
        "{left:?}"
    );
}

/// A page that somebody wrote on is not ours any more, though it has the mark.
#[test]
fn a_changed_page_is_not_overwritten() {
    let (place, record) = place();
    let out = place.path().join("out");
    put(&out, &["a.md", "z.md"], &record).expect("written");
    let mine = finish("# z.md, with my remarks", "");
    fs::write(out.join("z.md"), &mine).expect("a change");
    let refused = put(&out, &["a.md", "z.md"], &record).expect_err("changed");
    assert!(
        refused
            .message
            .contains("z.md was changed since kneemark wrote it"),
        "{refused:?}"
    );
    assert_eq!(fs::read_to_string(out.join("z.md")).expect("there"), mine);
}

/// What others put beside a pack stays, folders and links too, and what is the same stays the same file.
#[cfg(unix)]
#[test]
fn what_is_not_ours_stays() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    let (place, record) = place();
    let out = place.path().join("out");
    put(&out, &["index.md", "ct/a.md"], &record).expect("written");
    fs::create_dir_all(out.join("mine/deep/empty")).expect("folders");
    fs::write(out.join("mine/deep/.notes"), "x").expect("a file");
    fs::write(out.join("ct/photo.jpg"), "x").expect("a file");
    std::os::unix::fs::symlink("nowhere", out.join("dangling")).expect("a link");
    fs::set_permissions(&out, fs::Permissions::from_mode(0o750)).expect("rights");
    let number = |name: &str| fs::metadata(out.join(name)).expect("there").ino();
    let before = ["ct/a.md", "mine/deep/.notes", "ct/photo.jpg"].map(number);
    let mut files = made(&["ct/a.md"]);
    files.insert("index.md".to_owned(), finish("# other", "").into_bytes());
    write(&out, &files, &record).expect("again");
    assert_eq!(
        ["ct/a.md", "mine/deep/.notes", "ct/photo.jpg"].map(number),
        before
    );
    assert_eq!(
        fs::read_to_string(out.join("index.md")).expect("there"),
        finish("# other", "")
    );
    assert!(out.join("mine/deep/empty").is_dir());
    assert_eq!(
        fs::read_link(out.join("dangling")).expect("a link"),
        Path::new("nowhere")
    );
    let rights = fs::metadata(&out).expect("there").permissions().mode();
    assert_eq!(rights & 0o777, 0o750);
}

/// What is put into the folder while the pack is made is seen before the pack takes its place.
#[test]
fn a_file_put_there_meanwhile_is_not_lost() {
    let (place, record) = place();
    let out = place.path().join("out");
    put(&out, &["a.md"], &record).expect("written");
    let open = || {
        Target::open(
            &out,
            &["a.md".to_owned()],
            std::iter::once(record.as_path()),
            None,
        )
    };
    let target = open().expect("free");
    target.put("a.md", b"new").expect("room");
    fs::write(out.join("a.md"), "mine, meanwhile").expect("a change");
    fs::write(out.join("b.md"), "mine").expect("a file");
    let refused = target.finish().expect_err("in the way");
    assert!(refused.message.contains("a.md was changed"), "{refused:?}");
    assert_eq!(
        fs::read_to_string(out.join("a.md")).expect("there"),
        "mine, meanwhile"
    );
    fs::remove_file(out.join("a.md")).expect("cleared");
    let target = open().expect("free");
    target.put("a.md", b"new").expect("room");
    fs::write(out.join("c.md"), "mine").expect("a file");
    target.finish().expect("nothing is in the way");
    for (name, text) in [("a.md", "new"), ("b.md", "mine"), ("c.md", "mine")] {
        assert_eq!(fs::read_to_string(out.join(name)).expect("there"), text);
    }
}

/// Two runs at once: the pack is that of the one that ended last, whole.
#[test]
fn two_at_once() {
    let (place, record) = place();
    let out = place.path().join("out");
    let names: Vec<String> = (0..20).map(|n| format!("{n}.md")).collect();
    let one = |by: &str| {
        let target =
            Target::open(&out, &names, std::iter::once(record.as_path()), None).expect("free");
        for name in &names {
            target.put(name, by.as_bytes()).expect("room");
        }
        target
    };
    let (first, second) = (one("first"), one("second"));
    let by = || {
        let text = |name: &String| fs::read_to_string(out.join(name)).expect("there");
        names
            .iter()
            .map(text)
            .collect::<std::collections::BTreeSet<_>>()
    };
    second.finish().expect("written");
    assert_eq!(by(), ["second".to_owned()].into());
    first.finish().expect("what stands there is a pack of ours");
    assert_eq!(by(), ["first".to_owned()].into());
    let first = one("fourth");
    fs::write(out.join("3.md"), "mine").expect("a change");
    assert!(
        first.finish().is_err(),
        "and not what somebody changed in it"
    );
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
fn a_print_is_a_file_like_others() {
    let (place, record) = place();
    let out = place.path().join("out");
    fs::create_dir_all(&out).expect("a folder");
    let print = || {
        let names = ["index.md", "pack.pdf"].map(str::to_owned);
        let target = Target::open(&out, &names, std::iter::once(record.as_path()), None)?;
        target.put("index.md", b"x").expect("room");
        let mut pdf = target.begin("pack.pdf").expect("a file to be");
        pdf.add(b"%PDF of ours").expect("room");
        target.end(pdf).expect("room");
        target.finish()
    };
    fs::write(out.join("pack.pdf"), "%PDF of somebody").expect("a file");
    assert!(print().expect_err("strange").message.contains("pack.pdf"));
    fs::remove_file(out.join("pack.pdf")).expect("cleared");
    assert_eq!(print().map(|written| written.count), Ok(3));
    let sums = fs::read_to_string(out.join(LIST)).expect("a list");
    assert!(sums.contains("  pack.pdf\n"), "{sums}");
    assert!(print().is_ok());
    let gone = put(&out, &["index.md"], &record).expect("without a print");
    assert_eq!(gone.gone, ["pack.pdf"], "an older print goes with its pack");
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
        refused
            .message
            .contains("out/ct was not written by kneemark"),
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
