//! Lines gathered into sections. A section runs from its `[…]` line to the next one.

use super::line::{Class, Line, lines, trim_end, trim_start};
use super::words;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::Span;

/// One section: its name, what stands beside the name, and its lines.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// The first word between the brackets.
    pub name: Span,
    /// The rest between the brackets.
    pub argument: Span,
    /// The whole opening line's body.
    pub open: Span,
    /// Index of the first line behind the opening one, and one past the last.
    pub first: usize,
    pub end: usize,
}

/// A source as lines and sections. Lines before the first section belong to the head.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    pub lines: Vec<Line>,
    pub sections: Vec<Section>,
    /// One past the last line of the head.
    pub head: usize,
}

impl Tree {
    /// The lines of a section, without its opening line.
    pub fn lines_of(&self, section: &Section) -> &[Line] {
        self.lines.get(section.first..section.end).unwrap_or(&[])
    }

    /// The lines before the first section.
    pub fn head_lines(&self) -> &[Line] {
        self.lines.get(..self.head).unwrap_or(&[])
    }
}

/// Reads lines and sections. `is_section` knows the section names, so that a section line whose
/// opening bracket got lost can be told from a row.
pub fn read(source: &Source, is_section: impl Fn(&str) -> bool) -> (Tree, Vec<Diagnostic>) {
    let lines = lines(source);
    let mut found = Vec::new();
    let mut sections: Vec<Section> = Vec::new();
    let mut head = lines.len();
    for (index, line) in lines.iter().enumerate() {
        let body = source.slice(line.body);
        let class = || line.class(source);
        let lost = || {
            lost_bracket(body, &is_section) && class() == Class::Text
                || other_brackets(body, &is_section) && matches!(class(), Class::Text | Class::Row)
        };
        if !body.starts_with('[') && !lost() {
            continue;
        }
        if sections.is_empty() {
            head = index;
        }
        if let Some(last) = sections.last_mut() {
            last.end = index;
        }
        sections.push(section(source, line, index + 1, lines.len(), &mut found));
    }
    (
        Tree {
            lines,
            sections,
            head,
        },
        found,
    )
}

fn lost_bracket(body: &str, is_section: impl Fn(&str) -> bool) -> bool {
    body.ends_with(']')
        && !body.contains('[')
        && body.split([' ', '\t', ']']).next().is_some_and(is_section)
}

/// `<visit 2026-03-14>`: a section in brackets of another kind. Its argument has a digit, so that a remark
/// in brackets stays one.
fn other_brackets(body: &str, is_section: impl Fn(&str) -> bool) -> bool {
    let inner = body.strip_prefix(OTHER_OPEN);
    let Some(inner) = inner.and_then(|body| body.strip_suffix(OTHER_CLOSE)) else {
        return false;
    };
    let mut words = inner.split([' ', '\t']).filter(|word| !word.is_empty());
    let is_named = words.next().is_some_and(is_section);
    let is_argument = match words.next() {
        Some(argument) => argument.bytes().any(|b| b.is_ascii_digit()),
        None => !body.starts_with('('),
    };
    is_named && is_argument
}

const OTHER_OPEN: [char; 3] = ['<', '{', '('];
const OTHER_CLOSE: [char; 3] = ['>', '}', ')'];

fn section(
    source: &Source,
    line: &Line,
    first: usize,
    end: usize,
    found: &mut Vec<Diagnostic>,
) -> Section {
    let body = source.slice(line.body);
    let start = line.body.range().start;
    // No other line that begins with such a bracket comes here.
    let other = body.starts_with(OTHER_OPEN);
    let inner = body.strip_prefix('[').unwrap_or(body);
    let inner = if other {
        body.get(1..).unwrap_or(body)
    } else {
        inner
    };
    let from = start + (body.len() - inner.len());
    let closing = |c: char| c == ']' || other && OTHER_CLOSE.contains(&c);
    let (inner, behind) = inner
        .split_once(closing)
        .map_or((inner, None), |(inner, behind)| (inner, Some(behind)));
    if other {
        found.push(words::other_brackets(line.body));
    } else if from == start {
        found.push(words::bracket_lost(line.body, Span::new(start, start), "["));
    } else if behind.is_none() {
        found.push(words::bracket_lost(line.body, line.body.after(), "]"));
    } else if behind.is_some_and(|text| !trim_start(text).is_empty()) {
        let at = from + inner.len() + 1;
        found.push(words::behind_bracket(Span::new(at, line.body.range().end)));
    }
    let lead = inner.len() - trim_start(inner).len();
    let trimmed = trim_end(trim_start(inner));
    let name = trimmed.split([' ', '\t']).next().unwrap_or("");
    let at = from + lead;
    let rest = trimmed.get(name.len()..).unwrap_or("");
    let argument = at + name.len() + (rest.len() - trim_start(rest).len());
    Section {
        name: Span::new(at, at + name.len()),
        argument: Span::new(argument, at + trimmed.len()),
        open: line.body,
        first,
        end,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sections_keep_their_lines_even_when_broken() {
        let text = "format: 1\n[ct]\nid: A\n[excitation 1S1-1S2\n1 2\nburden X1-X2]\n[ratio] x\n";
        let (source, _) = Source::new("t.ctr", text.as_bytes());
        let (tree, found) = read(&source, |name| {
            ["ct", "excitation", "burden", "ratio"].contains(&name)
        });
        let names: Vec<_> = tree
            .sections
            .iter()
            .map(|s| {
                (
                    source.slice(s.name),
                    source.slice(s.argument),
                    s.end - s.first,
                )
            })
            .collect();
        assert_eq!(
            names,
            [
                ("ct", "", 1),
                ("excitation", "1S1-1S2", 1),
                ("burden", "X1-X2", 0),
                ("ratio", "", 0)
            ]
        );
        assert_eq!(tree.head, 1);
        assert_eq!(found.len(), 3);
    }
}
