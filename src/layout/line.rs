//! One line after the other: each has one line that it becomes.

use super::table::{self, Lines};
use super::units;
use crate::ground::source::Source;
use crate::record::schema::Section as Schema;
use crate::record::{Written, sections};
use crate::syntax::line::lines as split;
use crate::syntax::{Class, Line};
use std::collections::BTreeSet;
use unicode_width::UnicodeWidthStr as _;

/// Where a remark stands, in characters from the start of its line; behind a longer line two further.
const REMARK: usize = 30;

/// The lines of a part, laid out.
pub fn lines(
    source: &Source,
    written: &Written,
    (from, to): (usize, usize),
    section: Option<usize>,
) -> String {
    let named = section.and_then(|index| written.tree.sections.get(index));
    let schema = named.and_then(|section| sections::named(source.slice(section.name)));
    let body = section.and_then(|index| written.bodies.get(index)?.as_ref());
    let mut rows = Lines::new();
    if let (Some(schema), Some(body)) = (schema, body) {
        for table in &body.tables {
            table::lines(source, schema, table, &mut rows);
        }
    }
    let fields = body.into_iter().flat_map(|body| &body.fields);
    let read = fields.filter(|field| field.value.get().is_some());
    let read: BTreeSet<u32> = read.map(|field| field.key_span.start).collect();
    let mut out = String::new();
    for line in written.tree.lines.get(from..to).unwrap_or(&[]) {
        let whole = source.slice(line.whole);
        let content = whole.strip_suffix('\n').unwrap_or(whole);
        let content = content.strip_suffix('\r').unwrap_or(content);
        match laid_out(source, schema, line, (&rows, &read)) {
            Some(text) => {
                out.push_str(&text);
                remarked(source, line, &text, &mut out);
            }
            None => out.push_str(content),
        }
        out.push_str(match whole.get(content.len()..) {
            None | Some("") => "\n",
            Some(end) => end,
        });
    }
    out
}

/// What a line says, laid out; `None` where it is not understood.
fn laid_out(
    source: &Source,
    schema: Option<&'static Schema>,
    line: &Line,
    (rows, read): (&Lines, &BTreeSet<u32>),
) -> Option<String> {
    let body = source.slice(line.body);
    match line.class(source) {
        Class::Blank => Some(String::new()),
        // A `#` in it begins no other remark.
        Class::Comment => Some(source.slice(whole(line)).to_owned()),
        Class::Open => opened(body),
        Class::Field { key, value } => {
            let (key, value) = (source.slice(key), source.slice(value));
            let known = schema.and_then(|schema| schema.key(key));
            let value = match known {
                Some(known) if read.contains(&line.body.start) => units::value(value, known.kind),
                _ => value.to_owned(),
            };
            Some(match value.as_str() {
                "" => format!("{key}:"),
                value => format!("{key}: {value}"),
            })
        }
        Class::Aside => Some(body.to_owned()),
        Class::Heading | Class::Row | Class::Text => rows.get(&line.body.start).cloned(),
    }
}

/// The body of a line and its remark.
fn whole(line: &Line) -> crate::ground::span::Span {
    line.remark.map_or(line.body, |remark| line.body.to(remark))
}

/// `[name argument]`, where it has its two brackets.
fn opened(body: &str) -> Option<String> {
    let inner = body.strip_prefix('[')?.strip_suffix(']')?;
    let words: Vec<&str> = words(inner).collect();
    (!inner.contains(['[', ']'])).then(|| format!("[{}]", words.join(" ")))
}

fn remarked(source: &Source, line: &Line, text: &str, out: &mut String) {
    let Some(remark) = line.remark.filter(|_| line.class(source) != Class::Comment) else {
        return;
    };
    let gap = REMARK.saturating_sub(text.width()).max(2);
    // Alone on its line it is a comment.
    let gap = if text.is_empty() { 0 } else { gap };
    out.extend(std::iter::repeat_n(' ', gap));
    out.push_str(source.slice(remark));
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split([' ', '\t']).filter(|word| !word.is_empty())
}

/// Whether the lines of two texts are of the same classes one by one, with the same remarks.
pub fn same(one: &str, other: &str) -> bool {
    let each = |text: &str| {
        let (source, _) = Source::new("", text.as_bytes());
        let each = split(&source);
        let each = each.iter().map(|line| {
            let remark = line.remark.map(|remark| source.slice(remark).to_owned());
            (std::mem::discriminant(&line.class(&source)), remark)
        });
        each.collect::<Vec<_>>()
    };
    each(one) == each(other)
}
