//! The tables, compiled in. They are read when first asked for; each typed file reads its own
//! group of rows. A table that cannot be read gives no rows and so no verdict: a test holds every
//! row against its reader.

use std::sync::LazyLock;

use serde::de::DeserializeOwned;

/// The files, as they stand in `tables/`.
pub(super) const FILES: [&str; 3] = [
    include_str!("tables/iec.toml"),
    include_str!("tables/ieee.toml"),
    include_str!("tables/practice.toml"),
];

static TABLES: LazyLock<Vec<toml::Table>> = LazyLock::new(|| {
    FILES
        .iter()
        .filter_map(|text| toml::from_str(text).ok())
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
