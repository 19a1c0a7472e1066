//! The folders that Parquet is parted into, `part=site-Skerrow%20132%20kV`: any name of a site is one of a folder then,
//! on every system, and no other site's. Engines look into folders of such names by themselves, and take them for a
//! column `part`: text at every site, for `132` alone would be guessed to be a number. Which site it is stands in the
//! column `site_now` of the file; of two columns of that name some engines take neither.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use std::collections::{BTreeMap, BTreeSet};

/// What stands for itself in the name of a folder.
const ENCODED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'_');

/// What begins the folder of a site.
const SITE: &str = "part=site-";
/// The folder of units that stand nowhere; no site has it, for theirs begin otherwise.
const NONE: &str = "part=no-site";

/// Longest name of a file or folder that the usual disks take, in bytes (common practice, no source).
const LONGEST: usize = 255;

/// Whether it is the name of such a folder.
pub(super) fn is_one(name: &str) -> bool {
    name == NONE || name.starts_with(SITE)
}

/// The sites of a job.
pub struct Folders {
    /// Names that differ from another one by the case of their letters alone.
    alike: BTreeSet<String>,
}

impl Folders {
    /// Of all sites that a job has.
    pub fn of<'s>(sites: impl Iterator<Item = &'s str>) -> Self {
        let mut folded: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
        for site in sites {
            folded.entry(site.to_lowercase()).or_default().insert(site);
        }
        let alike = folded.into_values().filter(|names| names.len() > 1);
        let alike = alike.flatten().map(str::to_owned).collect();
        Self { alike }
    }

    /// The folder of a site.
    ///
    /// # Errors
    /// When no disk takes so long a name.
    pub fn name(&self, site: Option<&str>) -> Result<String, String> {
        let name = match site {
            None => NONE.to_owned(),
            // Capitals are written as codes where small letters would not tell two names apart.
            Some(site) if self.alike.contains(site) => format!("{SITE}{}", escaped(site)),
            Some(site) => format!("{SITE}{}", utf8_percent_encode(site, ENCODED)),
        };
        match name.len() > LONGEST {
            true => Err(format!(
                "the name of the site `{}…` is too long for a folder; csv and sqlite need none",
                site.unwrap_or_default()
                    .chars()
                    .take(40)
                    .collect::<String>()
            )),
            false => Ok(name),
        }
    }
}

fn escaped(site: &str) -> String {
    let letter = |c: char| match c.is_ascii_uppercase() {
        true => format!("%{:02X}", u32::from(c)),
        false => utf8_percent_encode(c.encode_utf8(&mut [0; 4]), ENCODED).to_string(),
    };
    site.chars().map(letter).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use percent_encoding::percent_decode_str;

    const SITES: [&str; 14] = [
        "no-site",
        "_x",
        "__HIVE_DEFAULT_PARTITION__",
        "Skerrow 132 kV",
        "skerrow 132 kV",
        "SKERROW 132 KV",
        "..",
        ".",
        "a/b\\c",
        "CON",
        "=1",
        "Ärger",
        "ärger",
        "a\u{301}",
    ];

    #[test]
    fn every_name_is_read_back_and_none_is_another_folder() {
        let folders = Folders::of(SITES.into_iter());
        let mut folded = BTreeSet::new();
        for site in SITES {
            let name = folders.name(Some(site)).expect("a name");
            let value = name.strip_prefix(SITE).expect("a value");
            assert_eq!(percent_decode_str(value).decode_utf8().expect("text"), site);
            assert!(!value.contains(['/', '\\', '.', ' ', '=']), "{value}");
            assert!(is_one(&name), "{name}");
            assert!(folded.insert(name.to_lowercase()), "{name} twice");
        }
        assert_eq!(
            folders.name(Some("Skerrow 1")),
            Ok("part=site-Skerrow%201".to_owned())
        );
        let none = folders.name(None).expect("a name");
        assert!(is_one(&none) && !folded.contains(&none), "{none}");
        assert!(folders.name(Some(&"ä".repeat(60))).is_err());
    }
}
