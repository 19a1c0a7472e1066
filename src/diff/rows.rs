//! The rows of a table, those of one state beside those of the other.

use super::order::{Pair, by_name, by_run};
use super::value::{bare, quantity, token};
use crate::ground::source::Source;
use crate::ground::span::{Given, Located};
use crate::record::body::{Row, Table};
use crate::record::schema::{Column, Kind};
use crate::record::value::Datum;
use std::collections::{BTreeMap, BTreeSet};

/// Rows that belong together: by what they are of where they say it, else by the readings that they share.
pub fn pairs(before: (&Source, &Table), after: (&Source, &Table)) -> Vec<Pair> {
    let [old, new] = [before, after].map(|(source, table)| labels(source, table));
    match (old, new) {
        (Some(old), Some(new)) => {
            let names = |(source, table): (&Source, &Table)| {
                let named = |row: &Row| label(source, table, row, is_name).unwrap_or_default();
                table.rows.iter().map(named).collect::<Vec<_>>()
            };
            joined(by_name(&old, &new), &names(before), &names(after))
        }
        _ => {
            let [old, new] = [before, after].map(|(source, table)| {
                table
                    .rows
                    .iter()
                    .map(|row| readings(source, row))
                    .collect::<Vec<_>>()
            });
            let first = |(_, table): (&Source, &Table), at: usize| {
                let cells = table.rows.get(at).into_iter().flat_map(|row| &row.cells);
                cells
                    .filter_map(|cell| Some(quantity(cell.value()?)?.si))
                    .next()
            };
            let far = |old: usize, new: usize| match (first(before, old), first(after, new)) {
                (Some(old), Some(new)) => (old - new).abs() / old.abs().max(new.abs()).max(1e-30),
                _ => f64::INFINITY,
            };
            by_run(&old, &new, far)
        }
    }
}

/// Of rows that found none, one that is gone and one that came are the same where both are of one thing: what was set
/// is another.
fn joined(pairs: Vec<Pair>, before: &[String], after: &[String]) -> Vec<Pair> {
    let gone = pairs.iter().filter(|(_, new)| new.is_none());
    let gone: Vec<usize> = gone.filter_map(|(old, _)| *old).collect();
    let come = pairs.iter().filter(|(old, _)| old.is_none());
    let come: Vec<usize> = come.filter_map(|(_, new)| *new).collect();
    let named = |names: &[String], of: &[usize]| {
        let names = of
            .iter()
            .map(|at| names.get(*at).cloned().unwrap_or_default());
        names.collect::<Vec<_>>()
    };
    let same = by_name(&named(before, &gone), &named(after, &come)).into_iter();
    let same = same.filter_map(|(old, new)| Some((*come.get(new?)?, *gone.get(old?)?)));
    let same: BTreeMap<usize, usize> = same.collect();
    let taken: BTreeSet<usize> = same.values().copied().collect();
    let left = pairs
        .into_iter()
        .filter(|(old, new)| new.is_some() || !old.is_some_and(|old| taken.contains(&old)));
    let found = |new: Option<usize>| same.get(&new?).copied();
    left.map(|(old, new)| (old.or_else(|| found(new)), new))
        .collect()
}

/// What each row is of; `None` where rows do not say it, or several say the same.
fn labels(source: &Source, table: &Table) -> Option<Vec<String>> {
    let of = |row: &Row| label(source, table, row, is_label);
    let labels: Option<Vec<String>> = table.rows.iter().map(of).collect();
    let labels = labels?;
    let mut sorted = labels.clone();
    sorted.sort();
    sorted.dedup();
    (sorted.len() == labels.len()).then_some(labels)
}

/// What a row is of: its core, pair or item, and what was set before it was read.
fn label(
    source: &Source,
    table: &Table,
    row: &Row,
    counts: fn(&Column, usize) -> bool,
) -> Option<String> {
    let cells = row.cells.iter().zip(&table.columns).enumerate();
    let named = cells.filter_map(|(index, (cell, column))| {
        let is_label = column.is_some_and(|column| counts(column, index));
        let datum = cell.get().filter(|_| is_label)?;
        Some(token(&datum.value, source.slice(datum.span)))
    });
    let named: Vec<String> = named.collect();
    (!named.is_empty()).then(|| named.join(" / "))
}

fn is_label(column: &Column, index: usize) -> bool {
    is_name(column, index) || column.set
}

/// Whether a column names what a row is of.
fn is_name(column: &Column, index: usize) -> bool {
    let names = matches!(column.kind, Kind::Pair | Kind::Between | Kind::Core);
    names || index == 0 && matches!(column.kind, Kind::Text | Kind::Choice(_))
}

/// All cells of a row, each with its column.
pub fn whole(source: &Source, table: &Table, row: &Row) -> String {
    let cells = row.cells.iter().zip(&table.columns);
    let cells = cells.filter_map(|(cell, column)| {
        let text = shown(source, cell.get()?);
        Some(format!("{} {text}", (*column)?.word))
    });
    let cells: Vec<String> = cells.collect();
    match cells.is_empty() {
        true => bare(source.slice(row.span)),
        false => cells.join(", "),
    }
}

fn readings(source: &Source, row: &Row) -> String {
    let cells = row.cells.iter().map(|cell| match cell.get() {
        Some(datum) => token(&datum.value, source.slice(datum.span)),
        None => cell
            .span()
            .map_or(String::new(), |span| bare(source.slice(span))),
    });
    cells.collect::<Vec<_>>().join(" | ")
}

/// How a value is shown.
pub type Show = fn(&Source, &Located<Datum>) -> String;

/// What a person calls a row: its label as written, else its first reading.
pub fn title((source, shown): (&Source, Show), table: &Table, row: &Row, at: usize) -> String {
    let cells = || row.cells.iter().zip(&table.columns).enumerate();
    let written = |(index, (cell, column)): (usize, (&_, &Option<&Column>))| {
        let cell: &Given<_> = cell;
        let datum = cell.get()?;
        let column = (*column)?;
        Some((is_label(column, index), shown(source, datum)))
    };
    let all: Vec<(bool, String)> = cells().filter_map(written).collect();
    let named: Vec<&str> = all
        .iter()
        .filter(|(is_label, _)| *is_label)
        .map(|(_, text)| text.as_str())
        .collect();
    match (named.is_empty(), all.first()) {
        (false, _) => named.join(", "),
        (true, Some((_, first))) => first.clone(),
        (true, None) => format!("row {}", at + 1),
    }
}

/// A value as written, with its unit where that stands in the heading.
pub fn shown(source: &Source, datum: &Located<Datum>) -> String {
    match &datum.value {
        Datum::Quantity(quantity) => quantity.written(),
        _ => bare(source.slice(datum.span)),
    }
}
