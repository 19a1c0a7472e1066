//! A record laid out evenly: columns under each other, one blank where one is meant, units by their one spelling. Only
//! that: comments, order, digits and blank lines stay, and a line that is not understood stays as it is.

mod like;
mod line;
mod table;
mod units;

use crate::ground::source::Source;
use crate::record::read_alone;
use crate::syntax::Tree;
use like::Read;

pub use units::value as spelt;

/// A record as it is to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LaidOut {
    pub text: String,
    /// Lines where sections begin that are left as they are: laid out they would not read the same.
    pub left: Vec<usize>,
}

/// Lays a record out. What it says is the same before and after, or the lines stay as they are. A source that is
/// refused comes back as it is.
pub fn lay_out(source: &Source) -> LaidOut {
    let as_it_is = |left: Vec<usize>| LaidOut {
        text: source.text.clone(),
        left,
    };
    if source.refused {
        return as_it_is(Vec::new());
    }
    let (record, told) = read_alone(source);
    let written = &record.written;
    let (mut text, mut left) = (String::with_capacity(source.text.len()), Vec::new());
    for (from, to, part) in parts(&written.tree) {
        let own = line::lines(source, written, (from, to), part);
        let lines = written.tree.lines.get(from..to).unwrap_or(&[]);
        let whole = lines.first().zip(lines.last());
        let before = whole.map_or("", |(first, last)| source.slice(first.whole.to(last.whole)));
        match line::same(before, &own) {
            true => text.push_str(&own),
            false => {
                left.extend(lines.first().map(|first| source.line(first.whole.start)));
                text.push_str(before);
            }
        }
    }
    // A part may read alike by itself and not among the others.
    let (again, _) = Source::new(&source.name, text.as_bytes());
    let (record, told_again) = read_alone(&again);
    let same = Read::of(source, written, &told) == Read::of(&again, &record.written, &told_again);
    match same && !again.refused {
        true => LaidOut { text, left },
        false => as_it_is(vec![1]),
    }
}

/// A text of our own, laid out.
pub fn even(text: &str) -> String {
    lay_out(&Source::new("", text.as_bytes()).0).text
}

/// The lines before the first section, and those of each section with the line that opens it.
fn parts(tree: &Tree) -> impl Iterator<Item = (usize, usize, Option<usize>)> {
    let sections = tree.sections.iter().enumerate();
    let sections = sections.map(|(index, section)| (section.first - 1, section.end, Some(index)));
    std::iter::once((0, tree.head, None)).chain(sections)
}
