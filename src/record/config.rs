//! What the .toml files of a job share: values with their places, and what is told about them.

use super::parse::{self, Piece};
use super::words;
use crate::ground::date::{self, Date};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::source::Source;
use crate::ground::span::{Located, Span};
use crate::ground::unit::Dimension;
use serde::de::DeserializeOwned;
use toml::Spanned;

/// A word or quantity as written.
pub type Text = Option<Spanned<String>>;

/// The tables and keys of a file.
///
/// # Errors
/// When it is no TOML of this shape, with its parser's own words; without more words when nothing may be
/// read out of the text, which was told before.
pub fn tables<T: DeserializeOwned>(source: &Source) -> Result<T, Vec<Diagnostic>> {
    if source.refused {
        return Err(Vec::new());
    }
    toml::from_str(&source.text).map_err(|error| {
        let at = error.span().unwrap_or_default();
        let title = error.message().split('\n').next().unwrap_or("");
        vec![fault(
            Span::new(at.start, at.end),
            title.to_owned(),
            &help(title),
        )]
    })
}

/// What to do about what the parser of TOML said.
fn help(said: &str) -> String {
    const MANUAL: &str = "see the chapter on configuration files in the manual";
    let mut quoted = said.split('`').skip(1).step_by(2);
    if said.starts_with("unknown field")
        && let Some(word) = quoted.next()
    {
        return match nearest(word, quoted) {
            Some(near) => format!("did you mean `{near}`?"),
            None => MANUAL.to_owned(),
        };
    }
    let known = [
        (
            "expected a string",
            "write it in quotes; what has a unit, with the unit: \"0.5 %\"",
        ),
        ("expected f64", "write the number without quotes: 2.5"),
        (
            "expected a TOML datetime",
            "write the day without quotes: 2026-05-20",
        ),
        (
            "expected a sequence",
            "write a list: [\"…\"]; of tables one [[…]] each",
        ),
        (
            "expected newline",
            "one value stands on a line; its decimal mark is a point: 2.5",
        ),
    ];
    let one = known.into_iter().find(|(words, _)| said.contains(words));
    one.map_or(MANUAL, |(_, help)| help).to_owned()
}

/// A diagnostic about a .toml file.
pub fn fault(span: Span, title: String, help: &str) -> Diagnostic {
    Diagnostic::new(Code::ConfigUnreadable, span, title)
        .label("here")
        .help(help)
}

/// Where a value is written.
pub fn span<T>(text: &Spanned<T>) -> Span {
    Span::new(text.span().start, text.span().end)
}

/// A quantity, SI; what cannot be read is told and missing.
pub fn quantity(
    text: Option<&Spanned<String>>,
    dimension: Dimension,
    of: &str,
    found: &mut Vec<Diagnostic>,
) -> Option<f64> {
    let text = text?;
    // The span of a string holds its quotes.
    let piece = Piece::new(text.get_ref(), text.span().start + 1);
    let read = parse::quantity(piece, dimension, of);
    let told = |told: Diagnostic| found.push(told);
    read.map_err(told).ok().map(|quantity| quantity.si)
}

/// A day; what is none is told and missing.
pub fn day(
    text: Option<&Spanned<toml::value::Datetime>>,
    found: &mut Vec<Diagnostic>,
) -> Option<Located<Date>> {
    let text = text?;
    let (written, at) = (text.get_ref().to_string(), span(text));
    match date::read(&written) {
        Ok(day) => Some(Located::new(day, at)),
        Err(_) => {
            found.push(words::date(&written, at, false));
            None
        }
    }
}

/// A word that is not among the known ones.
pub fn unknown<'a>(
    word: &Spanned<String>,
    title: String,
    known: impl Iterator<Item = &'a str> + Clone,
) -> Diagnostic {
    let help = match nearest(word.get_ref(), known.clone()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => {
            let quoted: Vec<String> = known.map(|word| format!("\"{word}\"")).collect();
            let list = words::one_of(quoted.iter().map(String::as_str));
            format!("write {list}")
        }
    };
    fault(span(word), title, &help)
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;
    use crate::record::{criteria, instruments};

    /// The commonest slips of somebody who writes no TOML every day.
    #[test]
    fn a_slip_is_told_with_what_to_write() {
        let of = |told: Vec<crate::ground::diagnostic::Diagnostic>| {
            let help = told.into_iter().next().and_then(|told| told.help);
            help.unwrap_or_default()
        };
        let criteria =
            |text: &str| of(criteria::read(&Source::new("criteria.toml", text.as_bytes()).0).1);
        for (text, help) in [
            ("[ratio]\nturns = 0.5\n", "in quotes"),
            ("[decision]\nguard = \"1\"\n", "without quotes: 2.5"),
            ("[decision]\nk = 2,5\n", "is a point"),
            ("[resistence]\n", "did you mean `resistance`?"),
            ("[insulation.cleint]\n", "did you mean `client`?"),
            ("[zzzzzzzzzzzz]\n", "the manual"),
        ] {
            let told = criteria(text);
            assert!(told.contains(help), "{text}: {told}");
        }
        let instruments = |text: &str| {
            of(instruments::read(&Source::new("instruments.toml", text.as_bytes()).0).1)
        };
        for (text, help) in [
            (
                "[[instrument]]\nid = \"A\"\ndue = \"2026-05-20\"\n",
                "without quotes: 2026-05-20",
            ),
            ("[instrument]\nid = \"A\"\n", "one [[…]] each"),
            (
                "[[instruments]]\nid = \"A\"\n",
                "did you mean `instrument`?",
            ),
        ] {
            let told = instruments(text);
            assert!(told.contains(help), "{text}: {told}");
        }
    }
}
