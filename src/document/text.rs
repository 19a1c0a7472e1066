//! A line of text: what is said, and what each piece of it is. Pieces hold plain text; the printers
//! escape it.

use super::Grade;

/// A piece of a line.
#[derive(Clone, Debug, PartialEq)]
pub enum Inline {
    Plain(String),
    Strong(String),
    Emphasis(String),
    /// A word of a grade, with the grade's shape and colour.
    Word(Grade, String),
    /// To a heading of the same document, by its anchor.
    Link {
        anchor: String,
        text: String,
    },
    /// To another page, by its path as seen from this one, without its ending: `ct/a-1`, `../index`.
    Page {
        path: String,
        text: String,
    },
    /// To a file beside the pages, by its path as seen from this one.
    File {
        path: String,
        text: String,
    },
    /// What is said in place of something that was not stated.
    NotStated,
    /// Smaller, on a line of its own where there is room; behind a colon in plain Markdown.
    Under(String),
    /// The next of several sentences in a cell; parted by a semicolon in plain Markdown.
    Next(String),
}

/// A line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Text(pub Vec<Inline>);

impl Text {
    /// A grade alone.
    pub fn grade(grade: Grade) -> Self {
        Self::word(grade, grade.word())
    }

    /// A word in the shape and colour of a grade.
    pub fn word(grade: Grade, word: impl Into<String>) -> Self {
        Self(vec![Inline::Word(grade, word.into())])
    }

    /// A grade with its reason; a reason that only says the grade again is left out.
    pub fn graded(grade: Grade, reason: &str) -> Self {
        let again = reason.is_empty() || grade.word().starts_with(reason);
        let said = Self::grade(grade);
        if again {
            said
        } else {
            said.plain(format!(", {reason}"))
        }
    }

    pub fn strong(text: impl Into<String>) -> Self {
        Self(vec![Inline::Strong(text.into())])
    }

    /// The text, or that it was not stated.
    pub fn stated(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() {
            Self(vec![Inline::NotStated])
        } else {
            text.into()
        }
    }

    /// Sentences one below the other.
    pub fn sentences(all: impl IntoIterator<Item = String>) -> Self {
        let mut pieces: Vec<Inline> = all.into_iter().map(Inline::Next).collect();
        if let Some(first) = pieces.first_mut()
            && let Inline::Next(text) = first
        {
            *first = Inline::Plain(std::mem::take(text));
        }
        Self(pieces)
    }

    #[must_use]
    pub fn plain(self, text: impl Into<String>) -> Self {
        self.and(Inline::Plain(text.into()))
    }

    /// More below it, where there is more.
    #[must_use]
    pub fn under(self, text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() {
            self
        } else {
            self.and(Inline::Under(text))
        }
    }

    #[must_use]
    pub fn and(mut self, piece: Inline) -> Self {
        self.0.push(piece);
        self
    }

    #[must_use]
    pub fn join(mut self, other: impl Into<Self>) -> Self {
        self.0.extend(other.into().0);
        self
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Its letters alone, where a line takes no pieces.
    pub fn letters(&self) -> String {
        let letters = |piece: &Inline| match piece {
            Inline::Plain(text)
            | Inline::Strong(text)
            | Inline::Emphasis(text)
            | Inline::Word(_, text)
            | Inline::Link { text, .. }
            | Inline::Page { text, .. }
            | Inline::File { text, .. } => text.clone(),
            Inline::NotStated => "not stated".to_owned(),
            Inline::Under(text) => format!(": {text}"),
            Inline::Next(text) => format!("; {text}"),
        };
        self.0.iter().map(letters).collect()
    }
}

/// What there is of some words, with something between them.
pub fn joined(parts: impl IntoIterator<Item = Option<String>>, between: &str) -> String {
    parts
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(between)
}

impl From<String> for Text {
    fn from(text: String) -> Self {
        let pieces = (!text.is_empty()).then_some(Inline::Plain(text));
        Self(pieces.into_iter().collect())
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl From<&String> for Text {
    fn from(text: &String) -> Self {
        text.clone().into()
    }
}
