//! The tables, compiled in. They are read when first asked for; each typed file reads its own
//! group of rows. A table that cannot be read gives no rows and so no verdict: a test holds every
//! row against its reader.

use std::sync::LazyLock;

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

static TABLES: LazyLock<Vec<toml::Table>> = LazyLock::new(|| {
    FILES
        .iter()
        .filter_map(|file| toml::from_str(file.text).ok())
        .collect()
});

/// The rows of one group, of all files, in their order.
pub(super) fn rows<T: DeserializeOwned>(group: &str) -> Vec<T> {
    let groups = TABLES.iter().filter_map(|table| table.get(group));
    groups
        .filter_map(|rows| rows.clone().try_into::<Vec<T>>().ok())
        .flatten()
        .collect()
}

/// What every row says of itself, of all files and groups.
pub static CITED: LazyLock<Vec<Cited>> = LazyLock::new(|| {
    let groups = TABLES.iter().flat_map(toml::Table::values);
    let rows = groups.filter_map(toml::Value::as_array).flatten();
    rows.filter_map(|row| row.clone().try_into().ok()).collect()
});
