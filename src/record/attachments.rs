//! `[attachments]`: the files that belong to a visit: photos, oscillograms, certificates. What lies in them is looked
//! at by people; here stand only their names and sums. Whether they lie there, `job` finds out.

use super::Record;
use super::body::{Body, Cells};
use super::schema::section;
use super::words;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::{Located, Span};
use std::collections::BTreeMap;

section! {
    "attachments", OfVisit, "files that belong to the visit: photos, oscillograms, certificates; they change no verdict";
    /// All of one section.
    Attachments::read(body: &Body) {} + {
        rows: Vec<Attachment> = body.cells().filter(|cells| !cells.is_blank()).map(Attachment::read).collect();
    }
    /// One file.
    Attachment::read(cells: Cells<'_>) {
        file: Text "the file as seen from the folder of the record, in it or below: photos/box.jpg";
        shows: Text "what it is, or what it shows: photo of the rating plate, certificate of the reference CT";
        sha256 "SHA-256": Text
            "SHA-256 of its bytes in 64 hexadecimal digits, so that another file under its name is told";
    } + {
        span: Span = cells.row.span;
    }
}

impl Attachment {
    /// The sum that is written, in small letters; `None` where there is none, or one that is none.
    pub fn sum(&self) -> Option<String> {
        let text = self.sha256.value()?;
        is_sum(text).then(|| text.to_ascii_lowercase())
    }
}

fn is_sum(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// Whether a path leads out of its folder by its words alone. A backslash parts folders on some machines and is a
/// letter of the name on others.
pub fn leads_out(path: &str) -> bool {
    let has_drive = path.as_bytes().get(1) == Some(&b':');
    let mut parts = path.split('/');
    path.starts_with('/') || has_drive || path.contains('\\') || parts.any(|part| part == "..")
}

/// Whether a part of a path begins with a dot: what programs keep for themselves (`.git`) is no paper of a visit.
pub fn is_hidden(path: &str) -> bool {
    let mut parts = path.split('/');
    parts.any(|part| part.starts_with('.') && part != ".")
}

/// Whether a path is that of a folder by its words alone.
pub fn ends_in_folder(path: &str) -> bool {
    matches!(path.rsplit('/').next(), Some("" | "."))
}

/// The path without the parts that say nothing.
fn plain(path: &str) -> String {
    let parts = path.split('/').filter(|part| !matches!(*part, "" | "."));
    parts.collect::<Vec<_>>().join("/")
}

/// Tells what the lines themselves show: a row without a file, a sum that is none, one file with two sums.
pub(super) fn check(record: &Record, found: &mut Vec<Diagnostic>) {
    let mut sums: BTreeMap<String, Located<String>> = BTreeMap::new();
    for row in record.visits.iter().flat_map(|visit| &visit.attachments) {
        if let Some(Located { value, span }) = row.sha256.get()
            && !is_sum(value)
        {
            found.push(words::sum_unreadable(value.chars().count(), *span));
        }
        let Some(file) = row.file.get() else {
            if row.file.is_missing() {
                found.push(words::attachment_nameless(row.span));
            }
            continue;
        };
        if leads_out(&file.value) {
            let forward = file.value.replace('\\', "/");
            found.push(match leads_out(&forward) {
                true => words::attachment_outside(file.span),
                false => words::attachment_backslash(file.span, &forward),
            });
            continue;
        }
        if is_hidden(&file.value) {
            found.push(words::attachment_hidden(file.span));
            continue;
        }
        let Some(sum) = row.sum() else { continue };
        let first = sums
            .entry(plain(&file.value))
            .or_insert_with(|| Located::new(sum.clone(), file.span));
        if first.value != sum {
            found.push(words::attachment_twice(file.span, first.span));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_stays_in_its_folder_or_is_told() {
        for path in [
            "a.jpg",
            "b/c d.png",
            "./a.jpg",
            "..a/b..",
            "b/./c",
            ".git/config",
        ] {
            assert!(!leads_out(path), "{path}");
        }
        for path in ["/a", "../a", "b/../../a", "..", "C:a", "b\\a", "b/.."] {
            assert!(leads_out(path), "{path}");
        }
    }

    #[test]
    fn what_is_hidden_or_a_folder_is_known_by_its_path() {
        for path in [".git/config", "./.a", "b/.c/d", "..a"] {
            assert!(is_hidden(path), "{path}");
        }
        for path in ["./a.jpg", "a.b/c.", "b/./c"] {
            assert!(!is_hidden(path) && !ends_in_folder(path), "{path}");
        }
        for path in ["a/", "a/.", ".", "./"] {
            assert!(ends_in_folder(path), "{path}");
        }
    }

    #[test]
    fn a_sum_has_64_hexadecimal_digits() {
        assert!(is_sum(&"0aF9".repeat(16)));
        assert!(!is_sum(&"0aF9".repeat(15)) && !is_sum(&"0aG9".repeat(16)));
        assert_eq!(plain("./a//b"), "a/b");
    }
}
