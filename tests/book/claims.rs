//! What the manual says of the program is so: its commands exist, its configuration files are read.

use super::{blocks, chapters, file, page};
use kneemark::ground::source::Source;
use kneemark::judge::requirement::read_criteria;
use kneemark::record::instruments;
use std::collections::BTreeSet;
use std::process::Command;

fn help() -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_kneemark"))
        .arg("--help")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

/// The words behind `kneemark` in a text that are commands by their place: in code or in an indented block.
fn named(text: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (before, after) in text
        .match_indices("kneemark ")
        .map(|(at, word)| text.split_at(at + word.len()))
    {
        let start = before.len() - "kneemark ".len();
        let in_code = start
            .checked_sub(1)
            .is_some_and(|at| matches!(text.as_bytes()[at], b'`'));
        let word: String = after.chars().take_while(char::is_ascii_lowercase).collect();
        if in_code && !word.is_empty() {
            found.insert(word);
        }
    }
    found
}

#[test]
fn every_command_that_the_manual_names_exists() {
    let help = help();
    let exists = |word: &String| {
        help.lines()
            .any(|line| line.split_whitespace().next() == Some(word))
    };
    let mut texts: Vec<String> = chapters()
        .iter()
        .map(|path| std::fs::read_to_string(path).unwrap())
        .collect();
    texts.push(std::fs::read_to_string(file("README.md")).unwrap());
    let all: BTreeSet<String> = texts.iter().flat_map(|text| named(text)).collect();
    assert!(all.contains("check"), "{all:?}");
    let missing: Vec<&String> = all.iter().filter(|word| !exists(word)).collect();
    assert!(
        missing.is_empty(),
        "the manual names commands that are not there: {missing:?}"
    );
}

#[test]
fn commands_are_found_in_code_only() {
    let found = named("`kneemark check FILE` is one; kneemark compiles records; `kneemark report`");
    assert_eq!(found.into_iter().collect::<Vec<_>>(), ["check", "report"]);
}

#[test]
fn every_configuration_block_is_read_without_a_word() {
    let mut read = 0;
    for path in chapters() {
        for block in blocks(&std::fs::read_to_string(&path).unwrap()) {
            let source = Source::new("book.toml", block.text.as_bytes()).0;
            let told = match block.info.as_str() {
                "toml instruments" => instruments::read(&source).1,
                "toml criteria" => read_criteria(&source).1,
                other => {
                    assert!(
                        !other.starts_with("toml"),
                        "{}: which file is this? {other}",
                        path.display()
                    );
                    continue;
                }
            };
            assert!(told.is_empty(), "{}: {told:?}", path.display());
            read += 1;
        }
    }
    assert!(read >= 2, "{read} blocks");
}

/// The summary names every chapter, and every picture that a chapter shows is there.
#[test]
fn nothing_is_missing_in_the_book() {
    let summary = std::fs::read_to_string(page("SUMMARY.md")).unwrap();
    for path in chapters() {
        let text = std::fs::read_to_string(&path).unwrap();
        let name = path
            .strip_prefix(page(""))
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        assert!(
            name == "SUMMARY.md" || summary.contains(&format!("({name})")),
            "{name} is not in the summary"
        );
        for picture in text
            .split("](")
            .skip(1)
            .filter_map(|rest| rest.split(')').next())
            .filter(|to| to.ends_with(".svg"))
        {
            assert!(
                path.parent().unwrap().join(picture).exists(),
                "{name}: no {picture}"
            );
        }
        assert!(!text.contains("![]("), "{name}: a picture without words");
    }
}
