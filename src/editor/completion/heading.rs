//! The heading of a table: `voltage/V  current/mA`.

use super::value;
use super::{Begun, Item, ItemKind};
use crate::record::schema::{Column, Kind, Section};

/// The words of a heading, without their units.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let words = text.split([' ', '\t', '|']).filter(|word| !word.is_empty());
    words.map(|word| word.split('/').next().unwrap_or(word))
}

/// Whether all whole words of a line name columns, and there is one.
pub(super) fn is_begun(schema: &'static Section, text: &str) -> bool {
    let whole = match text.rfind([' ', '\t', '|', '/']) {
        Some(end) => text.get(..end).unwrap_or_default(),
        None => return false,
    };
    let mut words = words(whole).peekable();
    words.peek().is_some() && words.all(|word| schema.column(word).is_some())
}

/// The columns that are not named yet, each with a unit; behind a slash its units.
pub(super) fn columns(schema: &'static Section, begun: Begun<'_>) -> Vec<Item> {
    let last = begun.last();
    if let Some((word, _)) = last.text.split_once('/') {
        let unit = last.from(word.len() + 1);
        let column = schema.column(word);
        return column.map_or(Vec::new(), |column| {
            let units = value::units(column.kind, unit).into_iter();
            units
                .filter(|item| !column.never.contains(&item.label.as_str()))
                .collect()
        });
    }
    let before = begun.text.len() - last.text.len();
    let named: Vec<&str> = words(begun.text.get(..before).unwrap_or_default()).collect();
    let is_free = |column: &&Column| !named.iter().any(|word| column.is_called(word));
    let item = |column: &Column| {
        let doc = format!("column: {}; {}", column.kind.words(), column.doc);
        let unit = match column.kind {
            Kind::Quantity(of) | Kind::Either(of, _) => {
                let mut all = of.examples().split(", ");
                all.find(|unit| !column.never.contains(unit))
            }
            _ => None,
        };
        let unit = unit.map_or(String::new(), |unit| format!("/{unit}"));
        last.item(ItemKind::Column, format!("{}{unit}", column.word), doc)
    };
    schema.columns.iter().filter(is_free).map(item).collect()
}
