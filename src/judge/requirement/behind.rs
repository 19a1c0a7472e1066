//! What is asked of relays and meters behind an interposing CT in its record, and not of the core that feeds it.

use super::register::{self as the, Requirement};
use crate::ground::date::Date;
use crate::record::Record;
use crate::record::due::Due;
use crate::record::occasion::{occasions, purposes};

/// All of it: a setting and an injection are the device's, while the current on load is that of every core on its way.
pub const ALL: [&Requirement; 2] = [&the::RATIO_SETTING, &the::INJECTION];

/// What the occasions of an interposing CT that serves ask of the circuit behind it, each with the day of its last visit.
pub fn asked(record: &Record, due: &Due) -> Vec<(&'static str, Date)> {
    let days = ALL
        .iter()
        .flat_map(|one| days(record, one, due).map(|day| (one.id, day)));
    days.collect()
}

/// The day of the last occasion before one that asked for a requirement.
pub fn asked_before(
    record: &Record,
    requirement: &Requirement,
    due: &Due,
    day: Date,
) -> Option<Date> {
    days(record, requirement, due)
        .filter(|asked| *asked < day)
        .max()
}

/// The last day of each occasion that asks for a requirement.
fn days(record: &Record, requirement: &Requirement, due: &Due) -> impl Iterator<Item = Date> {
    let all = occasions(record).into_iter();
    let asks = |visits: &Vec<usize>| requirement.is_due(purposes(record, visits), due);
    let last = |visits: Vec<usize>| Some(record.visits.get(*visits.last()?)?.date.value);
    all.filter(asks).filter_map(last)
}
