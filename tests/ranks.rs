//! Imports point downward only: a stage may use the stages below it, never itself from outside nor
//! one beside or above it. The order is the one of `src/lib.rs`.
#![allow(
    clippy::disallowed_methods,
    reason = "the test reads the sources themselves"
)]

use std::path::Path;

const RANKS: &[(&str, u8)] = &[
    ("ground", 0),
    ("standards", 0),
    ("chart", 1),
    ("document", 1),
    ("syntax", 2),
    ("trade", 2),
    ("record", 3),
    ("derive", 4),
    ("layout", 4),
    ("judge", 5),
    ("compare", 6),
    ("job", 7),
    ("diff", 8),
    ("intake", 8),
    ("report", 8),
    ("pack", 9),
    ("editor", 9),
    ("archive", 9),
    ("emit", 10),
    ("cli", 11),
];

fn rank(stage: &str) -> Option<u8> {
    RANKS
        .iter()
        .find(|(name, _)| *name == stage)
        .map(|(_, rank)| *rank)
}

/// The stages that a text names behind `crate::`, also inside braces, with their lines.
fn named(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices("crate::") {
        let line = text[..at].matches('\n').count() + 1;
        let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
        if text[start..at].contains("//") {
            continue;
        }
        let rest = &text[at + "crate::".len()..];
        match rest.strip_prefix('{') {
            Some(list) => found.extend(firsts(list).into_iter().map(|name| (line, name))),
            None => found.push((line, word(rest))),
        }
    }
    found
}

fn word(text: &str) -> String {
    text.chars()
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect()
}

/// The first word of every entry of a `{…}` list that is already open.
fn firsts(list: &str) -> Vec<String> {
    let (mut depth, mut fresh, mut found) = (0, true, Vec::new());
    for (at, c) in list.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => fresh = true,
            c if depth == 0 && fresh && c.is_alphabetic() => {
                found.push(word(&list[at..]));
                fresh = false;
            }
            _ => {}
        }
    }
    found
}

/// What a file of a stage must not name.
fn upward(stage: &str, text: &str) -> Vec<String> {
    let Some(own) = rank(stage) else {
        return vec![format!("the stage {stage} has no rank")];
    };
    let bad = |(line, other): (usize, String)| {
        let there = rank(&other)?;
        (other != stage && there >= own)
            .then(|| format!("line {line}: {stage} ({own}) names {other} ({there})"))
    };
    named(text).into_iter().filter_map(bad).collect()
}

fn walk(folder: &Path, stage: &str, wrong: &mut Vec<String>, seen: &mut usize) {
    let mut entries: Vec<_> = std::fs::read_dir(folder)
        .expect("src/ can be listed")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            walk(&path, stage, wrong, seen);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            *seen += 1;
            let text = std::fs::read_to_string(&path).expect("a source");
            wrong.extend(
                upward(stage, &text)
                    .into_iter()
                    .map(|told| format!("{}: {told}", path.display())),
            );
        }
    }
}

#[test]
fn imports_point_downward() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut wrong = Vec::new();
    let mut stages: Vec<_> = std::fs::read_dir(&root)
        .expect("src/ can be listed")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    stages.sort();
    for path in stages.iter().filter(|path| path.is_dir()) {
        let stage = path
            .file_name()
            .map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default();
        let mut seen = 0;
        walk(path, &stage, &mut wrong, &mut seen);
        assert!(seen > 0, "{stage} holds no source");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn an_upward_import_is_seen() {
    assert_eq!(
        upward(
            "record",
            "use crate::ground::span::Span;\nuse crate::syntax::Class;\nuse crate::record::words;\n"
        )
        .len(),
        0
    );
    assert_eq!(
        upward("record", "use crate::judge::finding::Finding;\n").len(),
        1
    );
    assert_eq!(
        upward("derive", "let x = crate::report::page::page();\n").len(),
        1
    );
    assert_eq!(
        upward(
            "ground",
            "use crate::{\n    ground::span::{Given, Span},\n    syntax::Class,\n};\n"
        )
        .len(),
        1
    );
    assert_eq!(upward("ground", "// crate::cli is far above\n").len(), 0);
    assert_eq!(upward("newcomer", "").len(), 1);
}
