//! The instruments that were used, with their calibration on the days of use.

use super::plan::Entry;
use crate::ground::date::Date;
use crate::record::instruments::Instrument;
use std::collections::BTreeMap;

/// One instrument.
#[derive(Clone, Debug, serde::Serialize, serde::Deserialize)]
pub struct Used {
    /// As the records name it.
    pub id: String,
    /// `None` when no instruments.toml knows it.
    #[serde(skip)]
    pub known: Option<Instrument>,
    pub first: Date,
    pub last: Date,
    /// How many CTs it was used on.
    pub units: usize,
    /// The first day of use on which its calibration was not valid.
    pub expired: Option<Date>,
}

/// Instruments by id, then certificate.
pub type All = BTreeMap<(String, String), Used>;

/// The instruments of a CT's visits of the job.
pub fn of(entry: &Entry<'_>) -> All {
    let mut found = All::new();
    let instruments = entry.unit.setting.instruments.as_ref();
    for (_, visit) in entry.visits() {
        let visits = [visit.instrument.value(), visit.reference.value()];
        let tests = visit.own_tests();
        let tests = tests.flat_map(|test| [test.instrument.value(), test.reference.value()]);
        for id in visits.into_iter().chain(tests).flatten() {
            let known = instruments.and_then(|instruments| instruments.find(id));
            let certificate = known.map(|known| known.certificate.clone());
            let key = (id.clone(), certificate.unwrap_or_default());
            let day = visit.date.value;
            let new = || Used::new(id, known, day);
            found.entry(key).or_insert_with(new).on(day);
        }
    }
    found
}

/// Adds those of a further CT.
pub fn add(all: &mut All, more: impl IntoIterator<Item = ((String, String), Used)>) {
    for (key, one) in more {
        match all.get_mut(&key) {
            Some(known) => known.and(&one),
            None => {
                all.insert(key, one);
            }
        }
    }
}

impl Used {
    fn new(id: &str, known: Option<&Instrument>, day: Date) -> Self {
        Self {
            id: id.to_owned(),
            known: known.cloned(),
            first: day,
            last: day,
            units: 1,
            expired: None,
        }
    }

    fn and(&mut self, other: &Self) {
        self.first = self.first.min(other.first);
        self.last = self.last.max(other.last);
        self.units += other.units;
        self.expired = [self.expired, other.expired].into_iter().flatten().min();
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
