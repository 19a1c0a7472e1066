//! What an insulation reading is taken between.

/// One side of an insulation measurement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    Primary,
    Earth,
    /// `cores`: all cores not named otherwise.
    Cores,
    Core(String),
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
        format!("{} to {}", side(&self.from), side(&self.to))
    }
}

fn side(items: &[Item]) -> String {
    let word = |item| match item {
        &Item::Primary => "primary",
        Item::Earth => "earth",
        Item::Cores => "cores",
        Item::Core(name) => name,
    };
    let words: Vec<&str> = items.iter().map(word).collect();
    match words.split_last() {
        Some((last, first)) if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => words.concat(),
    }
}

/// Reads `A to B, C and D`. Names are checked against the cores later.
pub fn between(text: &str) -> Option<Between> {
    let (from, to) = text.split_once(" to ")?;
    Some(Between {
        from: items(from)?,
        to: items(to)?,
    })
}

fn items(text: &str) -> Option<Vec<Item>> {
    let list = text.replace(" and ", ", ");
    let mut found = Vec::new();
    for word in list.split(',') {
        let word = word.trim_matches([' ', '\t']);
        found.push(match word {
            "" => return None,
            "primary" => Item::Primary,
            "earth" | "ground" => Item::Earth,
            "cores" | "other cores" | "all cores" | "all others" => Item::Cores,
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
    }
}
