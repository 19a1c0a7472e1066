//! What a part is, written into the Markdown in signs that nobody sees. A mark is a letter and what belongs
//! to it, in letters of the private-use area (U+E000 to U+F8FF); the one escape lets no such sign of others
//! through, and the Markdown that is written out has them taken off.

use super::Grade;
use std::fmt::{self, Write as _};

const OPEN: char = '\u{e000}';
const CLOSE: char = '\u{e001}';
/// Letters of a mark stand this far above ASCII.
const ABOVE: u32 = 0xf000;

/// Whether a character is of the private-use area.
pub(super) fn is_hidden(c: char) -> bool {
    ('\u{e000}'..='\u{f8ff}').contains(&c)
}

/// Whether a text may hold such a character: their first bytes are these in UTF-8.
pub(super) fn may_hide(text: &str) -> bool {
    text.bytes().any(|byte| matches!(byte, 0xee | 0xef))
}

/// What a part is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// In the first heading cell: class of the table.
    Table(String),
    /// In the first cell: a row across all columns.
    Group,
    /// First in a cell: it is left for the pen.
    Blank,
    /// First in a cell or a strong text: its colour.
    Grade(Grade),
    /// First in a strong paragraph: it is the caption of the table below.
    Caption,
    /// First in a heading: class and anchor of its chapter.
    Chapter(String),
    /// First in a heading: what follows up to [`Mark::End`] is folded.
    Fold,
    /// First in a paragraph: the place of a picture.
    Figure(String),
    /// First in a paragraph: its class.
    Note,
    /// First in a link: it leads to the page of this path.
    Page(String),
    /// Around text that only plain Markdown needs.
    Hide,
    /// The text up to [`Mark::Shown`] stands small and below.
    Under,
    /// The text from here on stands on a line of its own.
    Break,
    /// Ends [`Mark::Hide`] and [`Mark::Under`].
    Shown,
    /// Alone in a paragraph: a group begins.
    Begin(String),
    /// Alone in a paragraph: a group or fold ends.
    End,
    /// Alone in a paragraph: a new sheet of paper.
    NewPage,
    /// First in an emphasis: says that something was not stated.
    NotStated,
}

impl Mark {
    /// Its letter, and what belongs to it.
    fn letters(&self) -> (char, &str) {
        match self {
            Self::Table(class) => ('t', class),
            Self::Group => ('g', ""),
            Self::Blank => ('b', ""),
            Self::Grade(grade) => ('v', grade.word()),
            Self::Caption => ('c', ""),
            Self::Chapter(name) => ('h', name),
            Self::Fold => ('f', ""),
            Self::Figure(key) => ('p', key),
            Self::Note => ('n', ""),
            Self::Page(path) => ('l', path),
            Self::Hide => ('x', ""),
            Self::Under => ('u', ""),
            Self::Break => ('r', ""),
            Self::Shown => ('y', ""),
            Self::Begin(class) => ('[', class),
            Self::End => (']', ""),
            Self::NewPage => ('s', ""),
            Self::NotStated => ('m', ""),
        }
    }

    /// Reads what [`Self::letters`] gave.
    fn of(letter: char, rest: &str) -> Option<Self> {
        let rest = || rest.to_owned();
        Some(match letter {
            't' => Self::Table(rest()),
            'g' => Self::Group,
            'b' => Self::Blank,
            'v' => Self::Grade(Grade::of(&rest())?),
            'c' => Self::Caption,
            'h' => Self::Chapter(rest()),
            'f' => Self::Fold,
            'p' => Self::Figure(rest()),
            'n' => Self::Note,
            'l' => Self::Page(rest()),
            'x' => Self::Hide,
            'u' => Self::Under,
            'r' => Self::Break,
            'y' => Self::Shown,
            '[' => Self::Begin(rest()),
            ']' => Self::End,
            's' => Self::NewPage,
            'm' => Self::NotStated,
            _ => return None,
        })
    }
}

impl fmt::Display for Mark {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (letter, rest) = self.letters();
        out.write_char(OPEN)?;
        for c in std::iter::once(letter).chain(rest.chars().filter(char::is_ascii)) {
            out.write_char(char::from_u32(ABOVE + u32::from(c)).unwrap_or(OPEN))?;
        }
        out.write_char(CLOSE)
    }
}

/// A stretch of text, or a mark in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Piece<'t> {
    Text(&'t str),
    Mark(Mark),
}

/// The pieces of a marked text. A sign that belongs to no mark is left out.
pub(super) fn pieces(text: &str) -> Vec<Piece<'_>> {
    if text.is_empty() || !may_hide(text) {
        let all = (!text.is_empty()).then_some(Piece::Text(text));
        return all.into_iter().collect();
    }
    let mut found = Vec::new();
    for stretch in text.split_inclusive(CLOSE) {
        let at = stretch.find(OPEN).unwrap_or(stretch.len());
        let (front, rest) = stretch.split_at(at);
        let shown = |part: &&str| !part.is_empty();
        found.extend(front.split(is_hidden).filter(shown).map(Piece::Text));
        let mut letters = rest
            .chars()
            .filter_map(|c| char::from_u32(u32::from(c).checked_sub(ABOVE)?));
        let mark = letters
            .next()
            .and_then(|letter| Mark::of(letter, &letters.collect::<String>()));
        found.extend(mark.map(Piece::Mark));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mark_is_read_back() {
        let text = || "a-b/c_1".to_owned();
        let with = [
            Mark::Table,
            Mark::Chapter,
            Mark::Figure,
            Mark::Page,
            Mark::Begin,
        ];
        let with = with.map(|mark| mark(text()));
        let grades = Grade::ALL.iter().copied().map(Mark::Grade);
        let alone = [
            Mark::Group,
            Mark::Blank,
            Mark::Caption,
            Mark::Fold,
            Mark::Note,
            Mark::Hide,
            Mark::Under,
            Mark::Break,
            Mark::Shown,
            Mark::End,
            Mark::NewPage,
            Mark::NotStated,
        ];
        for mark in with.into_iter().chain(grades).chain(alone) {
            let marked = format!("front{mark}behind");
            let read = [
                Piece::Text("front"),
                Piece::Mark(mark),
                Piece::Text("behind"),
            ];
            assert_eq!(pieces(&marked), read);
        }
        assert_eq!(pieces("\u{e000}\u{f07a}\u{e001}x"), [Piece::Text("x")]);
    }
}
