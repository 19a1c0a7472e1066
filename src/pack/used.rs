//! The instruments that were used, with their calibration on the days of use.

use super::plan::Entry;
use crate::ground::date::Date;
use crate::record::instruments::Instrument;
use std::collections::{BTreeMap, BTreeSet};

/// One instrument.
#[derive(Clone, Debug)]
pub struct Used {
    /// As the records name it.
    pub id: String,
    /// `None` when no instruments.toml knows it.
    pub known: Option<Instrument>,
    pub first: Date,
    pub last: Date,
    /// How many CTs it was used on.
    pub units: usize,
    /// The first day of use on which its calibration was not valid.
    pub expired: Option<Date>,
}

/// All instruments of the job's visits, by id, then certificate.
pub fn used(entries: &[Entry]) -> Vec<Used> {
    let mut found: BTreeMap<(String, String), Used> = BTreeMap::new();
    for entry in entries {
        let instruments = entry.unit.setting.instruments.as_ref();
        let mut on_this: BTreeSet<(String, String)> = BTreeSet::new();
        for (_, visit) in entry.visits() {
            let visits = [visit.instrument.value(), visit.reference.value()];
            let tests = visit.tests.iter();
            let tests = tests.flat_map(|test| [test.instrument.value(), test.reference.value()]);
            for id in visits.into_iter().chain(tests).flatten() {
                let known = instruments.and_then(|instruments| instruments.find(id));
                let certificate = known.map(|known| known.certificate.clone());
                let key = (id.clone(), certificate.unwrap_or_default());
                let day = visit.date.value;
                let new = || Used::new(id, known, day);
                found.entry(key.clone()).or_insert_with(new).on(day);
                on_this.insert(key);
            }
        }
        for key in on_this {
            found.entry(key).and_modify(|used| used.units += 1);
        }
    }
    found.into_values().collect()
}

impl Used {
    fn new(id: &str, known: Option<&Instrument>, day: Date) -> Self {
        Self {
            id: id.to_owned(),
            known: known.cloned(),
            first: day,
            last: day,
            units: 0,
            expired: None,
        }
    }

    /// Used on this day too.
    fn on(&mut self, day: Date) {
        self.first = self.first.min(day);
        self.last = self.last.max(day);
        let valid = self.known.as_ref().and_then(|known| known.valid_on(day));
        if valid == Some(false) && self.expired.is_none_or(|expired| day < expired) {
            self.expired = Some(day);
        }
    }
}
