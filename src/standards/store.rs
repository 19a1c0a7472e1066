//! The tables, compiled in. They are read when first asked for; each typed file reads its own
//! group of rows. A table that cannot be read gives no rows and so no verdict: a test holds every
//! row against its reader.

use std::collections::BTreeMap;
use std::sync::{LazyLock, OnceLock};

use super::cited::Cited;
use serde::de::DeserializeOwned;

/// One file of limits, as it stands in `tables/`.
#[derive(Clone, Copy, Debug)]
pub struct File {
    pub name: &'static str,
    /// Whose limits it holds.
    pub of: &'static str,
    pub text: &'static str,
}

macro_rules! files {
    ($($name:literal of $of:literal),* $(,)?) => {
        /// The files of limits: what verdicts stand on beside plate and criteria.
        pub const FILES: &[File] = &[$(File {
            name: $name,
            of: $of,
            text: include_str!(concat!("tables/", $name)),
        }),*];
    };
}

files! {
    "iec.toml" of "IEC 61869-2 and its relatives",
    "ieee.toml" of "IEEE C57.13 and its relatives",
    "practice.toml" of "what surrounds a test, and common practice",
}

/// The groups of all files, each with its name and its text: from a line `name = [` to the line `]`. A run asks for
/// few of them, and reads no others.
static GROUPS: LazyLock<Vec<(&str, &str)>> = LazyLock::new(|| {
    let texts = FILES.iter();
    let texts = texts.flat_map(|file| file.text.split_inclusive("\n]\n"));
    let named = texts.filter_map(|text| {
        let head = text.lines().find(|line| line.ends_with(" = ["))?;
        Some((head.strip_suffix(" = [")?, text))
    });
    named.collect()
});

/// The rows of a group as they stand in its text.
fn read<T: DeserializeOwned>(text: &str) -> Vec<T> {
    let group: Option<BTreeMap<String, Vec<T>>> = toml::from_str(text).ok();
    group
        .into_iter()
        .flatten()
        .flat_map(|(_, rows)| rows)
        .collect()
}

/// The rows of one group, of all files, in their order.
pub(super) fn rows<T: DeserializeOwned>(group: &str) -> Vec<T> {
    let own = GROUPS.iter().filter(|(name, _)| *name == group);
    own.flat_map(|(_, text)| read(text)).collect()
}

/// The rows of one group that are asked for by their ids: each stands on a line of its own, and is read when it is
/// first asked for, since a run asks for few of them.
pub(super) struct ById<T>(Vec<Named<T>>);

/// A row that is not read yet, under its id.
struct Named<T> {
    id: &'static str,
    line: &'static str,
    row: OnceLock<Option<T>>,
}

impl<T: DeserializeOwned> ById<T> {
    /// The rows of a group, of all files.
    pub(super) fn of(group: &str) -> Self {
        let own = GROUPS.iter().filter(|(name, _)| *name == group);
        let named = own.flat_map(|(_, text)| text.lines()).filter_map(|line| {
            let line = line.trim().trim_end_matches(',');
            let (id, _) = line.strip_prefix("{ id = \"")?.split_once('"')?;
            let row = OnceLock::new();
            Some(Named { id, line, row })
        });
        Self(named.collect())
    }

    pub(super) fn get(&self, id: &str) -> Option<&T> {
        let named = self.0.iter().find(|named| named.id == id)?;
        let read = || read(&format!("row = [{}]", named.line)).pop();
        named.row.get_or_init(read).as_ref()
    }
}

/// Every row as it stands, behind the name of its group, of all files.
pub(super) fn all<T: DeserializeOwned>() -> impl Iterator<Item = (&'static str, T)> {
    let groups = GROUPS.iter();
    groups.flat_map(|(name, text)| read(text).into_iter().map(move |row| (*name, row)))
}

/// What every row says of itself, of all files and groups.
pub static CITED: LazyLock<Vec<Cited>> =
    LazyLock::new(|| GROUPS.iter().flat_map(|(_, text)| read(text)).collect());
