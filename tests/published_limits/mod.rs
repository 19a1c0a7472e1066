//! The limits and the decision rule against published tables and examples.
//!
//! The rows in `*.toml` beside this file are a copy of their own, with their sources; nothing in
//! them comes from `src/standards/tables`. A message says "from memory" where the row was recalled.

mod coverage;
mod decision;
mod iec;
mod ieee;
mod practice;

use kneemark::standards::{Cited, Provenance};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::cell::RefCell;
use std::collections::BTreeSet;

/// Source of a published row.
#[derive(Deserialize)]
struct Published {
    source: String,
    provenance: Provenance,
}

impl Published {
    /// What an assertion says: the row and where it stands.
    fn says(&self, row: &str) -> String {
        format!("{row}: {} ({})", self.source, self.provenance.words())
    }
}

/// A published number, by the id of the limit that must equal it.
#[derive(Deserialize)]
struct Number {
    id: String,
    value: f64,
    #[serde(flatten)]
    from: Published,
}

/// A published list of standard values.
#[derive(Deserialize)]
struct Values {
    id: String,
    values: Vec<f64>,
    #[serde(flatten)]
    from: Published,
}

fn read<T: DeserializeOwned>(text: &str) -> T {
    toml::from_str(text).unwrap()
}

/// Decimal figures copied alike must be bit-equal; arithmetic gets a tolerance of its own.
#[track_caller]
fn same(found: f64, published: f64, says: &str) {
    assert!(found == published, "{found} is not {published}; {says}");
}

#[track_caller]
fn near(found: f64, published: f64, tolerance: f64, says: &str) {
    assert!(
        (found - published).abs() <= tolerance,
        "{found} is not {published} +- {tolerance}; {says}"
    );
}

thread_local! {
    /// Ids of the rows of ours that were held against a published one.
    static CHECKED: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
}

/// Ends the check of a row of ours: says where it comes from as the published row does.
#[track_caller]
fn checked(ours: &Cited, published: Provenance, says: &str) {
    assert_eq!(ours.provenance, published, "{says}");
    compared(ours);
}

/// The same where one published row stands for several of ours, of which each has its own source.
fn compared(ours: &Cited) {
    CHECKED.with_borrow_mut(|ids| ids.insert(ours.id.clone()));
}

fn check_numbers(numbers: &[Number]) {
    for number in numbers {
        let says = number.from.says(&number.id);
        let row = kneemark::standards::threshold(&number.id);
        let row = row.unwrap_or_else(|| panic!("no limit; {says}"));
        same(row.limit, number.value, &says);
        checked(&row.cited, number.from.provenance, &says);
    }
}

fn check_values(lists: &[Values]) {
    for list in lists {
        let says = list.from.says(&list.id);
        let row = kneemark::standards::values(&list.id);
        let row = row.unwrap_or_else(|| panic!("no list; {says}"));
        assert_eq!(row.values, list.values, "{says}");
        checked(&row.cited, list.from.provenance, &says);
    }
}
