//! The book is true: its records compile, its worked lines are recomputed, its generated pages are
//! those of this program.
//!
//! `BOOK_REFRESH=1 cargo test book` writes the generated pages and worked lines anew.

use kneemark::derive::formulas;
use kneemark::ground::diagnostic::Code;
use kneemark::ground::seam::Memory;
use kneemark::judge::say;
use kneemark::pack::gather::gather;
use kneemark::record::schema::{self, Argument, Kind};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

fn refresh() -> bool {
    std::env::var("BOOK_REFRESH").is_ok_and(|set| set == "1") && std::env::var("CI").is_err()
}

fn page(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("book/src").join(name)
}

fn same(name: &str, text: &str) {
    let path = page(name);
    if refresh() {
        std::fs::write(&path, text).unwrap();
    }
    let there = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(there, text, "{name} is stale: BOOK_REFRESH=1 cargo test book");
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

fn kind(kind: Kind) -> String {
    match kind {
        Kind::Text => "text".into(),
        Kind::Quantity(dimension) => format!("{} ({})", dimension.name(), dimension.examples()),
        Kind::Either(a, b) => format!("{} or {}", a.name(), b.name()),
        Kind::Number => "number".into(),
        Kind::Date => "day".into(),
        Kind::Pair => "pair".into(),
        Kind::Terminals => "terminals".into(),
        Kind::Ratio => "ratio".into(),
        Kind::Class => "class".into(),
        Kind::Burden => "burden".into(),
        Kind::QuantityAt(a, b) => format!("{} at {}", a.name(), b.name()),
        Kind::Between => "what to what".into(),
        Kind::Choice(words) => words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", "),
        Kind::Core => "core".into(),
    }
}

fn argument(argument: Argument) -> &'static str {
    match argument {
        Argument::None => "",
        Argument::Since => " since 2026-03-10",
        Argument::NewCore => " 1S",
        Argument::CoreSince => " 1S since 2026-03-10",
        Argument::Visit => " 2026-03-14",
        Argument::Pair => " 1S1-1S2",
    }
}

#[test]
fn the_page_of_sections_is_the_schema() {
    let mut text = String::from(
        "# Sections, keys, columns\n\nMade from the program's own schema. In a test section the pair is the driven one and may be left\n\
         out; every test section also knows the keys at the end of this page.\n",
    );
    for section in schema::sections() {
        let _ = write!(text, "\n## `[{}{}]`\n\n{}.\n", section.name, argument(section.argument), section.doc);
        if !section.keys.is_empty() {
            text.push_str("\n| key | value | |\n|---|---|---|\n");
            for key in section.keys {
                let _ = writeln!(text, "| `{}:` | {} | {} |", key.word, cell(&kind(key.kind)), cell(key.doc));
            }
        }
        if !section.columns.is_empty() {
            text.push_str("\n| column | value | |\n|---|---|---|\n");
            for column in section.columns {
                let _ = writeln!(text, "| `{}` | {} | {} |", column.word, cell(&kind(column.kind)), cell(column.doc));
            }
        }
    }
    text.push_str("\n## Keys of every test section\n\n| key | value | |\n|---|---|---|\n");
    for key in schema::TEST_KEYS {
        let _ = writeln!(text, "| `{}:` | {} | {} |", key.word, cell(&kind(key.kind)), cell(key.doc));
    }
    same("sections.md", &text);
}

#[test]
fn the_page_of_diagnostics_lists_every_code() {
    let mut text = String::from(
        "# Diagnostics\n\nEvery diagnostic has a stable name. Each has a smallest example with its full text in `tests/corpus/`.\n\n\
         | name | | what it means |\n|---|---|---|\n",
    );
    for code in Code::ALL {
        let _ = writeln!(text, "| `{}` | {} | {} |", code.name(), code.severity().word(), cell(code.what()));
    }
    same("diagnostics.md", &text);
}

#[test]
fn the_page_of_formulas_is_the_ledgers() {
    let mut text = String::from(
        "# Formulas\n\nEvery formula the program computes with, as the program states it. A test evaluates each text and compares it with\n\
         the code on seeded inputs, and each derivative with a difference quotient.\n",
    );
    for formula in formulas::all() {
        let _ = write!(text, "\n## {}\n\n`{}` in {}\n\n", formula.what(), formula.text(), unit(formula.unit()));
        for symbol in formula.symbols() {
            let _ = writeln!(text, "- `{}`: {}, {}", symbol.name, symbol.what, unit(symbol.unit));
        }
        let _ = writeln!(text, "\nSource: {}. Name: `{}`.", formula.source(), formula.name());
    }
    same("formulas.md", &text);
}

fn unit(word: &str) -> &str {
    if word.is_empty() || word == "1" { "1 (a plain number)" } else { word }
}

/// The fenced blocks of a chapter: info string and text.
fn blocks(markdown: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut open: Option<(String, String)> = None;
    for line in markdown.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(info)) => open = Some((info.trim().to_owned(), String::new())),
            (Some(_), Some(_)) => found.extend(open.take()),
            (Some((_, text)), None) => {
                text.push_str(line);
                text.push('\n');
            }
            (None, None) => {}
        }
    }
    found
}

fn chapters() -> Vec<PathBuf> {
    let mut all = Vec::new();
    let mut folders = vec![page("")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "md") {
                all.push(path);
            }
        }
    }
    all.sort();
    all
}

/// The findings of a chapter's record, as `rule: sentence`, in the order of the report.
fn findings(record: &str) -> Vec<(&'static str, String)> {
    let files = Memory::default();
    let instruments = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("records/instruments.toml")).unwrap();
    files.put("book/instruments.toml", instruments);
    files.put("book/record.ctr", record);
    let gathered = gather(&files, &[PathBuf::from("book/record.ctr")]);
    let unit = &gathered.units[0];
    assert!(unit.is_complete(), "{:?}", unit.diagnostics);
    let all = unit.assessment.visits.iter().flat_map(|visit| &visit.findings);
    all.map(|finding| (finding.rule, say::sentence(&unit.record, &unit.assessment.workings, &unit.setting.criteria, finding))).collect()
}

/// In a chapter, a block ```` ```ctr ```` is a record, and each block ```` ```finding RULE ```` behind it
/// holds the sentences of that rule.
#[test]
fn the_worked_lines_are_recomputed() {
    let mut worked = 0;
    for path in chapters() {
        let markdown = std::fs::read_to_string(&path).unwrap();
        let mut record = None;
        let mut fresh = markdown.clone();
        for (info, text) in blocks(&markdown) {
            if info == "ctr" {
                record = Some(findings(&text));
            } else if let Some(rule) = info.strip_prefix("finding ") {
                let all = record.as_ref().unwrap_or_else(|| panic!("{}: no record before {rule}", path.display()));
                let lines: Vec<&str> = all.iter().filter(|(name, _)| *name == rule).map(|(_, sentence)| sentence.as_str()).collect();
                assert!(
                    !lines.is_empty(),
                    "{}: no finding {rule}; there are {:?}",
                    path.display(),
                    all.iter().map(|f| f.0).collect::<Vec<_>>()
                );
                let now = format!("{}\n", lines.join("\n"));
                if refresh() {
                    fresh = fresh.replace(&format!("```{info}\n{text}```"), &format!("```{info}\n{now}```"));
                } else {
                    assert_eq!(text, now, "{} is stale: BOOK_REFRESH=1 cargo test book", path.display());
                }
                worked += 1;
            }
        }
        if refresh() && fresh != markdown {
            std::fs::write(&path, fresh).unwrap();
        }
    }
    assert!(worked >= 8, "{worked} worked lines");
}
