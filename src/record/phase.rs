//! The phase that a reading is of, and the neutral.

use super::value::choices;
use crate::trade::mark;
use std::cmp::Ordering;

/// One of the three, in the order in which they follow one another, or what they make together. A, B and C are the
/// same three by the other way of naming them: equal to L1, L2 and L3, and printed as written.
#[derive(Clone, Copy, Debug, strum::EnumString, strum::VariantNames, strum::IntoStaticStr)]
pub enum Phase {
    L1,
    L2,
    L3,
    A,
    B,
    C,
    N,
}

choices!(Phase);

/// Colours that mark conductors, in one country or another; from memory.
const COLOURS: [&str; 8] = [
    "RED", "YELLOW", "WHITE", "BLUE", "BROWN", "BLACK", "GREY", "GRAY",
];

impl Phase {
    /// The three, in their order.
    pub const ALL: [Self; 3] = [Self::L1, Self::L2, Self::L3];
    /// The same by letters.
    const LETTERS: [Self; 3] = [Self::A, Self::B, Self::C];

    /// As written.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.into()
    }

    /// The phase that a text names, by one way of naming or by both: `L1`, `A`, `A (L1)`; in whatever letter case, with
    /// the word `phase`, a blank or a hyphen in it. A colour beside a number tells no other phase; beside a letter it may.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.to_ascii_uppercase();
        let words = text.split([' ', '\t', '(', ')', '/', ',', '-']);
        let words = words.filter(|word| !word.is_empty() && *word != "PHASE");
        let words: Vec<&str> = words.collect();
        let mut rest = words.as_slice();
        let mut named: Option<Self> = None;
        while let [first, behind @ ..] = rest {
            let (one, behind) = match (*first, behind) {
                ("L", [number, behind @ ..]) => (["L", number].concat(), behind),
                (word, behind) => (word.to_owned(), behind),
            };
            rest = behind;
            match (one.parse::<Self>(), named) {
                (Ok(one), None) => named = Some(one),
                (Ok(one), Some(first)) if one == first => {}
                (Err(_), Some(first)) if first.is_numbered() && COLOURS.contains(&one.as_str()) => {
                }
                _ => return None,
            }
        }
        named
    }

    /// Whether it is one of `L1`, `L2` and `L3` by that name.
    const fn is_numbered(self) -> bool {
        matches!(self, Self::L1 | Self::L2 | Self::L3)
    }

    /// The three as this one is named.
    #[must_use]
    pub fn three(self) -> &'static [Self; 3] {
        match self {
            Self::A | Self::B | Self::C => &Self::LETTERS,
            Self::L1 | Self::L2 | Self::L3 | Self::N => &Self::ALL,
        }
    }

    /// Where it stands among them, the neutral behind them.
    const fn place(self) -> u8 {
        match self {
            Self::L1 | Self::A => 0,
            Self::L2 | Self::B => 1,
            Self::L3 | Self::C => 2,
            Self::N => 3,
        }
    }
}

impl PartialEq for Phase {
    fn eq(&self, other: &Self) -> bool {
        self.place() == other.place()
    }
}

impl Eq for Phase {}

impl PartialOrd for Phase {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Phase {
    fn cmp(&self, other: &Self) -> Ordering {
        self.place().cmp(&other.place())
    }
}

/// Whether two texts name one phase; of what is no name of ours the letters decide.
pub(super) fn is_one(one: &str, other: &str) -> bool {
    match (Phase::read(one), Phase::read(other)) {
        (Some(one), Some(other)) => one == other,
        _ => mark::is_one(one, other),
    }
}

#[cfg(test)]
mod tests {
    use super::Phase;

    #[test]
    fn a_phase_is_one_by_either_name() {
        for (text, phase) in [
            ("L1", Some("L1")),
            ("A", Some("A")),
            ("A (L1)", Some("A")),
            ("L2/B", Some("L2")),
            ("N", Some("N")),
            ("l1", Some("L1")),
            ("L 1", Some("L1")),
            ("L-2", Some("L2")),
            ("A phase", Some("A")),
            ("A-phase", Some("A")),
            ("phase b", Some("B")),
            ("Phase L 3 (c)", Some("L3")),
            ("L1 (red)", Some("L1")),
            // Not one phase, or by a way of naming that gives B to the third.
            ("A/C", None),
            ("A (L2)", None),
            ("R", None),
            ("B R", None),
            ("B (blue)", None),
            ("red", None),
            ("L1 L2", None),
            ("L", None),
            ("L1-N", None),
            ("phase", None),
            ("A of line 2", None),
            ("", None),
        ] {
            assert_eq!(Phase::read(text).map(Phase::name), phase, "{text}");
        }
        for (named, letter) in Phase::ALL.into_iter().zip(Phase::LETTERS) {
            assert_eq!(named, letter);
            assert_ne!(Some(named.name()), Some(letter.name()));
            assert!(letter < Phase::N && letter.three().contains(&letter));
        }
        assert!(Phase::A < Phase::L2 && Phase::L2 < Phase::C);
    }
}
