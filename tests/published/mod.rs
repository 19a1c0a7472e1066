//! Published figures against the program: worked examples, standards' tables and open data, most of
//! them through a whole record and its JSON. `table.md` lists every numeric check; it is kept fresh
//! like a snapshot (`PUBLISHED_REFRESH=1 cargo test published` writes it anew).

mod circuit;
mod classes;
mod classes_ieee;
mod errors;
mod insulation;
mod knees;
mod limit_factor;
mod oracles;
mod records;
mod resistance;
mod sample;
mod table;
mod taps;
mod transient;
mod uncertainty;
mod words;

pub use records::{FINE, Told, exciting, iec, ieee, told, told_by, whole};
pub use table::Row;

use kneemark::derive::formula::AnyFormula;
use kneemark::derive::formulas::all;
use kneemark::derive::workings::{Value, Workings};

/// All numeric checks, in the order of the table.
fn rows() -> Vec<Row> {
    let groups: [fn() -> Vec<Row>; 12] = [
        errors::rows,
        resistance::rows,
        insulation::rows,
        circuit::rows,
        limit_factor::rows,
        knees::rows,
        oracles::rows,
        transient::rows,
        sample::rows,
        taps::rows,
        uncertainty::rows,
        classes_ieee::rows,
    ];
    groups.iter().flat_map(|group| group()).collect()
}

/// The formula of that name, from the list of all formulas.
fn formula(name: &str) -> &'static dyn AnyFormula {
    all()
        .into_iter()
        .find(|formula| formula.about().name == name)
        .unwrap_or_else(|| panic!("no formula {name}"))
}

/// The value of a formula of the ledger.
fn by_formula(name: &str, inputs: &[f64]) -> f64 {
    formula(name)
        .value(inputs)
        .unwrap_or_else(|| panic!("{name} has no value"))
}

/// Exact inputs of a ledger.
fn exact<const N: usize>(w: &mut Workings, inputs: [f64; N]) -> [Value; N] {
    inputs.map(|si| w.constant("published", "", si, "published"))
}
