//! The instruments that were used, with their calibration on the days of use.

use super::plan::Entry;
use crate::ground::date::Date;
use crate::record::instruments::Instrument;
use std::collections::BTreeMap;

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
        let mut on_this: Vec<(String, String)> = Vec::new();
        for (_, visit) in entry.visits() {
            let visits = [visit.instrument.value(), visit.reference.value()];
            let tests = visit
                .tests
                .iter()
                .flat_map(|test| [test.instrument.value(), test.reference.value()]);
            for id in visits.into_iter().chain(tests).flatten() {
                let known = entry
                    .unit
                    .setting
                    .instruments
                    .as_ref()
                    .and_then(|instruments| instruments.find(id))
                    .cloned();
                let key = (
                    id.clone(),
                    known
                        .as_ref()
                        .map(|known| known.certificate.clone())
                        .unwrap_or_default(),
                );
                note(&mut found, key.clone(), known, visit.date.value);
                on_this.push(key);
            }
        }
        on_this.sort();
        on_this.dedup();
        for key in on_this {
            if let Some(used) = found.get_mut(&key) {
                used.units += 1;
            }
        }
    }
    found.into_values().collect()
}

fn note(
    found: &mut BTreeMap<(String, String), Used>,
    key: (String, String),
    known: Option<Instrument>,
    day: Date,
) {
    let id = key.0.clone();
    let used = found.entry(key).or_insert(Used {
        id,
        known,
        first: day,
        last: day,
        units: 0,
        expired: None,
    });
    used.first = used.first.min(day);
    used.last = used.last.max(day);
    let valid = used.known.as_ref().and_then(|known| known.valid_on(day));
    if valid == Some(false) && used.expired.is_none_or(|expired| day < expired) {
        used.expired = Some(day);
    }
}
