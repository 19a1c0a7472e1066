//! What a part is, written into the Markdown in signs that nobody sees. A mark is a letter and what belongs
//! to it, in letters of the private-use area (U+E000 to U+F8FF); the one escape lets no such sign of others
//! through, and the Markdown that is written out has them taken off.

use super::Grade;
use std::borrow::Cow;

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
    !text.is_ascii() && text.bytes().any(|byte| matches!(byte, 0xee | 0xef))
}

/// What a part is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Mark<'t> {
    /// In the first heading cell: class of the table.
    Table(Cow<'t, str>),
    /// In the first cell: a row across all columns.
    Group,
    /// First in a cell: it is left for the pen.
    Blank,
    /// First in a cell or a strong text: its colour.
    Grade(Grade),
    /// First in a strong paragraph: it is the caption of the table below.
    Caption,
    /// First in a heading: class and anchor of its chapter.
    Chapter(Cow<'t, str>),
    /// First in a heading: what follows up to [`Mark::End`] is folded.
    Fold,
    /// First in a paragraph: the place of a picture.
    Figure(Cow<'t, str>),
    /// First in a paragraph: its class.
    Note,
    /// First in a link: it leads to the page of this path.
    Page(Cow<'t, str>),
    /// First in a link: it leads to a file beside the pages.
    File,
    /// Around text that only plain Markdown needs.
    Hide,
    /// The text up to [`Mark::Shown`] stands small and below.
    Under,
    /// The text from here on stands on a line of its own.
    Break,
    /// Ends [`Mark::Hide`] and [`Mark::Under`].
    Shown,
    /// Alone in a paragraph: a group begins.
    Begin(Cow<'t, str>),
    /// Alone in a paragraph: a group or fold ends.
    End,
    /// Alone in a paragraph: a new sheet of paper.
    NewPage,
    /// First in an emphasis: says that something was not stated.
    NotStated,
}

impl Mark<'_> {
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
            Self::File => ('a', ""),
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
    fn of(letter: char, rest: impl Iterator<Item = char> + Clone) -> Option<Self> {
        let is_said = |grade: &Grade| grade.word().chars().eq(rest.clone());
        let rest = || Cow::Owned(rest.clone().collect());
        Some(match letter {
            't' => Self::Table(rest()),
            'g' => Self::Group,
            'b' => Self::Blank,
            'v' => Self::Grade(Grade::ALL.into_iter().find(is_said)?),
            'c' => Self::Caption,
            'h' => Self::Chapter(rest()),
            'f' => Self::Fold,
            'p' => Self::Figure(rest()),
            'n' => Self::Note,
            'l' => Self::Page(rest()),
            'a' => Self::File,
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

    /// Puts it behind a text.
    pub(super) fn write(&self, out: &mut String) {
        let (letter, rest) = self.letters();
        let letters = std::iter::once(letter).chain(rest.chars().filter(char::is_ascii));
        out.push(OPEN);
        out.extend(letters.filter_map(|c| char::from_u32(ABOVE + u32::from(c))));
        out.push(CLOSE);
    }

    /// Whether it is carried out where it stands in a text, and says nothing of the part as a whole.
    fn is_within(&self) -> bool {
        matches!(self, Self::Hide | Self::Under | Self::Break | Self::Shown)
    }
}

/// A stretch of text, or a mark in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Piece<'t> {
    Text(&'t str),
    Mark(Mark<'t>),
}

/// The pieces of a marked text. A sign that belongs to no mark is left out.
pub(super) fn pieces(text: &str) -> impl Iterator<Item = Piece<'_>> {
    let mut rest = text;
    std::iter::from_fn(move || {
        while !rest.is_empty() {
            let hidden = may_hide(rest).then(|| rest.find(is_hidden)).flatten();
            let (text, behind) = rest.split_at(hidden.unwrap_or(rest.len()));
            if !text.is_empty() {
                rest = behind;
                return Some(Piece::Text(text));
            }
            let (mark, behind) = first_mark(behind);
            rest = behind;
            if let Some(mark) = mark {
                return Some(Piece::Mark(mark));
            }
        }
        None
    })
}

/// The mark that a text begins with, and what stands behind it; of no mark only its first sign is passed.
fn first_mark(text: &str) -> (Option<Mark<'_>>, &str) {
    let mut signs = text.chars();
    if signs.next() != Some(OPEN) {
        return (None, signs.as_str());
    }
    let lowered = |c: char| char::from_u32(u32::from(c).checked_sub(ABOVE)?);
    let mut letters = signs.clone().map_while(lowered);
    let mark = letters.next().and_then(|letter| Mark::of(letter, letters));
    signs.find(|c| *c == CLOSE);
    (mark, signs.as_str())
}

/// The marks at the front of a text that say what its part is.
pub(super) fn front(text: &str) -> impl Iterator<Item = Mark<'_>> {
    pieces(text).map_while(|piece| match piece {
        Piece::Mark(mark) if !mark.is_within() => Some(mark),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mark_is_read_back() {
        let text = || "a-b/c_1".into();
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
            Mark::File,
            Mark::Hide,
            Mark::Under,
            Mark::Break,
            Mark::Shown,
            Mark::End,
            Mark::NewPage,
            Mark::NotStated,
        ];
        for mark in with.into_iter().chain(grades).chain(alone) {
            let mut marked = "front".to_owned();
            mark.write(&mut marked);
            marked.push_str("behind");
            let read = [
                Piece::Text("front"),
                Piece::Mark(mark),
                Piece::Text("behind"),
            ];
            assert!(pieces(&marked).eq(read));
        }
        assert!(pieces("\u{e000}\u{f07a}\u{e001}x").eq([Piece::Text("x")]));
    }
}
