//! Places in a text as an editor counts them: lines from 0, and in a line code units of UTF-16, or of UTF-8 where the
//! editor offers that.

use crate::ground::span::Span;
use gen_lsp_types::{Position, Range};

/// What a character of a position counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Encoding {
    /// As every editor can.
    #[default]
    Utf16,
    Utf8,
}

impl Encoding {
    fn units(self, c: char) -> usize {
        match self {
            Self::Utf16 => c.len_utf16(),
            Self::Utf8 => c.len_utf8(),
        }
    }
}

/// A text by its lines. They end as the protocol says: with a line feed, a carriage return, or both.
pub(super) struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
    encoding: Encoding,
}

impl<'t> Lines<'t> {
    pub(super) fn of(text: &'t str, encoding: Encoding) -> Self {
        let bytes = text.as_bytes();
        let ends = |(at, byte): (usize, &u8)| match byte {
            b'\n' => Some(at + 1),
            b'\r' => (bytes.get(at + 1) != Some(&b'\n')).then_some(at + 1),
            _ => None,
        };
        let starts = std::iter::once(0).chain(bytes.iter().enumerate().filter_map(ends));
        Self {
            text,
            starts: starts.collect(),
            encoding,
        }
    }

    /// A line without its end, and where it starts.
    fn line(&self, index: usize) -> Option<(usize, &'t str)> {
        let start = *self.starts.get(index)?;
        let end = self.starts.get(index + 1).copied();
        let line = self.text.get(start..end.unwrap_or(self.text.len()))?;
        Some((start, line.trim_end_matches(['\r', '\n'])))
    }

    /// The place of a byte; of one behind the end, the end.
    pub(super) fn position(&self, byte: usize) -> Position {
        let byte = self.text.floor_char_boundary(byte);
        let line = self
            .starts
            .partition_point(|start| *start <= byte)
            .saturating_sub(1);
        let start = self.starts.get(line).copied().unwrap_or_default();
        let before = self.text.get(start..byte).unwrap_or_default();
        let units: usize = before.chars().map(|c| self.encoding.units(c)).sum();
        Position::new(line as u32, units as u32)
    }

    /// The byte of a place. Behind the end of a line is its end; within a character is before it.
    pub(super) fn byte(&self, at: Position) -> usize {
        let Some((start, line)) = self.line(at.line as usize) else {
            return self.text.len();
        };
        let mut left = at.character as usize;
        let mut length = 0;
        for c in line.chars() {
            match left.checked_sub(self.encoding.units(c)) {
                Some(rest) => left = rest,
                None => break,
            }
            length += c.len_utf8();
        }
        start + length
    }

    /// What a source leaves out of its text: a byte order mark.
    fn mark(&self) -> usize {
        if self.text.starts_with('\u{feff}') {
            3
        } else {
            0
        }
    }

    /// The range of a span of the source.
    pub(super) fn range(&self, span: Span) -> Range {
        let Span { start, end } = span;
        let [start, end] = [start, end].map(|byte| self.position(byte as usize + self.mark()));
        Range::new(start, end)
    }

    /// Where in the source a place lies.
    pub(super) fn at(&self, at: Position) -> u32 {
        self.byte(at).saturating_sub(self.mark()) as u32
    }

    pub(super) fn span(&self, range: Range) -> Span {
        let (start, end) = (self.at(range.start), self.at(range.end));
        Span {
            start: start.min(end),
            end: start.max(end),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place(line: u32, character: u32) -> Position {
        Position::new(line, character)
    }

    #[test]
    fn utf16_counts_a_pair_as_two_and_a_sign_as_one() {
        let text = "a🔌Ω°\r\nb\rc\nd";
        let lines = Lines::of(text, Encoding::Utf16);
        assert_eq!(lines.position("a🔌Ω".len()), place(0, 4));
        assert_eq!(lines.byte(place(0, 4)), "a🔌Ω".len());
        // Within the pair, behind the line, behind the text.
        assert_eq!(lines.byte(place(0, 2)), 1);
        assert_eq!(lines.byte(place(0, 99)), "a🔌Ω°".len());
        assert_eq!(lines.byte(place(9, 0)), text.len());
        assert_eq!(lines.position(text.find('c').unwrap()), place(2, 0));
        assert_eq!(lines.position(text.len()), place(3, 1));
        let lines = Lines::of(text, Encoding::Utf8);
        assert_eq!(lines.position("a🔌Ω".len()), place(0, 7));
    }

    #[test]
    fn a_byte_order_mark_is_no_part_of_the_source() {
        let lines = Lines::of("\u{feff}ab", Encoding::Utf16);
        assert_eq!(
            lines.range(Span { start: 0, end: 1 }),
            Range::new(place(0, 1), place(0, 2))
        );
        assert_eq!(lines.at(place(0, 2)), 1);
        assert_eq!(lines.at(place(0, 0)), 0);
    }

    proptest! {
        #[test]
        fn every_character_is_found_again(text in "[a-zΩ°🔌é\r\n]{0,40}") {
            for encoding in [Encoding::Utf16, Encoding::Utf8] {
                let lines = Lines::of(&text, encoding);
                for (at, c) in text.char_indices() {
                    // A place within the end of a line is told as that line's end.
                    if !matches!(c, '\n' | '\r') {
                        prop_assert_eq!(lines.byte(lines.position(at)), at);
                    }
                }
            }
        }
    }
}
