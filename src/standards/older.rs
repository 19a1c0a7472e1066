//! Older standards that are known to carry figures of a later one. What a plate names is held against its
//! own standard, by its own name; a figure that is not known to stand there holds for nothing.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::{Citation, Cited};
use super::conductor::Family;
use super::store::rows;

/// A table of an older standard, by the rows of the later one that carry the same figures.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct OlderTable {
    /// As plates begin: `IEC 60044-1`.
    standard: String,
    /// Other spellings of the same standard.
    #[serde(default)]
    also: Vec<String>,
    family: Family,
    /// The ids of these rows; with a hyphen at the end, how they begin.
    rows: Vec<String>,
    #[serde(flatten)]
    pub cited: Cited,
}

/// Whose tables hold for what a plate names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tables {
    /// Those of the present standards.
    Present,
    /// Those rows that this older standard is known to carry.
    Older(&'static str),
    /// None is known.
    Unknown,
}

static OLDER: LazyLock<Vec<OlderTable>> = LazyLock::new(|| rows("older"));

/// All tables of older standards.
#[must_use]
pub fn older_tables() -> &'static [OlderTable] {
    &OLDER
}

/// The older standard that a plate's text names, with its family.
#[must_use]
pub fn older_standard(text: &str) -> Option<(Tables, Family)> {
    let names = |table: &&OlderTable| {
        let mut words = std::iter::once(&table.standard).chain(&table.also);
        words.any(|word| is_called(text, word))
    };
    let table = OLDER.iter().find(names)?;
    Some((Tables::Older(&table.standard), table.family))
}

/// Whether a plate's text names a standard, however it is spaced, and not one whose number only begins
/// alike: an edition, a part or a remark may follow.
#[must_use]
pub fn is_called(text: &str, standard: &str) -> bool {
    let mut text = bare(text);
    bare(standard).all(|c| text.next() == Some(c))
        && !text.next().is_some_and(|c| c.is_ascii_digit())
}

/// A text as names of standards are compared: in capitals, without blanks.
fn bare(text: &str) -> impl Iterator<Item = char> {
    let seen = text.chars().filter(|c| !c.is_whitespace());
    seen.map(|c| c.to_ascii_uppercase())
}

impl OlderTable {
    fn carries(&self, id: &str) -> bool {
        let is = |row: &String| match row.ends_with('-') {
            true => id.starts_with(row.as_str()),
            false => id == row,
        };
        self.rows.iter().any(is)
    }
}

impl Tables {
    /// A row as a plate's standard has it; `None` where it is not known to carry it. What stands in no
    /// standard (rating plate, client, practice of the trade) is left as it is.
    #[must_use]
    pub fn cite(self, row: &Cited) -> Option<Cited> {
        let of_a_standard = row.id.starts_with("iec-") || row.id.starts_with("ieee-");
        match self {
            Self::Older(name) if of_a_standard => {
                let mut tables = OLDER.iter().filter(|table| table.standard == name);
                let table = tables.find(|table| table.carries(&row.id))?;
                let citation = Citation {
                    id: row.id.clone(),
                    ..Citation::clone(&table.cited)
                };
                Some(citation.into())
            }
            Self::Unknown if of_a_standard => None,
            Self::Present | Self::Older(_) | Self::Unknown => Some(row.clone()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::store::FILES;

    /// A row that is renamed must not fall out of an older standard without a word.
    #[test]
    fn every_row_that_an_older_standard_carries_is_there() {
        assert!(OLDER.len() > 5);
        for table in OLDER.iter() {
            for start in &table.rows {
                let end = if start.ends_with('-') { "" } else { "\"" };
                let id = format!("id = \"{start}{end}");
                assert!(FILES.iter().any(|file| file.text.contains(&id)), "{start}");
            }
        }
    }

    #[test]
    fn what_stands_in_no_standard_goes_by_none() {
        let plate = Cited::stated("plate".to_owned(), "rating plate".to_owned());
        let Some((older, _)) = older_standard("IEC 60044-1") else {
            panic!("it is known");
        };
        for tables in [Tables::Present, older, Tables::Unknown] {
            assert_eq!(tables.cite(&plate), Some(plate.clone()), "{tables:?}");
        }
    }

    #[test]
    fn a_standard_is_known_by_its_number_and_not_by_a_part_of_it() {
        let named = |text| older_standard(text).map(|(tables, _)| tables);
        assert_eq!(
            named("IEC 60044-1:1996"),
            Some(Tables::Older("IEC 60044-1"))
        );
        assert_eq!(named("EN 60044-1"), Some(Tables::Older("IEC 60044-1")));
        assert_eq!(named("BS 3938:1973"), Some(Tables::Older("BS 3938")));
        assert_eq!(named("IEC 60044-11"), None);
        assert_eq!(named("VDE 0414:1970"), None);
    }

    #[test]
    fn what_an_older_standard_carries_goes_by_its_name() {
        let row = |id: &str| Cited::stated(id.to_owned(), "of today".to_owned());
        let older = |standard: &'static str, id: &str| {
            let cited = Tables::Older(standard).cite(&row(id));
            cited.map(|cited| cited.source.clone())
        };
        let table_14 = older("IEC 60044-1", "iec-5p").unwrap();
        assert!(table_14.starts_with("IEC 60044-1:1996"), "{table_14}");
        assert!(older("IEC 60044-1", "iec-tpy").is_none());
        assert!(older("BS 3938", "iec-px").is_some() && older("BS 3938", "iec-5p").is_none());
        assert!(older("BS 3938", "iec-pxr").is_none());
        assert_eq!(older("BS 3938", "plate-rated-burden").unwrap(), "of today");
        assert!(Tables::Unknown.cite(&row("ieee-c400")).is_none());
        assert_eq!(Tables::Present.cite(&row("iec-5p")), Some(row("iec-5p")));
    }
}
