//! Claims: what a verdict may say. Each case is a record that shows one thing, with what must be said of
//! it in its first comments (`cases/README.md`); each whole record proves everything that its kind of
//! transformer promises.

mod behind;
mod empty;
mod settings;
mod signs;
mod whole;
mod wide;

use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::document::Grade;
use kneemark::ground::seam::Disk;
use kneemark::job::{Job, Outcome};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const CASES: &str = "tests/claims/cases";

/// The records in a folder, and in the folders below it.
fn records(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries = std::fs::read_dir(folder).expect("a folder of claims");
    let mut entries: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .collect();
    entries.sort();
    for entry in entries {
        if entry.is_dir() {
            records(&entry, found);
        } else if entry.extension().is_some_and(|ending| ending == "ctr") {
            found.push(entry);
        }
    }
}

/// What `check --all` says, with wrapped lines joined, and each requirement with what came of it.
fn said(job: &Job) -> String {
    let mut all = text(job, Format::Human, true, Style::Plain);
    for one in &job.records {
        let claims = one.claims();
        for shown in &claims.shown {
            let name = one.plain(&claims.name(shown));
            all.push_str(&format!("\n{name} {}\n", shown.standing.word()));
        }
    }
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The closing word of a unit: `pass`, `nothing asked`, `incomplete`, `open`, `fails`.
fn closing(said: &str, id: &str, whose: &str) -> &'static str {
    let of = format!("{id} unit {whose}: ");
    let rest = said.split_once(&of).map_or("", |(_, rest)| rest);
    let words = [
        ("pass", "pass"),
        ("no limit exceeded", "incomplete"),
        ("nothing tested", "incomplete"),
        ("nothing asked", "nothing asked"),
        ("open", "open"),
        ("fails", "fails"),
    ];
    let word = words.into_iter().find(|(start, _)| rest.starts_with(start));
    word.map_or("nothing", |(_, word)| word)
}

/// What a case expects and does not get.
fn wrong(path: &Path) -> Vec<String> {
    let folder = path.parent().expect("a folder");
    let alone = folder == Path::new(CASES);
    let checked = if alone { path } else { folder };
    let job = kneemark::compile(&Disk, &[checked.to_path_buf()]);
    let said = said(&job);
    let case = std::fs::read_to_string(path).expect("a case");
    let id = case
        .lines()
        .find_map(|line| line.strip_prefix("id: "))
        .unwrap_or("-");
    let holds = |key: &str, value: &str| match key {
        "transformer" | "circuit" => closing(&said, id, key) == value,
        "says" => said.contains(value),
        "never" => !said.contains(value),
        "exit" => (job.outcome(Grade::Fails) as u8).to_string() == value,
        _ => true,
    };
    let expected = case.lines().map_while(|line| line.strip_prefix("# "));
    let expected = expected.filter_map(|line| line.split_once(": "));
    let wrong = expected.filter(|(key, value)| !holds(key, value));
    wrong
        .map(|(key, value)| format!("{key}: {value}"))
        .collect()
}

/// Cases that are known not to hold yet stand in the file `OPEN`; one that holds is taken off it.
#[test]
fn every_case_says_what_it_must() {
    let open = std::fs::read_to_string(format!("{CASES}/OPEN")).expect("the list");
    let open: BTreeSet<&str> = open.lines().collect();
    let mut all = Vec::new();
    records(Path::new(CASES), &mut all);
    let mut out = String::new();
    for path in all {
        let name = path
            .file_stem()
            .and_then(|name| name.to_str())
            .expect("a name");
        let wrong = wrong(&path);
        match (wrong.is_empty(), open.contains(name)) {
            (true, true) => out.push_str(&format!("{name}: holds, take it off the list\n")),
            (false, false) => out.push_str(&format!("{name}: {}\n", wrong.join("; "))),
            _ => {}
        }
    }
    assert!(out.is_empty(), "{out}");
}

/// Where a visit of a known purpose asks for nothing, nothing fails by it; of an unknown one it is open.
#[test]
fn what_asks_for_nothing_fails_no_exit_code() {
    let outcome = |case: &str| {
        let path = PathBuf::from(format!("{CASES}/{case}.ctr"));
        kneemark::compile(&Disk, &[path]).outcome(Grade::Open)
    };
    assert_eq!(outcome("later-nothing-asked"), Outcome::Clean);
    assert_eq!(outcome("later-no-purpose"), Outcome::Fails);
}

/// Words and data tell one state by one word.
#[test]
fn where_nothing_is_asked_the_data_says_so_too() {
    let path = PathBuf::from(format!("{CASES}/later-no-purpose.ctr"));
    let job = kneemark::compile(&Disk, &[path]);
    let json: serde_json::Value =
        serde_json::from_str(&kneemark::emit::json::document(&job)).unwrap();
    let verdicts = json["records"][0]["verdicts"].as_array().unwrap();
    assert!(!verdicts.is_empty());
    for verdict in verdicts {
        assert_eq!(
            (&verdict["verdict"], &verdict["due"]),
            (&"nothing asked".into(), &0.into())
        );
    }
}
