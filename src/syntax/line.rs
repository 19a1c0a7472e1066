//! Lines and their classes, by the grammar in `grammar/record.pest`.

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
    pub class: Class,
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
    let text = source.text.as_str();
    let mut lines = Vec::new();
    let mut from = 0;
    // The grammar ends in "any other line", so it matches every text.
    if let Ok(pairs) = Grammar::parse(Rule::file, text) {
        for pair in pairs.filter(|pair| pair.as_rule() != Rule::EOI) {
            let span = pair.as_span();
            lines.push(line(
                text,
                pair.as_rule(),
                span.start(),
                Span::new(from, span.end()),
            ));
            from = span.end();
        }
    }
    if from < text.len() {
        let rest = Span::new(from, text.len());
        lines.push(Line {
            class: Class::Blank,
            whole: rest,
            body: rest.after(),
            remark: None,
        });
    }
    lines
}

fn line(text: &str, rule: Rule, start: usize, whole: Span) -> Line {
    let content = text.get(start..whole.range().end).unwrap_or("");
    let content = content
        .strip_suffix('\n')
        .map_or(content, |c| c.strip_suffix('\r').unwrap_or(c));
    let remark_at = if rule == Rule::comment {
        None
    } else {
        remark(content)
    };
    let body_len = trim_end(
        content
            .get(..remark_at.unwrap_or(content.len()))
            .unwrap_or(content),
    )
    .len();
    let body = Span::new(start, start + body_len);
    let class = match rule {
        Rule::open => Class::Open,
        Rule::aside => Class::Aside,
        Rule::field => field(text, body),
        Rule::heading => Class::Heading,
        Rule::row => Class::Row,
        Rule::comment => Class::Comment,
        Rule::blank => Class::Blank,
        _ => Class::Text,
    };
    let remark = remark_at.map(|at| Span::new(start + at, start + content.len()));
    Line {
        class,
        whole,
        body,
        remark,
    }
}

fn field(text: &str, body: Span) -> Class {
    let content = text.get(body.range()).unwrap_or("");
    let Some(colon) = content.find(':') else {
        return Class::Text;
    };
    let start = body.range().start;
    let key = trim_end(content.get(..colon).unwrap_or("")).len();
    let after = content.get(colon + 1..).unwrap_or("");
    let lead = after.len() - trim_start(after).len();
    Class::Field {
        key: Span::new(start, start + key),
        value: Span::new(start + colon + 1 + lead, start + content.len()),
    }
}

/// Where a comment starts inside a line: a `#` with a blank before it, and a blank or the end behind.
fn remark(content: &str) -> Option<usize> {
    let bytes = content.as_bytes();
    let blank = |at: usize| bytes.get(at).is_none_or(|b| matches!(b, b' ' | b'\t'));
    (1..bytes.len()).find(|&at| bytes.get(at) == Some(&b'#') && blank(at - 1) && blank(at + 1))
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
        lines(&Source::new("t.ctr", text.as_bytes()).0)
            .iter()
            .map(|line| line.class)
            .collect()
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
