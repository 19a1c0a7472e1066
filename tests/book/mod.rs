//! The book is true: its records compile, its worked lines are recomputed, its pictures are drawn from
//! its records, its generated pages are those of this program.
//!
//! `BOOK_REFRESH=1 cargo test book` writes the generated pages, worked lines and pictures anew. What
//! is worked by hand is never written by the program, only checked.

mod bounds;
mod chart;
mod claims;
mod compiled;
mod console;
mod pages;
mod pictures;
mod sketch;
mod worked;

use std::path::{Path, PathBuf};

/// Whether files are to be written anew; never in CI.
fn refresh() -> bool {
    std::env::var("BOOK_REFRESH").is_ok_and(|set| set == "1") && std::env::var("CI").is_err()
}

/// A file of the repository.
fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// A file of the book.
fn page(name: &str) -> PathBuf {
    file("book/src").join(name)
}

/// Holds a file of the book to what it should be, or writes it.
fn same(name: &str, text: &str) {
    let path = page(name);
    let there = std::fs::read_to_string(&path).unwrap_or_default();
    if there == text {
        return;
    }
    assert!(refresh(), "{name} is stale: BOOK_REFRESH=1 cargo test book");
    std::fs::write(&path, text).unwrap();
}

/// A fenced block.
struct Block {
    /// What stands behind the fence: `finding knee-emf`.
    info: String,
    text: String,
}

/// The fenced blocks of a chapter, in order.
fn blocks(markdown: &str) -> Vec<Block> {
    let mut found = Vec::new();
    let mut open: Option<Block> = None;
    for line in markdown.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(info)) => {
                open = Some(Block {
                    info: info.trim().to_owned(),
                    text: String::new(),
                })
            }
            (Some(_), Some(_)) => found.extend(open.take()),
            (Some(block), None) => {
                block.text.push_str(line);
                block.text.push('\n');
            }
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a fence is not closed");
    found
}

/// All chapters, in the order of their paths.
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
