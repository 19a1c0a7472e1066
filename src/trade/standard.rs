//! The standard that a plate names.

use crate::standards::Family;

/// A standard as named on the plate.
#[derive(Clone, Debug)]
pub struct PlateStandard {
    pub text: String,
    pub family: Family,
    /// Whether its limits are in the tables of `standards`.
    pub known: bool,
    pub edition: Option<u16>,
}

impl PlateStandard {
    /// Reads `IEC 61869-2:2012`, `IEEE C57.13-2008`.
    pub fn read(text: &str) -> Self {
        let compact = text.trim_matches(' ');
        let iec = compact.starts_with("IEC 61869-2") || compact.starts_with("EN 61869-2");
        let c57 = compact.split_once(" C57.13").map(|(body, _)| body);
        let ieee = matches!(c57, Some("IEEE" | "ANSI" | "ANSI/IEEE" | "IEEE Std"));
        let year = compact.rsplit_once([':', '-']).map(|(_, year)| year);
        let year = year.filter(|year| year.len() == 4);
        let edition = year
            .and_then(|year| year.parse().ok())
            .filter(|year| (1900..2200).contains(year));
        let family = if iec || compact.starts_with("IEC") {
            Family::Iec
        } else if ieee {
            Family::Ieee
        } else {
            Family::Other
        };
        Self {
            text: compact.to_owned(),
            family,
            known: iec || ieee,
            edition,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standards_with_their_editions() {
        let iec = PlateStandard::read("IEC 61869-2:2012");
        assert!(iec.known && iec.family == Family::Iec && iec.edition == Some(2012));
        let ieee = PlateStandard::read("IEEE C57.13-2008");
        assert!(ieee.known && ieee.family == Family::Ieee && ieee.edition == Some(2008));
        let old = PlateStandard::read("BS 3938:1973");
        assert!(!old.known && old.family == Family::Other);
    }
}
