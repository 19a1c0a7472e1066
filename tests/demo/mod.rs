//! The demo job: an invented utility commissions an invented substation. Every reading comes from
//! one physical model (`model.rs`) through an instrument (`instrument.rs`).

mod bench;
mod complex;
mod day;
#[cfg(test)]
mod fresh;
mod gapped;
mod instrument;
mod job;
mod loaded;
mod metering;
mod model;
mod multi;
pub mod noise;
#[cfg(test)]
mod sanity;
mod unit;
pub mod write;
mod yard;

use std::collections::BTreeMap;
use std::sync::OnceLock;

pub use unit::Planted;
use unit::Record;

/// The job is read off the model once; several tests ask for it.
fn records() -> &'static [Record] {
    static RECORDS: OnceLock<Vec<Record>> = OnceLock::new();
    RECORDS.get_or_init(|| {
        let mut records = yard::records();
        records.extend(multi::records());
        records.extend(metering::records());
        records.extend(gapped::records());
        records.extend(day::records());
        records
    })
}

/// Every file of `records/`: path below it, and text.
pub fn files() -> BTreeMap<String, String> {
    let records = records();
    let mut files = BTreeMap::from([
        ("README.md".to_owned(), job::readme(records)),
        ("criteria.toml".to_owned(), job::CRITERIA.to_owned()),
        ("instruments.toml".to_owned(), instrument::toml()),
        ("pack.toml".to_owned(), job::PACK.to_owned()),
    ]);
    files.extend(
        records
            .iter()
            .map(|one| (one.planted.file.clone(), one.text.clone())),
    );
    files.extend(records.iter().flat_map(|one| one.beside.clone()));
    files
}

/// What is planted where, one entry a CT.
pub fn planted() -> Vec<Planted> {
    records()
        .iter()
        .map(|record| record.planted.clone())
        .collect()
}
