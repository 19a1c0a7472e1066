//! IEEE multi-ratio windings: five terminals, four sections, ten pairs.

use serde::Deserialize;

use super::cited::{Cited, Provenance};
use super::store::ieee;

/// A pair of terminals of a multi-ratio winding.
#[derive(Clone, Debug, PartialEq)]
pub struct TapPair {
    /// Lower-numbered terminal (the polarity one), 1 to 5.
    pub from: usize,
    pub to: usize,
    /// Such as `X2-X3`.
    pub terminals: String,
    /// Such as `100:5`.
    pub ratio: String,
    /// Rated primary current in A.
    pub primary_a: u32,
    pub turns: u32,
    /// False for a pair that repeats a ratio and is not in the printed table.
    pub printed: bool,
    pub cited: Cited,
}

/// The pairs of one standard multi-ratio winding at a rated secondary current of 5 A.
#[derive(Clone, Debug, PartialEq)]
pub struct TapTable {
    /// Ratio of the full winding, such as `1200:5`.
    pub full: String,
    /// Turns X1-X2, X2-X3, X3-X4, X4-X5.
    pub sections: Vec<u32>,
    /// By rising turns.
    pub pairs: Vec<TapPair>,
    pub cited: Cited,
}

impl TapTable {
    /// The pair between two terminals, given in either order.
    #[must_use]
    pub fn pair(&self, a: usize, b: usize) -> Option<&TapPair> {
        self.pairs
            .iter()
            .find(|p| p.from == a.min(b) && p.to == a.max(b))
    }
}

#[derive(Deserialize)]
pub(super) struct TapRow {
    full: String,
    sections: Vec<u32>,
    unprinted: Vec<String>,
    #[serde(flatten)]
    cited: Cited,
}

pub(super) fn assemble(rows: &[TapRow]) -> Vec<TapTable> {
    rows.iter().map(table).collect()
}

fn table(row: &TapRow) -> TapTable {
    let mut pairs = Vec::new();
    for from in 0..row.sections.len() {
        let mut turns = 0;
        for (offset, section) in row.sections.iter().skip(from).enumerate() {
            turns += section;
            pairs.push(pair(row, from + 1, from + offset + 2, turns));
        }
    }
    pairs.sort_by_key(|p| (p.turns, p.from, p.to));
    TapTable {
        full: row.full.clone(),
        sections: row.sections.clone(),
        pairs,
        cited: row.cited.clone(),
    }
}

fn pair(row: &TapRow, from: usize, to: usize, turns: u32) -> TapPair {
    let terminals = format!("X{from}-X{to}");
    let printed = !row.unprinted.contains(&terminals);
    let mut cited = row.cited.clone();
    cited.id = format!("{}-x{from}-x{to}", cited.id);
    if !printed {
        cited.source =
            "sum of adjacent sections; the pair repeats a ratio and is not in the printed table"
                .into();
        cited.provenance = Provenance::Derived;
    }
    let primary_a = turns * 5;
    TapPair {
        from,
        to,
        terminals,
        ratio: format!("{primary_a}:5"),
        primary_a,
        turns,
        printed,
        cited,
    }
}

/// The ten pairs of a standard multi-ratio winding, by its full ratio: `1200:5` or `1200/5`.
#[must_use]
pub fn tap_table(full: &str) -> Option<&'static TapTable> {
    let wanted = full.trim_matches(' ').replace('/', ":");
    ieee().taps.iter().find(|t| t.full == wanted)
}

/// All standard multi-ratio windings.
#[must_use]
pub fn tap_tables() -> &'static [TapTable] {
    &ieee().taps
}
