//! The few lines of a source that a message points at. miette walks its source from the start for
//! every span, so it gets these lines alone: a wall of messages about a long file stays cheap, and
//! nothing in the file can steer the terminal.

use crate::ground::calm::steers;
use crate::ground::source::Source;
use crate::ground::span::Span;
use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};

/// Longest part of one line that is shown, in bytes, and how much of it may stand before the mark.
const LONGEST: usize = 240;
const BEFORE: usize = 80;

/// A piece of a source that remembers where it was cut out.
#[derive(Debug)]
pub struct Excerpt {
    name: String,
    text: String,
    /// Byte position of the piece in the source.
    base: usize,
    /// 0-based line and column (in characters) of the piece.
    line: usize,
    column: usize,
}

impl Excerpt {
    /// The lines from the first to the last of the spans, which lie close together.
    pub fn new(source: &Source, spans: &[Span]) -> Self {
        let starts = || spans.iter().map(|span| span.start);
        let (first, last) = (starts().min().unwrap_or(0), starts().max().unwrap_or(0));
        let (first_line, last_line) = (source.line(first), source.line(last));
        let whole = source.line_span(first_line).to(source.line_span(last_line));
        let (text, whole) = (&source.text, whole.range());
        let (mut start, mut end) = (whole.start, whole.end);
        if first_line == last_line && whole.len() > LONGEST {
            start = start.max((first as usize).saturating_sub(BEFORE));
            end = text.floor_char_boundary(end.min(start + LONGEST));
            start = text.floor_char_boundary(start);
        }
        let before = text.get(whole.start..start).unwrap_or("");
        Self {
            name: source.name.clone(),
            text: harmless(text.get(start..end).unwrap_or("")),
            base: start,
            line: first_line - 1,
            column: before.chars().count(),
        }
    }

    /// A span of the source as a range of this piece: its first line, clipped to what is shown.
    pub fn range(&self, span: Span) -> std::ops::Range<usize> {
        let at = |position: usize| {
            let within = position.saturating_sub(self.base);
            self.text.floor_char_boundary(within)
        };
        let start = at(span.range().start);
        let end = at(span.range().end).max(start);
        let marked = self.text.get(start..end).unwrap_or("");
        let marked = marked
            .lines()
            .next()
            .unwrap_or("")
            .trim_end_matches('\r')
            .len();
        // Where something is missing at a line's end, the mark goes under the last character.
        let before = self.text.get(..start).unwrap_or("");
        let behind = self.text.get(start..).unwrap_or("");
        let ended = behind.is_empty() || behind.starts_with(['\n', '\r']);
        match before.chars().next_back().filter(|last| *last != '\n') {
            Some(last) if marked == 0 && ended => start - last.len_utf8()..start,
            _ => start..start + marked,
        }
    }
}

impl SourceCode for Excerpt {
    /// Whole lines, whatever part of them is asked for.
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        _before: usize,
        _after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let (from, to) = (span.offset(), span.offset() + span.len());
        let (Some(before), Some(after)) = (self.text.get(..from), self.text.get(to..)) else {
            return Err(MietteError::OutOfBounds);
        };
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        let end = to + after.find('\n').unwrap_or(after.len());
        let data = self.text.get(start..end).unwrap_or("");
        let line = before.matches('\n').count();
        let in_line = before.get(start..).map_or(0, |text| text.chars().count());
        let column = if line == 0 {
            self.column + in_line
        } else {
            in_line
        };
        let shown = SourceSpan::new(start.into(), end - start);
        let lines = data.matches('\n').count() + 1;
        let contents = MietteSpanContents::new_named(
            self.name.clone(),
            data.as_bytes(),
            shown,
            self.line + line,
            column,
            lines,
        );
        Ok(Box::new(contents))
    }
}

/// The text with every character that could move a cursor or turn the direction of writing replaced
/// by one of equal length, so that positions stay.
fn harmless(text: &str) -> String {
    let bytes = text.as_bytes();
    let stays = |at: usize, c: char| {
        c == '\n' || c == '\t' || (c == '\r' && bytes.get(at + 1) == Some(&b'\n'))
    };
    text.char_indices()
        .map(|(at, c)| match c {
            c if !steers(c) || stays(at, c) => c,
            c if c.len_utf8() == 1 => '?',
            c if c.len_utf8() == 2 => '\u{BF}',
            _ => '\u{FFFD}',
        })
        .collect()
}
