//! The heading of a table: `voltage/V  current/mA`.

use super::value;
use super::{Begun, Item, ItemKind};
use crate::record::schema::{Column, Kind, Section};
use crate::record::table::{Separator, bare_word};

/// The cells of a heading that are whole, and the one that is begun.
fn parted<'a>(begun: Begun<'a>) -> (Vec<&'a str>, Begun<'a>) {
    let marks: &[char] = match Separator::of(begun.text) {
        Separator::Pipe => &['|'],
        Separator::Tab => &['\t'],
        Separator::Blanks => &[' ', '\t'],
    };
    let from = begun.text.rfind(marks).map_or(0, |at| at + 1);
    let whole = begun.text.get(..from).unwrap_or_default();
    let whole = whole.split(marks).map(str::trim);
    let whole = whole.filter(|cell| !cell.is_empty()).map(bare_word);
    (whole.collect(), begun.from(from))
}

/// Whether all whole cells of a line name columns, and there is one.
pub(super) fn is_begun(schema: &'static Section, begun: Begun<'_>) -> bool {
    let (whole, last) = parted(begun);
    let with_unit = last.text.split_once('/').map(|(word, _)| word);
    let mut words = whole.into_iter().chain(with_unit).peekable();
    words.peek().is_some() && words.all(|word| schema.column(word).is_some())
}

/// The columns that are not named yet, each with a unit; behind a slash its units.
pub(super) fn columns(schema: &'static Section, begun: Begun<'_>) -> Vec<Item> {
    let (named, last) = parted(begun);
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
