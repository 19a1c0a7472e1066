//! Lines and their classes: by how they begin, or by the grammar in `grammar/record.pest`.

use crate::ground::source::Source;
use crate::ground::span::Span;
use pest::Parser as _;

#[derive(pest_derive::Parser)]
#[grammar = "../grammar/record.pest"]
struct Grammar;

/// What a line is by its own characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    Blank,
    Comment,
    /// Starts with `[`.
    Open,
    /// `key: value`; the value may be empty.
    Field {
        key: Span,
        value: Span,
    },
    /// `not done …` or `amended: …`.
    Aside,
    /// Words with at least one `quantity/unit`.
    Heading,
    /// Starts like a number or with `|`.
    Row,
    /// Anything else.
    Text,
}

/// One line. `whole` covers indentation and line end; the wholes of all lines join to the source.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    pub whole: Span,
    /// Without indentation, remark, blanks before it, and line end.
    pub body: Span,
    /// A comment at the line's end, from its `#`.
    pub remark: Option<Span>,
}

/// Splits a source into lines. A refused source has none.
pub fn lines(source: &Source) -> Vec<Line> {
    if source.refused {
        return Vec::new();
    }
    source
        .lines()
        .map(|(from, piece)| line(piece, from))
        .collect()
}

fn line(piece: &str, from: usize) -> Line {
    let content = piece
        .strip_suffix('\n')
        .map_or(piece, |c| c.strip_suffix('\r').unwrap_or(c));
    let inner = trim_start(content);
    let start = from + (content.len() - inner.len());
    let remark_at = remark(inner);
    let body = trim_end(
        inner
            .get(..remark_at.unwrap_or(inner.len()))
            .unwrap_or(inner),
    );
    Line {
        whole: Span::new(from, from + piece.len()),
        body: Span::new(start, start + body.len()),
        remark: remark_at.map(|at| Span::new(start + at, start + inner.len())),
    }
}

impl Line {
    /// What it is by its own characters. Found out when it is asked for: most of a record's lines are not
    /// looked at when only its plate is.
    pub fn class(&self, source: &Source) -> Class {
        let body = source.slice(self.body);
        match body.chars().next() {
            None => Class::Blank,
            Some('#') => Class::Comment,
            Some('[') => Class::Open,
            Some('0'..='9' | '-' | '+' | '.' | '>' | '<' | '≥' | '≤' | '|') => Class::Row,
            Some(_) => self.worded(source, body),
        }
    }

    fn worded(&self, source: &Source, body: &str) -> Class {
        if is_aside(body) {
            return Class::Aside;
        }
        if let Some((key, value)) = body.split_once(':').filter(|parts| is_field(*parts)) {
            let (start, end) = (self.body.range().start, self.body.range().end);
            return Class::Field {
                key: Span::new(start, start + trim_end(key).len()),
                value: Span::new(end - trim_start(value).len(), end),
            };
        }
        let text = source.slice(self.remark.map_or(self.body, |remark| self.body.to(remark)));
        if body.contains('/') && Grammar::parse(Rule::heading, text).is_ok() {
            Class::Heading
        } else {
            Class::Text
        }
    }
}

/// `not done …`, `amended: …`: speaks of what stands above it.
fn is_aside(body: &str) -> bool {
    let omits = body.strip_prefix("not done");
    omits.is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t', ':']))
        || body.starts_with("amended:")
}

/// Letters, digits, blanks, `/` and `-` before the first colon, and a blank or the line's end behind it, so that
/// 1200:5, 10:32 and a row of words with a colon in it, `Oil level (sight glass): upper half`, are none.
fn is_field((key, value): (&str, &str)) -> bool {
    let of_key = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b' ' | b'/' | b'-');
    let parted = value.is_empty() || value.starts_with([' ', '\t']);
    parted && key.starts_with(|c: char| c.is_ascii_alphabetic()) && key.bytes().all(of_key)
}

/// Where a comment starts inside a line, not at its start: a `#` with a blank before it, and a blank or the
/// end behind.
fn remark(content: &str) -> Option<usize> {
    let bytes = content.as_bytes();
    let blank = |at: usize| bytes.get(at).is_none_or(|b| matches!(b, b' ' | b'\t'));
    let marks = bytes.iter().enumerate().skip(1);
    let mut marks = marks.filter(|(_, byte)| **byte == b'#').map(|(at, _)| at);
    marks.find(|&at| blank(at - 1) && blank(at + 1))
}

/// Leading blanks and tabs off; other white space is content.
pub fn trim_start(text: &str) -> &str {
    text.trim_start_matches([' ', '\t'])
}

/// Trailing blanks and tabs off.
pub fn trim_end(text: &str) -> &str {
    text.trim_end_matches([' ', '\t'])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn classes(text: &str) -> Vec<Class> {
        let (source, _) = Source::new("t.ctr", text.as_bytes());
        let lines = lines(&source);
        lines.iter().map(|line| line.class(&source)).collect()
    }

    #[test]
    fn each_line_has_its_class() {
        let text = "format: 1\n[ct]\n# c\nvoltage/V  current/mA\n25.0 1.31 # first\n\nnot done 2S: why\n1S1-1S2  600/1\nX1-X5 1200:5\nambient:18.5 C\nbetween voltage/V time/s\n";
        let found = classes(text);
        assert!(matches!(found[0], Class::Field { .. }));
        assert_eq!(
            found[1..],
            [
                Class::Open,
                Class::Comment,
                Class::Heading,
                Class::Row,
                Class::Blank,
                Class::Aside,
                Class::Row,
                Class::Text,
                Class::Text,
                Class::Heading
            ]
        );
    }

    #[test]
    fn words_with_a_colon_are_a_field_only_behind_a_key() {
        let found = classes(
            "oil level: ok\nOil level (sight glass): ok\npanel =F1+R1: X4  0.22\nR1.2: X3\nrelay R2\tmeter: ok\n\
             tested by:\nnote on/off: x\ncurrent/A  voltage/V  # settling: slow\nat 10:32 done\n",
        );
        let fields = found
            .iter()
            .map(|class| matches!(class, Class::Field { .. }));
        let expected = [true, false, false, false, false, true, true, false, false];
        assert_eq!(fields.collect::<Vec<_>>(), expected);
        assert_eq!(found[7], Class::Heading);
    }

    #[test]
    fn a_hash_is_a_comment_between_blanks_only() {
        let (source, _) = Source::new("t.ctr", b"bay: #7 # the new one\nnote: feeder #3\n");
        let found = lines(&source);
        assert_eq!(source.slice(found[0].body), "bay: #7");
        assert_eq!(source.slice(found[0].remark.unwrap()), "# the new one");
        assert_eq!(source.slice(found[1].body), "note: feeder #3");
    }

    proptest::proptest! {
        #[test]
        fn every_byte_lies_in_exactly_one_line(text in "([ \\t\\n\\[\\]#:|/a-zA-Z0-9.<>Ωµ-]|\r\n|not done |amended: ){0,120}") {
            let (source, _) = Source::new("t.ctr", text.as_bytes());
            let found = lines(&source);
            let joined: String = found.iter().map(|line| source.slice(line.whole)).collect();
            proptest::prop_assert_eq!(&joined, &source.text);
            for line in &found {
                proptest::prop_assert!(line.whole.start <= line.body.start && line.body.end <= line.whole.end);
            }
        }
    }
}
