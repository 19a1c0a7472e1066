//! In a git repository: the recipe of the manual, word for word.

use super::{INSTRUMENTS, RECORD, run};
use kneemark::layout::even;
use std::fs;
use std::path::Path;
use std::process::Command;

/// A code block of the manual's chapter on git.
pub(super) fn recipe_of(is_meant: impl Fn(&str) -> bool) -> String {
    let manual = fs::read_to_string("book/src/git.md").expect("the chapter");
    let mut blocks = manual.split("```");
    let block = blocks.find(|block| is_meant(block)).expect("a block");
    block.split_once('\n').expect("lines").1.to_owned()
}

/// One by its first line.
fn recipe(first: &str) -> String {
    let begins = |line: &str| line.starts_with(first);
    recipe_of(|block| block.lines().nth(1).is_some_and(begins))
}

/// Where programs are looked for: the one that was built here first.
pub(super) fn kneemark_first() -> std::ffi::OsString {
    let own = std::env::var("PATH").unwrap_or_default();
    let built = assert_cmd::cargo::cargo_bin("kneemark");
    let built = built.parent().expect("a folder").to_owned();
    let paths = std::iter::once(built).chain(std::env::split_paths(&own));
    std::env::join_paths(paths).expect("paths")
}

pub(super) fn git(folder: &Path, arguments: &[&str]) -> String {
    let output = Command::new("git")
        .current_dir(folder)
        .args([
            "-c",
            "user.name=A. Tester",
            "-c",
            "user.email=tester@example.invalid",
            "-c",
            "core.pager=cat",
        ])
        .args(arguments)
        .env("PATH", kneemark_first())
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .output()
        .expect("git");
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        output.status.success() || output.status.code() == Some(1),
        "{arguments:?}: {told}"
    );
    String::from_utf8(output.stdout).expect("text")
}

/// A repository with two revisions of a record, and the recipe in it.
fn repository() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a folder");
    let put = |name: &str, text: &str| fs::write(place.path().join(name), text).expect("written");
    git(place.path(), &["init", "-q", "-b", "main"]);
    put(".gitattributes", &recipe("*.ctr"));
    for line in recipe("git config").lines() {
        let words = split(line.strip_prefix("git ").expect("a command of git"));
        git(
            place.path(),
            &words.iter().map(String::as_str).collect::<Vec<_>>(),
        );
    }
    fs::create_dir(place.path().join("bay")).expect("a folder");
    put("bay/a.ctr", RECORD);
    put("instruments.toml", INSTRUMENTS);
    git(place.path(), &["add", "."]);
    git(place.path(), &["commit", "-q", "-m", "first"]);
    put("bay/a.ctr", &RECORD.replace("\n2.87\n", "\n  2.88\n"));
    place
}

#[test]
fn a_record_that_was_moved_bears_its_new_name() {
    let place = repository();
    git(place.path(), &["commit", "-q", "-a", "-m", "second"]);
    git(place.path(), &["mv", "bay/a.ctr", "b.ctr"]);
    fs::write(place.path().join("b.ctr"), RECORD).expect("written");
    let told = git(place.path(), &["diff", "HEAD", "-M"]);
    assert!(
        told.starts_with("b.ctr (A1)\n") && told.contains("2.88 ohm -> 2.87 ohm"),
        "{told}"
    );
}

/// The words of a command line, quotes taken off.
fn split(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (index, part) in line.split('"').enumerate() {
        match index % 2 {
            0 => words.extend(part.split_whitespace().map(str::to_owned)),
            _ => words.push(part.to_owned()),
        }
    }
    words
}

#[test]
fn git_diff_prints_the_meaning() {
    let place = repository();
    let told = git(place.path(), &["diff"]);
    assert!(told.starts_with("bay/a.ctr (A1)\n"), "{told}");
    assert!(
        told.contains("2.87 ohm -> 2.88 ohm (+0.0100 ohm, +0.35 %, U"),
        "{told}"
    );
    assert!(
        told.contains("1 observation was altered without an `amended:` line"),
        "{told}"
    );
    // Only laid out otherwise: nothing.
    fs::write(
        place.path().join("bay/a.ctr"),
        RECORD.replace("\n2.87\n", "\n  2.87\n"),
    )
    .expect("written");
    assert_eq!(git(place.path(), &["diff"]), "");
    // A record that comes, and one that goes.
    fs::write(place.path().join("b.ctr"), RECORD.replace("A1", "B1")).expect("written");
    git(place.path(), &["add", "b.ctr"]);
    git(place.path(), &["rm", "-q", "--cached", "bay/a.ctr"]);
    let told = git(place.path(), &["diff", "--cached", "--no-renames"]);
    assert!(
        told.contains("b.ctr (B1), new\n") && told.contains("bay/a.ctr (A1), gone\n"),
        "{told}"
    );
}

#[test]
fn lines_for_log_and_merge_requests() {
    let place = repository();
    // What git shows where no program of ours is asked for a whole diff.
    let told = git(place.path(), &["diff", "--no-ext-diff"]);
    let lines: Vec<&str> = told
        .lines()
        .filter(|line| line.starts_with(['+', '-']))
        .skip(2)
        .collect();
    assert_eq!(
        lines,
        [
            "-visit 2026-03-14 / resistance 1S1-1S2 / 2.87 ohm: resistance 2.87 ohm",
            "+visit 2026-03-14 / resistance 1S1-1S2 / 2.88 ohm: resistance 2.88 ohm"
        ]
    );
}

#[test]
fn two_revisions_are_held_against_each_other() {
    let place = repository();
    git(place.path(), &["commit", "-q", "-a", "-m", "second"]);
    let (code, told) = run(place.path(), &["--revisions", "HEAD~1", "HEAD"]);
    assert_eq!(code, 1, "{told}");
    assert!(
        told.contains("bay/a.ctr (A1)\n") && told.contains("2.87 ohm -> 2.88 ohm"),
        "{told}"
    );
    let bay = place.path().join("bay");
    assert_eq!(
        run(&bay, &["--revisions", "HEAD", "HEAD"]),
        (0, String::new())
    );
    // Against what lies there.
    assert_eq!(run(&bay, &["--revisions", "HEAD"]), (0, String::new()));
    fs::write(bay.join("a.ctr"), RECORD).expect("written");
    let (code, told) = run(&bay, &["--revisions", "HEAD"]);
    assert!(code == 1 && told.contains("2.88 ohm -> 2.87 ohm"), "{told}");
    for wrong in ["no-such-revision", "--output=x", "HEAD:bay"] {
        let (code, told) = run(&bay, &["--revisions", wrong, "HEAD"]);
        assert!(code != 0 && !told.is_empty(), "{wrong}: {told}");
    }
    assert!(!bay.join("x").exists());
}

#[cfg(unix)]
#[test]
fn the_hook_stops_what_cannot_be_read_or_is_not_laid_out() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = repository();
    let hook = place.path().join(".git/hooks/pre-commit");
    fs::write(&hook, recipe("#!/bin/sh")).expect("written");
    fs::set_permissions(&hook, fs::Permissions::from_mode(0o755)).expect("executable");
    let name = "bay/ø b.ctr";
    let commit = |staged: &str, lies: &str| {
        fs::write(place.path().join(name), staged).expect("written");
        git(place.path(), &["add", name]);
        fs::write(place.path().join(name), lies).expect("written");
        git(place.path(), &["commit", "-q", "-m", "more"]);
        git(place.path(), &["log", "--oneline"]).lines().count()
    };
    let own = even(&RECORD.replace("A1", "B1"));
    let ragged = own.replace("id: ", "id:  ");
    let broken = own.replace("2.87", "2.8x");
    assert_eq!(commit(&ragged, &ragged), 1);
    assert_eq!(commit(&ragged, &own), 1, "what lies there is another");
    assert_eq!(commit(&broken, &own), 1);
    // It fails, and says so.
    let fails = own.replace("exciting current: 30 mA", "exciting current: 5 mA");
    assert_eq!(commit(&fails, &broken), 2);
    assert_eq!(commit(&own, &own), 3);
}

/// What git ignores is no part of either state, and a setting counts whatever its letters are.
#[test]
fn a_revision_and_the_folder_are_looked_at_alike() {
    let place = repository();
    let put = |name: &str, text: &str| {
        let path = place.path().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        fs::write(path, text).expect("written");
    };
    fs::remove_file(place.path().join("instruments.toml")).expect("gone");
    put("Instruments.TOML", INSTRUMENTS);
    put(".gitignore", "ign/\n");
    git(place.path(), &["add", "-A"]);
    git(place.path(), &["commit", "-q", "-m", "second"]);
    put("ign/a.ctr", RECORD);
    let (code, told) = run(place.path(), &["--revisions", "HEAD"]);
    // The setting has the wrong letters in both.
    assert_eq!((code, told.as_str()), (0, ""));
    git(
        place.path(),
        &["mv", "-f", "Instruments.TOML", "instruments.toml"],
    );
    put("new.ctr", &RECORD.replace("A1", "N1"));
    let (_, told) = run(place.path(), &["--revisions", "HEAD"]);
    assert!(
        told.contains("new.ctr (N1), new") && !told.contains("ign/"),
        "{told}"
    );
}
