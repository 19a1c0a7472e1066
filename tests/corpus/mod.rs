//! One smallest example for every diagnostic, and what `kneemark check` says about it.
//!
//! `NAME.ctr` is checked alone; a folder with a `NAME.txt` beside it is checked as a whole. The name
//! begins with the code it shows, or with `fine` where nothing may be said. `NAME.txt` is what is
//! printed, without findings and count. After a change of words: `CORPUS_REFRESH=1 cargo test corpus`,
//! then read every change.
#![allow(clippy::disallowed_methods, reason = "the corpus lies on the disk")]

use kneemark::cli::draw::{Style, human};
use kneemark::compile;
use kneemark::ground::diagnostic::Code;
use kneemark::ground::seam::Memory;
use kneemark::ground::source::{MAX_BYTES, MAX_LINES};
use kneemark::job::Job;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

const ROOT: &str = "tests/corpus";
/// Told by the pack, which knows the day of issue; its own tests show it.
const ELSEWHERE: &[Code] = &[Code::VisitFuture];
/// Examples that are made here, since they have no file or a huge one.
const MADE: &[&str] = &[
    "feeder-chain",
    "file-left-out",
    "file-unreadable",
    "too-long",
    "too-long-lines",
];

fn disk() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(ROOT)
}

fn walk(folder: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
    for entry in std::fs::read_dir(folder).expect("the corpus can be listed") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            walk(&path, found);
        } else {
            let name = path
                .strip_prefix(disk())
                .expect("below the corpus")
                .to_string_lossy()
                .replace('\\', "/");
            found.insert(name, std::fs::read(&path).expect("a file"));
        }
    }
}

fn files() -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    walk(&disk(), &mut found);
    found
}

/// Names of all examples: records, folders that are checked as a whole, and those made here.
fn names(files: &BTreeMap<String, Vec<u8>>) -> BTreeSet<String> {
    let whole = |name: &str| {
        name.split_once('/')
            .is_some_and(|(folder, _)| shows(folder).is_some())
    };
    let records = files
        .keys()
        .filter(|name| !whole(name))
        .filter_map(|name| name.strip_suffix(".ctr"));
    let folders = files
        .keys()
        .filter(|name| whole(name))
        .filter_map(|name| name.split_once('/'))
        .map(|(folder, _)| folder);
    records
        .chain(folders)
        .chain(MADE.iter().copied())
        .map(str::to_owned)
        .collect()
}

/// The code that an example is for.
fn shows(name: &str) -> Option<Code> {
    let stem = name.rsplit('/').next().unwrap_or(name);
    let fits = |code: &&Code| {
        stem.strip_prefix(code.name())
            .is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
    };
    Code::ALL
        .iter()
        .copied()
        .filter(|code| fits(&code))
        .max_by_key(|code| code.name().len())
}

fn run(name: &str, memory: &Memory, files: &BTreeMap<String, Vec<u8>>) -> Job {
    let record = format!("{name}.ctr");
    let path = match name {
        "too-long" => {
            memory.put(format!("{ROOT}/{record}"), vec![b'#'; MAX_BYTES + 1]);
            record
        }
        "too-long-lines" => {
            memory.put(format!("{ROOT}/{record}"), "[\n".repeat(MAX_LINES + 1));
            record
        }
        "file-left-out" => {
            memory.put(format!("{ROOT}/file-left-out/a.CTR"), "format: 1\n");
            "file-left-out".to_owned()
        }
        "feeder-chain" => {
            for at in 0..34 {
                let path = format!("{ROOT}/feeder-chain/{at:02}.ctr");
                memory.put(path, link_of_a_chain(at));
            }
            "feeder-chain".to_owned()
        }
        "file-unreadable" => record,
        _ if files.contains_key(&record) => record,
        folder => folder.to_owned(),
    };
    compile(memory, &[PathBuf::from(format!("{ROOT}/{path}"))])
}

/// A CT that the next one feeds; the last of 34 is the main CT.
fn link_of_a_chain(at: usize) -> String {
    let fed = match at {
        33 => String::new(),
        _ => format!("fed by: AUX-{:02} S\n", at + 1),
    };
    format!(
        "format: 1\n[ct]\nid: AUX-{at:02}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 20\n{fed}[core S]\n\
         class: 5P20\nburden: 15 VA\nratio: 1/1 A\nresistance: 0.50 ohm at 75 C\n"
    )
}

fn memory(files: &BTreeMap<String, Vec<u8>>) -> Memory {
    let memory = Memory::default();
    for (name, bytes) in files {
        memory.put(format!("{ROOT}/{name}"), bytes.clone());
    }
    memory
}

fn refresh() -> bool {
    let set = |name: &str| std::env::var(name).is_ok_and(|value| !value.is_empty());
    assert!(
        !(set("CORPUS_REFRESH") && set("CI")),
        "expectations are written by people, never by CI"
    );
    set("CORPUS_REFRESH")
}

#[test]
fn every_example_says_what_is_written_beside_it() {
    let files = files();
    let memory = memory(&files);
    let mut wrong = Vec::new();
    for name in names(&files) {
        let gathered = run(&name, &memory, &files);
        let each = gathered.diagnostics();
        let drawn = each.map(|(source, found)| human(source, found, Style::Plain));
        let text: String = drawn.collect();
        let beside = format!("{name}.txt");
        if refresh() {
            std::fs::write(disk().join(&beside), &text).expect("written");
        } else if files.get(&beside).map(Vec::as_slice) != Some(text.as_bytes()) {
            wrong.push(format!("--- {beside}\n{text}"));
        }
        let mut codes = codes(&gathered);
        if disk().join(&name).is_dir() {
            // Each file of a folder may tell the same.
            codes.dedup();
        }
        let wanted: Vec<Code> = shows(&name).into_iter().collect();
        if codes != wanted {
            wrong.push(format!(
                "--- {name} is to show {wanted:?} alone, but shows {codes:?}"
            ));
        }
    }
    assert!(
        wrong.is_empty(),
        "{}\n{} differences",
        wrong.join("\n"),
        wrong.len()
    );
}

fn codes(gathered: &Job) -> Vec<Code> {
    let others = gathered.others.iter().flat_map(|told| &told.diagnostics);
    others
        .chain(gathered.records.iter().flat_map(|unit| &unit.diagnostics))
        .map(|diagnostic| diagnostic.code)
        .collect()
}

#[test]
fn every_code_has_an_example() {
    let files = files();
    let shown: BTreeSet<Code> = names(&files)
        .iter()
        .filter_map(|name| shows(name))
        .collect();
    let missing: Vec<&str> = Code::ALL
        .iter()
        .filter(|code| !shown.contains(code) && !ELSEWHERE.contains(code))
        .map(|code| code.name())
        .collect();
    assert!(missing.is_empty(), "no example of {missing:?}");
}

#[test]
fn every_example_is_for_a_code_and_every_expectation_has_its_example() {
    let files = files();
    let names = names(&files);
    for name in &names {
        let stem = name.rsplit('/').next().unwrap_or(name);
        assert!(
            shows(name).is_some() || stem.starts_with("fine"),
            "{name} is named after no code"
        );
    }
    for name in files.keys().filter_map(|name| name.strip_suffix(".txt")) {
        assert!(names.contains(name), "{name}.txt has no example");
    }
}
