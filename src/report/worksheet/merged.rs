//! Blank tables of several units or cores as one: a set of phases is written on one sheet.

use crate::document::{Cell, Column, Row, Table, Text};

/// Things that have the same key, in the order in which the keys first come.
pub fn alike<K: PartialEq, T>(all: impl IntoIterator<Item = (K, T)>) -> Vec<(K, Vec<T>)> {
    let mut found: Vec<(K, Vec<T>)> = Vec::new();
    for (key, one) in all {
        match found.iter_mut().find(|(known, _)| *known == key) {
            Some((_, group)) => group.push(one),
            None => found.push((key, vec![one])),
        }
    }
    found
}

/// Most blank columns that fit beside each other on a sheet of paper.
const ACROSS: usize = 6;

/// The blank tables of all units as one: beside each other where the told cells are the same and the
/// paper is wide enough, else below each other with the name in front, under `head`. Tables without names
/// have no column for them.
pub fn as_one(head: &str, tables: Vec<(String, Table)>) -> Table {
    let Some((_, first)) = tables.first() else {
        return Table::default();
    };
    let fixed = front(first);
    let blanks = first.columns.len().saturating_sub(fixed);
    let alike = |table: &Table| table.columns == first.columns && told(table).eq(told(first));
    if tables.iter().all(|(name, _)| name.is_empty()) {
        let rows = tables.iter().flat_map(|(_, table)| table.rows.clone());
        let all = Table {
            rows: rows.collect(),
            ..first.clone()
        };
        return folded(all, LONG);
    }
    let beside_each_other = tables.iter().all(|(_, table)| alike(table))
        && first.rows.len() > 2
        && blanks * tables.len() <= ACROSS;
    if beside_each_other {
        return folded(beside(&tables, first, fixed), LONG);
    }
    folded(below(head, tables), OF_SET)
}

fn cells(table: &Table) -> impl Iterator<Item = &Vec<Cell>> {
    table.rows.iter().filter_map(|row| match row {
        Row::Cells(cells) => Some(cells),
        Row::Group(_) => None,
    })
}

/// The told cells at the front of each row.
fn told(table: &Table) -> impl Iterator<Item = Vec<&Cell>> {
    cells(table).map(|row| {
        row.iter()
            .take_while(|cell| **cell != Cell::Blank)
            .collect()
    })
}

/// How many columns of a table are told.
fn front(table: &Table) -> usize {
    told(table).next().map_or(0, |row| row.len())
}

fn beside(tables: &[(String, Table)], first: &Table, fixed: usize) -> Table {
    let mut columns: Vec<Column> = first.columns.iter().take(fixed).cloned().collect();
    for (label, table) in tables {
        columns.extend(table.columns.iter().skip(fixed).map(|column| Column {
            head: Text::from(format!("{label}: ")).join(column.head.clone()),
            ..column.clone()
        }));
    }
    let blanks = columns.len() - fixed;
    let row = |row: &Vec<Cell>| {
        let told = row.iter().take(fixed).cloned();
        Row::Cells(
            told.chain(std::iter::repeat_n(Cell::Blank, blanks))
                .collect(),
        )
    };
    Table {
        columns,
        rows: cells(first).map(row).collect(),
        ..first.clone()
    }
}

fn below(head: &str, tables: Vec<(String, Table)>) -> Table {
    let mut all = Table::default();
    for (label, table) in tables {
        if all.columns.is_empty() {
            let unit = Column {
                head: head.into(),
                ..Column::default()
            };
            all.columns = std::iter::once(unit).chain(table.columns.clone()).collect();
            all.caption = table.caption.clone();
        }
        for row in cells(&table) {
            let named = std::iter::once(Cell::from(&label)).chain(row.iter().cloned());
            all.rows.push(Row::Cells(named.collect()));
        }
    }
    all
}

/// From so many rows on a narrow table stands in two halves beside each other; of a set, whose cards are
/// the longest, with one row for each phase.
const LONG: usize = 4;
const OF_SET: usize = 3;
/// Most columns of a table that has room for another half, and most told ones where it has so many.
const NARROW: usize = 6;
const TOLD: usize = 2;

/// A long and narrow table, its second half beside the first.
fn folded(table: Table, least: usize) -> Table {
    let rows: Vec<Vec<Cell>> = cells(&table).cloned().collect();
    let width = table.columns.len();
    let is_full = width == NARROW && front(&table) > TOLD;
    if rows.len() < least || width > NARROW || is_full {
        return table;
    }
    let half = rows.len().div_ceil(2);
    let right = |at: usize| {
        let none = || vec![Cell::Empty; width];
        rows.get(half + at).cloned().unwrap_or_else(none)
    };
    let row = |(at, left): (usize, &Vec<Cell>)| {
        Row::Cells(left.iter().cloned().chain(right(at)).collect())
    };
    Table {
        columns: [table.columns.clone(), table.columns.clone()].concat(),
        rows: rows.iter().take(half).enumerate().map(row).collect(),
        ..table
    }
}
