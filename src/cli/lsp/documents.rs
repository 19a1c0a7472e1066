//! The texts that are open in the editor, and edits of them.

use super::position::{Encoding, Lines, Starts};
use crate::editor::Looked;
use crate::job::is_record;
use gen_lsp_types::TextDocumentContentChangePartial as Part;
use gen_lsp_types::TextDocumentContentChangeWholeDocument as Whole;
use percent_encoding::percent_decode_str;
use serde_json::Value;
use std::path::{Path, PathBuf};

/// What a text is to kneemark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Record,
    Instruments,
    Criteria,
    Pack,
    /// Nothing that we read.
    Other,
}

impl Role {
    /// By the name of its file; a record without one by its language.
    pub(super) fn of(path: Option<&Path>, language: &str) -> Self {
        let name = path.and_then(Path::file_name).unwrap_or_default();
        match name.to_str() {
            Some("instruments.toml") => Self::Instruments,
            Some("criteria.toml") => Self::Criteria,
            Some("pack.toml") => Self::Pack,
            _ if path.is_some_and(is_record) || language == "kneemark" => Self::Record,
            _ => Self::Other,
        }
    }

    pub(super) fn is_configuration(self) -> bool {
        matches!(self, Self::Instruments | Self::Criteria | Self::Pack)
    }
}

/// How far what was found of a text goes with the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    /// What was found, if anything, is of an earlier state.
    Due,
    /// It is found, and not told yet.
    Looked,
    Told,
}

pub(super) struct Document {
    /// `None` of a text that was never saved.
    pub path: Option<PathBuf>,
    pub role: Role,
    /// As the editor counts, where it does.
    pub version: Option<i32>,
    pub text: String,
    /// Whether the editor has this text; not so from a change that could not be read until the next whole text.
    pub in_step: bool,
    /// What the last look found; it stands until the next one.
    pub looked: Option<Looked>,
    pub state: State,
    /// Which edit of all was its last.
    pub edited: u64,
}

enum Change {
    Part(Part),
    Whole(Whole),
}

impl Change {
    /// What names a range is of that range, or nothing.
    fn read(change: Value) -> Option<Self> {
        match change.get("range") {
            Some(_) => serde_json::from_value(change).ok().map(Self::Part),
            None => serde_json::from_value(change).ok().map(Self::Whole),
        }
    }
}

impl Document {
    /// Takes the changes of one message, each on the text that the one before left.
    pub(super) fn change(&mut self, changes: Vec<Value>, encoding: Encoding) {
        let mut starts = Starts::of(&self.text);
        for change in changes {
            match Change::read(change) {
                Some(Change::Whole(whole)) => {
                    (self.text, self.in_step) = (whole.text, true);
                    starts = Starts::of(&self.text);
                }
                Some(Change::Part(part)) if self.in_step => {
                    let lines = Lines::with(&self.text, &starts, encoding);
                    let (start, end) = (lines.byte(part.range.start), lines.byte(part.range.end));
                    let range = start.min(end)..start.max(end);
                    self.text.replace_range(range.clone(), &part.text);
                    starts.replaced(&self.text, range, part.text.len());
                }
                Some(Change::Part(_)) => {}
                None => self.in_step = false,
            }
        }
    }
}

/// The file of an address; `None` of one that is no file's.
pub(super) fn path_of(address: &str) -> Option<PathBuf> {
    let rest = address.strip_prefix("file://")?;
    let (_host, path) = rest.split_at(rest.find('/')?);
    let path = path.split(['?', '#']).next().unwrap_or(path);
    let path = percent_decode_str(path).decode_utf8().ok()?;
    // No system opens such a file, and nothing else in a path is to be refused.
    (!path.contains('\0')).then(|| PathBuf::from(&*path))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    fn document(text: &str) -> Document {
        Document {
            path: None,
            role: Role::Record,
            version: None,
            text: text.to_owned(),
            in_step: true,
            looked: None,
            state: State::Due,
            edited: 0,
        }
    }

    #[test]
    fn an_address_is_a_file_or_nothing() {
        let path = |address: &str| path_of(address).map(|path| path.display().to_string());
        assert_eq!(
            path("file:///a%20b/%CE%A9.ctr").as_deref(),
            Some("/a b/Ω.ctr")
        );
        assert_eq!(path("file://localhost/a.ctr#3").as_deref(), Some("/a.ctr"));
        for none in [
            "untitled:1",
            "file:",
            "file://",
            "file:///%ff",
            "file:///%00",
            "",
            "ftp:///a",
        ] {
            assert_eq!(path(none), None, "{none}");
        }
    }

    proptest! {
        /// Edits by range leave the text that the editor has: the same edits made on UTF-16 code units.
        #[test]
        fn edits_by_range_and_whole_texts_agree(
            text in "[abΩ°🔌\n]{0,30}",
            edits in prop::collection::vec((0u32..6, 0u32..9, 0u32..6, 0u32..9, "[xΩ🔌\n]{0,4}"), 0..8),
        ) {
            let mut own = document(&text);
            let mut expected: Vec<u16> = text.encode_utf16().collect();
            for (line, character, to_line, to_character, new) in edits {
                let place = |line: u32, character: u32, units: &[u16]| {
                    let mut start = 0;
                    for _ in 0..line {
                        match units[start..].iter().position(|unit| *unit == 10) {
                            Some(end) => start += end + 1,
                            None => return units.len(),
                        }
                    }
                    let rest = &units[start..];
                    let length = rest.iter().position(|unit| *unit == 10).unwrap_or(rest.len());
                    let mut at = (character as usize).min(length);
                    // Never within a pair.
                    if at < rest.len() && (0xdc00..0xe000).contains(&rest[at]) && at > 0 { at -= 1; }
                    start + at
                };
                let (a, b) = (place(line, character, &expected), place(to_line, to_character, &expected));
                expected.splice(a.min(b)..a.max(b), new.encode_utf16());
                let range = json!({
                    "start": {"line": line, "character": character},
                    "end": {"line": to_line, "character": to_character},
                });
                own.change(vec![json!({"range": range, "text": new})], Encoding::Utf16);
                prop_assert_eq!(&own.text, &String::from_utf16(&expected).unwrap());
            }
            let whole = own.text.clone();
            let mut other = document("what was there");
            other.change(vec![json!({"text": whole})], Encoding::Utf16);
            prop_assert_eq!(other.text, whole);
        }
    }
}
