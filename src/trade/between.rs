//! What an insulation reading is taken between.

use super::{PairName, PrimaryMarks};

/// One side of an insulation measurement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    Primary,
    Earth,
    /// `cores`: all cores not named otherwise.
    Cores,
    Core(String),
    /// `P1-C1`: a section of a winding that is brought out by itself.
    Section(PairName),
    /// The tap in the insulation of the primary.
    TestTap,
}

impl Item {
    /// Reads a name with two ends as a section of a winding.
    pub fn section(name: &str) -> Option<PairName> {
        let (from, to) = name.split_once('-')?;
        let (from, to) = (from.to_owned(), to.to_owned());
        (!from.is_empty() && !to.is_empty() && from != to).then_some(PairName { from, to })
    }

    fn word(&self) -> String {
        match self {
            Self::Primary => "primary".into(),
            Self::Earth => "earth".into(),
            Self::Cores => "cores".into(),
            Self::Core(name) => name.clone(),
            Self::Section(PairName { from, to }) => format!("{from}-{to}"),
            Self::TestTap => "test tap".into(),
        }
    }
}

/// Whether a name is that of the primary between its ends: `P1-P2`, `H1-H2`.
fn is_whole_primary(name: &str) -> bool {
    let ends = name.split_once('-');
    let marks = ends.and_then(|(from, to)| PrimaryMarks::of(from).zip(PrimaryMarks::of(to)));
    // `C1-C2` has the marks of a section beside `P1 P2`.
    marks.is_some_and(|((from, first), (to, second))| {
        from == to && first != second && from != PrimaryMarks::C
    })
}

/// Whether a terminal is one of the primary: its ends, and those of its sections, `C1 C2` between `P1` and
/// `P2` under IEC and `H3 H4` behind `H1 H2` under IEEE (IEC 61869-2, markings of terminals; from memory).
pub fn is_of_primary(terminal: &str) -> bool {
    PrimaryMarks::of(terminal).is_some() || ["H3", "H4"].contains(&terminal)
}

/// What an insulation reading was taken between.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Between {
    pub from: Vec<Item>,
    pub to: Vec<Item>,
}

impl Between {
    /// As the trade writes it.
    pub fn text(&self) -> String {
        format!("{} to {}", together(&self.from), together(&self.to))
    }
}

/// Items that are connected with each other: `primary, cores and earth`.
pub fn together(items: &[Item]) -> String {
    let words: Vec<String> = items.iter().map(Item::word).collect();
    match words.split_last() {
        Some((last, first)) if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => words.concat(),
    }
}

/// Reads `A to B, C and D`. Names are checked against the cores later.
pub fn between(text: &str) -> Option<Between> {
    let (from, to) = text.split_once(" to ")?;
    let from = items(from, &[])?;
    let others: &[Item] = match from.contains(&Item::Primary) {
        true => &[Item::Cores],
        false => &[Item::Primary, Item::Cores],
    };
    let to = items(to, others)?;
    Some(Between { from, to })
}

/// The items of a side; `others` are what is not on the first one.
fn items(text: &str, others: &[Item]) -> Option<Vec<Item>> {
    let list = text.replace(" and ", ", ");
    let mut found = Vec::new();
    for word in list.split(',') {
        let word = word.trim_matches([' ', '\t']);
        if word == "all others" && !others.is_empty() {
            found.extend_from_slice(others);
            continue;
        }
        found.push(match word {
            "" => return None,
            "primary" => Item::Primary,
            "earth" | "ground" => Item::Earth,
            "test tap" => Item::TestTap,
            "cores" | "other cores" | "all cores" => Item::Cores,
            name if is_whole_primary(name) => Item::Primary,
            name if name.contains(' ') => return None,
            name => Item::Core(name.to_owned()),
        });
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_read_from_the_left() {
        let found = between("1S to primary, cores and ground").unwrap();
        assert_eq!(found.text(), "1S to primary, cores and earth");
        assert!(between("1S").is_none() && between("1S to ").is_none());
        let others = between("1S to all others and earth").unwrap();
        assert_eq!(others, between("1S to primary, cores and earth").unwrap());
        let others = between("primary to all others and earth").unwrap();
        assert_eq!(others, between("primary to cores and earth").unwrap());
        assert!(between("all others to earth").is_none());
    }

    #[test]
    fn sections_have_two_ends_and_the_primary_has_its_own() {
        let ends = Item::section("P1-C1").unwrap();
        assert_eq!((ends.from.as_str(), ends.to.as_str()), ("P1", "C1"));
        assert_eq!(Item::Section(ends).word(), "P1-C1");
        assert!(
            ["1S", "P1-", "-P1", "P1-P1"]
                .iter()
                .all(|name| Item::section(name).is_none())
        );
        assert!(
            ["P1", "C2", "H4", "K"]
                .iter()
                .all(|mark| is_of_primary(mark))
        );
        assert!(!is_of_primary("1S1") && !is_of_primary("H5"));
    }
}
