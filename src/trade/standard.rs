//! The standard that a plate names.

use crate::ground::nearest::nearest;
use crate::standards::{Family, Tables, is_called, older_standard};

/// A standard as named on the plate.
#[derive(Clone, Debug)]
pub struct PlateStandard {
    pub text: String,
    pub family: Family,
    /// Whose limits hold.
    pub tables: Tables,
    pub edition: Option<u16>,
}

/// The present standards, as plates begin.
const IEC: &[&str] = &[
    "IEC 61869-2",
    "EN 61869-2",
    "EN IEC 61869-2",
    "BS EN 61869-2",
];
const IEEE: &[&str] = &[
    "IEEE C57.13",
    "IEEE Std C57.13",
    "ANSI C57.13",
    "ANSI/IEEE C57.13",
    "C57.13",
];

impl PlateStandard {
    /// Reads `IEC 61869-2:2012`, `IEEE C57.13-2008`.
    pub fn read(text: &str) -> Self {
        let compact = text.trim_matches(' ');
        let iec = IEC.iter().any(|name| is_called(compact, name));
        let ieee = IEEE.iter().any(|name| is_called(compact, name));
        let year = compact.rsplit_once([':', '-']).map(|(_, year)| year);
        let year = year.filter(|year| year.len() == 4);
        let edition = year
            .and_then(|year| year.parse().ok())
            .filter(|year| (1900..2200).contains(year));
        let (tables, family) = if iec {
            (Tables::Present, Family::Iec)
        } else if ieee {
            (Tables::Present, Family::Ieee)
        } else if let Some(older) = older_standard(compact) {
            older
        } else if compact.starts_with("IEC") {
            (Tables::Unknown, Family::Iec)
        } else {
            (Tables::Unknown, Family::Other)
        };
        Self {
            text: compact.to_owned(),
            family,
            tables,
            edition,
        }
    }
}

impl PlateStandard {
    /// The present standard that an unknown one is a slip of: its publisher, part or point left out, or two
    /// digits exchanged.
    pub fn meant(&self) -> Option<String> {
        let (name, edition) = match self.edition {
            Some(_) => self.text.rsplit_once([':', '-'])?,
            None => (self.text.as_str(), ""),
        };
        let bare = |text: &str| -> String {
            let seen = text.chars().filter(char::is_ascii_alphanumeric);
            seen.map(|c| c.to_ascii_uppercase()).collect()
        };
        let sorted = |text: &str| {
            let mut letters: Vec<char> = text.chars().collect();
            letters.sort_unstable();
            letters
        };
        let written = bare(name);
        let digits = written.bytes().filter(u8::is_ascii_digit).count();
        let is_slip = |known: &&&str| {
            let known = bare(known);
            let part = known.ends_with(&written) || known.starts_with(&written);
            let exchanged =
                sorted(&known) == sorted(&written) && nearest(&written, [known.as_str()]).is_some();
            part && digits >= 4 || exchanged
        };
        let known = IEC.iter().chain(IEEE).find(is_slip)?;
        let mark = if IEC.contains(known) { ':' } else { '-' };
        Some(match edition {
            "" => (*known).to_owned(),
            _ => format!("{known}{mark}{edition}"),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standards_with_their_editions() {
        let iec = PlateStandard::read("IEC 61869-2:2012");
        assert_eq!((iec.tables, iec.family), (Tables::Present, Family::Iec));
        assert_eq!(iec.edition, Some(2012));
        let ieee = PlateStandard::read("IEEE C57.13-2008");
        assert_eq!((ieee.tables, ieee.family), (Tables::Present, Family::Ieee));
        assert_eq!(ieee.edition, Some(2008));
        let old = PlateStandard::read("BS 3938:1973");
        assert_eq!(
            (old.tables, old.family),
            (Tables::Older("BS 3938"), Family::Other)
        );
        let old = PlateStandard::read("EN 60044-1:1999");
        assert_eq!(
            (old.tables, old.family),
            (Tables::Older("IEC 60044-1"), Family::Iec)
        );
        for written in ["IEC61869-2", "EN IEC 61869-2:2012", "iec 61869-2 : 2012"] {
            assert_eq!(
                PlateStandard::read(written).tables,
                Tables::Present,
                "{written}"
            );
        }
        for written in ["C57.13-1993", "IEEE C57.13.6"] {
            assert_eq!(
                PlateStandard::read(written).family,
                Family::Ieee,
                "{written}"
            );
        }
        let meant = |text: &str| PlateStandard::read(text).meant();
        for (written, known) in [
            ("61869-2", "IEC 61869-2"),
            ("IEC 61869", "IEC 61869-2"),
            ("IEC 61896-2:2012", "IEC 61869-2:2012"),
            ("IEC 61869/2:2012", "IEC 61869-2:2012"),
            ("IEEE C57-13", "IEEE C57.13"),
            ("C57 13:2016", "IEEE C57.13-2016"),
        ] {
            assert_eq!(meant(written).as_deref(), Some(known), "{written}");
        }
        for written in [
            "IEC 185:1987",
            "IEC 60044-9",
            "IEC 61869-3",
            "VDE 0414",
            "IEC",
            "",
        ] {
            assert_eq!(meant(written), None, "{written}");
        }
        let other = PlateStandard::read("IEC 185:1987");
        assert_eq!((other.tables, other.family), (Tables::Unknown, Family::Iec));
    }
}
