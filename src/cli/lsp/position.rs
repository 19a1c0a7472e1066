//! Places in a text as an editor counts them: lines from 0, and in a line code units of UTF-16, or of UTF-8 where the
//! editor offers that.

use crate::ground::span::Span;
use gen_lsp_types::{Position, Range};
use std::borrow::Cow;

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

/// Where the lines of a text start. They end as the protocol says: with a line feed, a carriage return, or both.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Starts(Vec<usize>);

impl Starts {
    pub(super) fn of(text: &str) -> Self {
        let begins = (1..=text.len()).filter(|at| is_start(text, *at));
        Self(std::iter::once(0).chain(begins).collect())
    }

    /// Takes over that so many bytes stand in place of a range of the text before: only what touches them is looked at.
    pub(super) fn replaced(&mut self, text: &str, range: std::ops::Range<usize>, length: usize) {
        let from = self.0.partition_point(|at| *at < range.start).max(1);
        let to = self.0.partition_point(|at| *at <= range.end).max(from);
        let touched = range.start.max(1)..=range.start + length;
        let touched: Vec<usize> = touched.filter(|at| is_start(text, *at)).collect();
        for at in self.0.iter_mut().skip(to) {
            *at = *at - range.end + range.start + length;
        }
        self.0.splice(from..to, touched);
    }
}

/// Whether a line ends right before a byte.
fn is_start(text: &str, at: usize) -> bool {
    let byte = |at: usize| text.as_bytes().get(at);
    match at.checked_sub(1).and_then(byte) {
        Some(b'\n') => true,
        Some(b'\r') => byte(at) != Some(&b'\n'),
        _ => false,
    }
}

/// A text by its lines.
pub(super) struct Lines<'t> {
    text: &'t str,
    starts: Cow<'t, Starts>,
    encoding: Encoding,
}

impl<'t> Lines<'t> {
    pub(super) fn of(text: &'t str, encoding: Encoding) -> Self {
        Self {
            text,
            starts: Cow::Owned(Starts::of(text)),
            encoding,
        }
    }

    /// The same where it is known where its lines start.
    pub(super) fn with(text: &'t str, starts: &'t Starts, encoding: Encoding) -> Self {
        Self {
            text,
            starts: Cow::Borrowed(starts),
            encoding,
        }
    }

    /// A line without its end, and where it starts.
    fn line(&self, index: usize) -> Option<(usize, &'t str)> {
        let start = *self.starts.0.get(index)?;
        let end = self.starts.0.get(index + 1).copied();
        let line = self.text.get(start..end.unwrap_or(self.text.len()))?;
        Some((start, line.trim_end_matches(['\r', '\n'])))
    }

    /// The place of a byte; of one behind the end, the end.
    pub(super) fn position(&self, byte: usize) -> Position {
        let byte = self.text.floor_char_boundary(byte);
        let line = self
            .starts
            .0
            .partition_point(|start| *start <= byte)
            .saturating_sub(1);
        let start = self.starts.0.get(line).copied().unwrap_or_default();
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
        /// What is patched is what would be made anew.
        #[test]
        fn starts_go_with_the_text(
            text in "[ab\r\n]{0,12}",
            edits in prop::collection::vec((0usize..14, 0usize..14, "[a\r\n]{0,3}"), 1..6),
        ) {
            let (mut text, mut starts) = (text, Starts::of(""));
            starts.replaced(&text, 0..0, text.len());
            for (one, other, new) in edits {
                let (one, other) = (one.min(text.len()), other.min(text.len()));
                let range = one.min(other)..one.max(other);
                text.replace_range(range.clone(), &new);
                starts.replaced(&text, range, new.len());
                prop_assert_eq!(&starts, &Starts::of(&text), "{:?}", text);
            }
        }

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
