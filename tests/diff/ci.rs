//! The recipes of the manual for CI and for a fleet over several machines, word for word.

use super::git::{git, kneemark_first, recipe_of};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

/// The demo job in a repository, with a branch on which a reading was altered.
fn repository() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a folder");
    for (name, text) in crate::demo::files() {
        let path = place.path().join("records").join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("written");
    }
    git(place.path(), &["init", "-q", "-b", "main"]);
    git(place.path(), &["add", "."]);
    git(place.path(), &["commit", "-q", "-m", "first"]);
    place
}

fn script(place: &Path, name: &str, begins: &str, arguments: &[&str]) -> Output {
    let text = recipe_of(|block| {
        block
            .lines()
            .nth(2)
            .is_some_and(|line| line.starts_with(begins))
    });
    fs::write(place.join(name), text).expect("written");
    Command::new("sh")
        .current_dir(place)
        .arg(name)
        .args(arguments)
        .env("PATH", kneemark_first())
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .output()
        .expect("a shell")
}

#[test]
fn a_job_of_ci_builds_the_pack_and_says_what_changes() {
    let place = repository();
    git(place.path(), &["checkout", "-q", "-b", "change"]);
    let record = place.path().join("records/skerrow/h07/h07-l1.ctr");
    let text = fs::read_to_string(&record).expect("a record");
    fs::write(&record, text.replacen("147\n", "146\n", 1)).expect("written");
    git(place.path(), &["commit", "-q", "-a", "-m", "second"]);
    let done = script(place.path(), "ci.sh", "# ci.sh", &["main"]);
    let told = String::from_utf8_lossy(&done.stdout);
    let why = String::from_utf8_lossy(&done.stderr);
    assert_eq!(done.status.code(), Some(0), "{told}{why}");
    let changes = fs::read_to_string(place.path().join("changes.md")).expect("a comment");
    assert!(
        changes.contains("147 Gohm") && changes.contains("146 Gohm"),
        "{changes}"
    );
    assert!(told.contains("::error file=records/"), "{told}");
    assert!(place.path().join("pack/index.html").exists());
    // A record that cannot be read fails the job.
    fs::write(&record, text.replacen("147\n", "14x7\n", 1)).expect("written");
    git(place.path(), &["commit", "-q", "-a", "-m", "third"]);
    let done = script(place.path(), "ci.sh", "# ci.sh", &["main"]);
    assert!(!done.status.success());
}

/// Lines that tell something of a record; what is counted at the end is of the part.
fn lines(text: &str) -> BTreeSet<String> {
    let lines = text
        .lines()
        .filter(|line| !line.contains(" records: ") && !line.contains(" record: "));
    lines.map(str::to_owned).collect()
}

#[test]
fn the_parts_of_a_fleet_say_what_the_whole_says() {
    let place = repository();
    // Bays in the place of sites, and a name with blanks in it.
    let records = place.path().join("records");
    for entry in fs::read_dir(records.join("skerrow")).expect("a folder") {
        let entry = entry.expect("an entry");
        let name = entry.file_name().to_string_lossy().replace("h0", "h 0");
        fs::rename(entry.path(), records.join(name)).expect("moved");
    }
    let whole = Command::new(assert_cmd::cargo::cargo_bin("kneemark"))
        .current_dir(place.path())
        .args(["check", "--format", "short", "records"])
        .output()
        .expect("a program");
    let mut said = BTreeSet::new();
    let mut worst = 0;
    for mine in ["0", "1", "2"] {
        let done = script(place.path(), "part.sh", "# part.sh", &[mine, "3"]);
        worst = worst.max(done.status.code().unwrap_or(99));
        let text =
            fs::read_to_string(place.path().join(format!("check-{mine}.txt"))).expect("told");
        let own = lines(&text);
        assert!(own.len() > 10 && own.is_disjoint(&said), "{mine}: {text}");
        said.extend(own);
        assert!(
            place
                .path()
                .join(format!("fleet-{mine}/quantities"))
                .is_dir(),
            "{mine}"
        );
    }
    assert_eq!(said, lines(&String::from_utf8_lossy(&whole.stdout)));
    assert_eq!(Some(worst), whole.status.code());
    // More machines than folders.
    let done = script(place.path(), "part.sh", "# part.sh", &["98", "99"]);
    assert_eq!(done.status.code(), Some(0));
    assert!(!place.path().join("check-98.txt").exists());
}
