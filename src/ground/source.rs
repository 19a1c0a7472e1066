//! One source text: its name, its bytes' fingerprint, its lines. Refuses what no later stage wants
//! to see (too long, not UTF-8, control characters), so that every later function may rely on it.

use super::diagnostic::{Code, Diagnostic};
use super::span::Span;
use sha2::{Digest, Sha256};

/// Longest accepted source in bytes.
pub const MAX_BYTES: usize = 4 << 20;
/// Most accepted lines.
pub const MAX_LINES: usize = 50_000;

/// A source text. `text` never holds a byte order mark, a lone CR or another control character
/// than tab and line ends, unless `refused` is set.
#[derive(Clone, Debug)]
pub struct Source {
    /// As shown in messages: a relative path with forward slashes.
    pub name: String,
    pub text: String,
    /// Whether the file began with a byte order mark (it is kept out of `text`).
    pub bom: bool,
    /// Lower-case hexadecimal SHA-256 of the file's bytes.
    pub sha256: String,
    /// Set when nothing may be read out of the text.
    pub refused: bool,
    line_starts: Vec<u32>,
}

/// Lower-case hexadecimal SHA-256.
pub fn sha256(bytes: &[u8]) -> String {
    let mut sum = Sum::default();
    sum.add(bytes);
    sum.text()
}

/// SHA-256 of bytes that come piece by piece.
#[derive(Clone, Debug, Default)]
pub struct Sum(Sha256);

impl Sum {
    pub fn add(&mut self, piece: &[u8]) {
        self.0.update(piece);
    }

    /// Lower-case hexadecimal.
    pub fn text(self) -> String {
        const DIGITS: [char; 16] = [
            '0', '1', '2', '3', '4', '5', '6', '7', '8', '9', 'a', 'b', 'c', 'd', 'e', 'f',
        ];
        let digit = |nibble: u8| DIGITS.get(usize::from(nibble)).copied().unwrap_or_default();
        let digest = self.0.finalize();
        digest
            .iter()
            .flat_map(|byte| [digit(byte >> 4), digit(byte & 15)])
            .collect()
    }
}

/// A place for people: 1-based line and column (in characters).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LineColumn {
    pub line: usize,
    pub column: usize,
}

impl Source {
    /// Takes a file's bytes. Problems that forbid reading it come back as diagnostics and set `refused`.
    pub fn new(name: &str, bytes: &[u8]) -> (Self, Vec<Diagnostic>) {
        let mut found = Vec::new();
        let sha256 = sha256(bytes);
        let over = bytes.len() > MAX_BYTES;
        let kept = bytes.get(..bytes.len().min(MAX_BYTES)).unwrap_or(bytes);
        let (bom, kept) = match kept.strip_prefix(b"\xEF\xBB\xBF") {
            Some(rest) => (true, rest),
            None => (false, kept),
        };
        let text = match std::str::from_utf8(kept) {
            Ok(text) => text.to_owned(),
            Err(error) if over && error.valid_up_to() + 4 > kept.len() => {
                String::from_utf8_lossy(kept).into_owned()
            }
            Err(error) => {
                found.push(not_utf8(error.valid_up_to()));
                String::from_utf8_lossy(kept).into_owned()
            }
        };
        let line_starts = line_starts(&text);
        if over {
            found = vec![too_long(
                format!("{} bytes", bytes.len()),
                format!("{MAX_BYTES} bytes"),
            )];
        } else if line_starts.len() > MAX_LINES + 1 {
            found.push(too_long(
                format!("{} lines", line_starts.len() - 1),
                format!("{MAX_LINES} lines"),
            ));
        } else if found.is_empty() {
            found.extend(control_characters(&text));
        }
        let refused = !found.is_empty();
        (
            Self {
                name: name.to_owned(),
                text,
                bom,
                sha256,
                refused,
                line_starts,
            },
            found,
        )
    }

    /// The text of a span; empty when the span does not fit.
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }

    /// Its lines with their line ends, each behind the place where it starts.
    pub fn lines(&self) -> impl Iterator<Item = (usize, &str)> {
        let starts = self.line_starts.iter().map(|start| *start as usize);
        let ends = starts.clone().skip(1).chain([self.text.len()]);
        let lines = starts.zip(ends);
        lines.filter_map(|(start, end)| {
            Some((start, self.text.get(start..end)?)).filter(|(_, line)| !line.is_empty())
        })
    }

    /// Whether a message points at nothing in it: the file is empty, or the message is about all of it.
    pub fn is_meant_whole(&self, span: Span, label: &str) -> bool {
        self.text.is_empty() || (span == Span::default() && label.is_empty())
    }

    /// Line and column of a byte position.
    pub fn line_column(&self, position: u32) -> LineColumn {
        let line = self.line(position);
        let start = self.line_starts.get(line - 1).copied().unwrap_or(0);
        let before = self
            .text
            .get(start as usize..position as usize)
            .unwrap_or("");
        LineColumn {
            line,
            column: before.chars().count() + 1,
        }
    }

    /// 1-based line of a byte position.
    pub fn line(&self, position: u32) -> usize {
        self.line_starts
            .partition_point(|&start| start <= position)
            .max(1)
    }

    /// The span of a 1-based line without its line end.
    pub fn line_span(&self, line: usize) -> Span {
        let start = self
            .line_starts
            .get(line.saturating_sub(1))
            .copied()
            .unwrap_or(0) as usize;
        let end = self
            .line_starts
            .get(line)
            .map_or(self.text.len(), |&next| next as usize);
        let body = self
            .text
            .get(start..end)
            .unwrap_or("")
            .trim_end_matches(['\n', '\r']);
        Span::new(start, start + body.len())
    }
}

fn line_starts(text: &str) -> Vec<u32> {
    // Most lines are longer.
    let mut starts = Vec::with_capacity(text.len() / 16 + 1);
    starts.push(0);
    starts.extend(text.match_indices('\n').map(|(at, _)| at as u32 + 1));
    starts
}

fn not_utf8(at: usize) -> Diagnostic {
    Code::NotUtf8.at(Span::new(at, at + char::REPLACEMENT_CHARACTER.len_utf8()),
        "the file is not UTF-8 text",
    )
    .label("this byte is not UTF-8")
    .help(
        "save the file as UTF-8; the ohm, degree and micro signs can also be written ohm, C and u",
    )
}

fn too_long(found: String, limit: String) -> Diagnostic {
    Code::TooLong
        .at(
            Span::default(),
            format!("the file is too long to be a record: {found}, at most {limit}"),
        )
        .help("one file holds one CT; check that this is a record, or split it")
}

fn control_characters(text: &str) -> Option<Diagnostic> {
    let bytes = text.as_bytes();
    // Nearly every text is clean, which one look over all of it shows.
    let odd = |byte: &u8| !matches!(byte, b' '..=b'~' | 0x80.. | b'\n' | b'\t');
    if !bytes.iter().fold(false, |any, byte| any | odd(byte)) {
        return None;
    }
    let bad = |at: usize, byte: u8| match byte {
        b' '..=b'~' | 0x80.. | b'\n' | b'\t' => false,
        b'\r' => bytes.get(at + 1) != Some(&b'\n'),
        _ => true,
    };
    let mut places = bytes
        .iter()
        .enumerate()
        .filter(|&(at, &byte)| bad(at, byte))
        .map(|(at, &byte)| (at, byte));
    let (first, byte) = places.next()?;
    let more = places.count();
    let name = match byte {
        b'\r' => "a carriage return without a line feed".to_owned(),
        other => format!("the control character 0x{other:02X}"),
    };
    let title = match more {
        0 => format!("the file contains {name}"),
        n => format!("the file contains {name}, and {n} more control characters"),
    };
    Some(
        Code::ControlCharacter
            .at(Span::new(first, first + 1), title)
            .label("here")
            .help("save the file as plain text with ordinary line ends (LF or CRLF)"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_lines_and_character_columns() {
        let (source, found) = Source::new("a.ctr", "format: 1\nΩ x\n".as_bytes());
        assert!(found.is_empty());
        assert_eq!(source.line_column(13), LineColumn { line: 2, column: 3 });
        assert_eq!(source.slice(source.line_span(2)), "Ω x");
    }

    #[test]
    fn bom_is_kept_out_and_crlf_is_fine() {
        let (source, found) = Source::new("a.ctr", b"\xEF\xBB\xBFformat: 1\r\n");
        assert!(found.is_empty() && source.bom && source.text.starts_with("format"));
    }

    #[test]
    fn refuses_what_is_no_text() {
        for bytes in [&b"a\xFFb"[..], b"a\rb", b"a\0b"] {
            let (source, found) = Source::new("a.ctr", bytes);
            assert!(source.refused && found.len() == 1);
        }
        let (source, _) = Source::new("a.ctr", &vec![b'['; MAX_BYTES + 1]);
        assert!(source.refused);
    }
}
