//! A row of the tables whatever group it is of: the figures that it holds, by the names that they have there.

use super::cited::Cited;
use super::store;
use serde::Deserialize;

/// A row as it stands in its table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Row {
    /// What it is a row of: `measuring ratio`.
    #[serde(skip)]
    pub group: String,
    /// Unit, and sense, of its figures in words.
    pub unit: String,
    #[serde(flatten)]
    pub cited: Cited,
    /// Why nothing reads it yet.
    pub unread: Option<String>,
    /// Why no published figure is held against it.
    pub unchecked: Option<String>,
    /// Its figures, and what they are for: `class` and `0.2S`, `limit` and `0.35`.
    #[serde(skip)]
    pub figures: Vec<(String, String)>,
}

/// What a row says of itself, beside its figures.
const OF_ITSELF: &[&str] = &[
    "id",
    "unit",
    "source",
    "seen_in",
    "provenance",
    "note",
    "unread",
    "unchecked",
];

/// All rows, table by table.
#[must_use]
pub fn all_rows() -> Vec<Row> {
    let tables = store::all::<toml::Table>();
    tables
        .filter_map(|(group, table)| {
            let own = table
                .iter()
                .filter(|(key, _)| !OF_ITSELF.contains(&key.as_str()));
            let figures = own
                .map(|(key, value)| (spaced(key), plain(value)))
                .collect();
            let row: Row = table.try_into().ok()?;
            let group = spaced(group);
            Some(Row {
                group,
                figures,
                ..row
            })
        })
        .collect()
}

fn spaced(key: &str) -> String {
    key.replace('_', " ")
}

/// A value of the table without the marks of its language.
fn plain(value: &toml::Value) -> String {
    match value {
        toml::Value::String(text) => text.clone(),
        toml::Value::Array(list) if list.is_empty() => "none".to_owned(),
        toml::Value::Array(list) => list.iter().map(plain).collect::<Vec<_>>().join(", "),
        toml::Value::Integer(number) => number.to_string(),
        toml::Value::Float(number) => number.to_string(),
        toml::Value::Boolean(is) => if *is { "yes" } else { "no" }.to_owned(),
        toml::Value::Datetime(day) => day.to_string(),
        toml::Value::Table(_) => String::new(),
    }
}
