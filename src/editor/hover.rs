//! What is said of the place under the pointer: of a word of the format what it means, of a value what follows from it.

use super::spot::Spot;
use crate::ground::span::Span;
use crate::job::Compiled;
use crate::report::line::{Place, in_short};
use crate::report::manual::{self, Entry, Kind, Said};
use crate::syntax::Class;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    /// What it is said of.
    pub span: Span,
    /// `key burden`; empty of a value.
    pub title: String,
    pub said: Vec<Said>,
}

impl Hover {
    fn of(span: Span, entry: Entry) -> Self {
        Self {
            span,
            title: format!("{} {}", entry.kind.word(), entry.name),
            said: entry.said,
        }
    }
}

/// `None` where nothing is known of the place.
pub fn hover(ct: &Compiled, at: u32) -> Option<Hover> {
    let spot = Spot::at(ct, at)?;
    let schema = spot.schema();
    let here = |span: Span| span.start <= at && at <= span.end;
    if let Some(opened) = spot.opens().filter(|one| here(one.name)) {
        return Some(Hover::of(opened.name, manual::section(schema?)));
    }
    match spot.class() {
        Class::Field { key, .. } if here(key) => {
            let word = ct.source.slice(key);
            let entry = manual::word_of(schema?, Kind::Key, word)?;
            Some(Hover::of(key, entry))
        }
        Class::Heading => {
            let span = spot.word()?;
            let word = ct.source.slice(span).split('/').next()?;
            let entry = manual::word_of(schema?, Kind::Column, word)?;
            Some(Hover::of(span, entry))
        }
        Class::Field { value, .. } => value_at(ct, at, value),
        Class::Row | Class::Text => value_at(ct, at, spot.word()?),
        Class::Open => value_at(ct, at, spot.opens()?.argument),
        Class::Blank | Class::Comment | Class::Aside => None,
    }
}

fn value_at(ct: &Compiled, at: u32, span: Span) -> Option<Hover> {
    let place = ct.source.line_column(at.min(span.end.saturating_sub(1)));
    let said = in_short(
        ct,
        Place {
            line: place.line,
            column: Some(place.column),
        },
    );
    (!said.is_empty()).then_some(Hover {
        span,
        title: String::new(),
        said,
    })
}
