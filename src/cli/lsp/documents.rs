//! The texts that are open in the editor, and edits of them.

use super::position::{Encoding, Lines};
use crate::editor::Looked;
use crate::job::is_record;
use gen_lsp_types::TextDocumentContentChangeEvent as Change;
use percent_encoding::percent_decode_str;
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

pub(super) struct Document {
    /// `None` of a text that was never saved.
    pub path: Option<PathBuf>,
    pub role: Role,
    pub version: i32,
    pub text: String,
    /// What was found of it as it stands now; `None` where that is to be found out.
    pub looked: Option<Looked>,
    /// What the editor shows of it is not what stands now.
    pub stale: bool,
}

impl Document {
    /// Takes the changes of one message, each on the text that the one before left.
    pub(super) fn change(&mut self, changes: Vec<Change>, encoding: Encoding) {
        for change in changes {
            match change {
                Change::TextDocumentContentChangePartial(part) => {
                    let lines = Lines::of(&self.text, encoding);
                    let (start, end) = (lines.byte(part.range.start), lines.byte(part.range.end));
                    let (start, end) = (start.min(end), start.max(end));
                    self.text.replace_range(start..end, &part.text);
                }
                Change::TextDocumentContentChangeWholeDocument(whole) => self.text = whole.text,
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
    use gen_lsp_types::{
        Position, Range, TextDocumentContentChangePartial, TextDocumentContentChangeWholeDocument,
    };
    use proptest::prelude::*;

    fn document(text: &str) -> Document {
        Document {
            path: None,
            role: Role::Record,
            version: 0,
            text: text.to_owned(),
            looked: None,
            stale: false,
        }
    }

    #[allow(deprecated, reason = "the length of a range is the editor's business")]
    fn part(range: Range, text: &str) -> Change {
        Change::TextDocumentContentChangePartial(TextDocumentContentChangePartial {
            range,
            range_length: None,
            text: text.to_owned(),
        })
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
                let range = Range::new(Position::new(line, character), Position::new(to_line, to_character));
                own.change(vec![part(range, &new)], Encoding::Utf16);
                prop_assert_eq!(&own.text, &String::from_utf16(&expected).unwrap());
            }
            let whole = own.text.clone();
            let mut other = document("what was there");
            let event = TextDocumentContentChangeWholeDocument { text: whole.clone() };
            other.change(vec![Change::TextDocumentContentChangeWholeDocument(event)], Encoding::Utf16);
            prop_assert_eq!(other.text, whole);
        }
    }
}
