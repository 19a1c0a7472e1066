//! A visit without a test answers nothing: no word gets better by it, and what failed goes on failing.

use super::{CASES, closing, records, said};
use kneemark::ground::seam::{Disk, Files, Memory};
use std::path::{Path, PathBuf};

const WORDS: [&str; 6] = [
    "pass",
    "nothing asked",
    "incomplete",
    "open",
    "fails",
    "nothing",
];

fn rank(word: &str) -> usize {
    WORDS
        .iter()
        .position(|known| *known == word)
        .expect("a word")
}

/// The words of transformer and circuit of a record with more behind it, among the files beside it.
fn words(path: &Path, more: &str) -> [&'static str; 2] {
    let files = Memory::default();
    for name in ["instruments.toml", "criteria.toml"] {
        let beside = path.with_file_name(name);
        if path.parent() != Some(Path::new(CASES)) && Disk.exists(&beside) {
            files.put(name, std::fs::read_to_string(beside).expect("a file"));
        }
    }
    let text = std::fs::read_to_string(path).expect("a record");
    files.put("case.ctr", format!("{text}\n{more}"));
    let said = said(&kneemark::compile(&files, &[PathBuf::from("case.ctr")]));
    let id = text.lines().find_map(|line| line.strip_prefix("id: "));
    ["transformer", "circuit"].map(|whose| closing(&said, id.unwrap_or("-"), whose))
}

#[test]
fn an_empty_visit_answers_nothing() {
    let mut all = Vec::new();
    records(Path::new("tests/claims"), &mut all);
    let mut out = String::new();
    for path in all {
        let before = words(&path, "");
        for purpose in ["retest", "investigation", "maintenance", "commissioning"] {
            let more = format!("[visit 2031-02-03]\npurpose: {purpose}\n");
            let after = words(&path, &more);
            let better = |(before, after): (&&str, &&str)| match purpose {
                // It asks for the same as the one before.
                "retest" => rank(after) < rank(before),
                _ => *before == "fails" && *after != "fails",
            };
            if before.iter().zip(&after).any(better) {
                out.push_str(&format!(
                    "{}, {purpose}: {before:?}, then {after:?}\n",
                    path.display()
                ));
            }
        }
    }
    assert!(out.is_empty(), "{out}");
}
