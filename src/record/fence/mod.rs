//! Readings that cannot be: against the plate, against the instrument that took them, against the physics of
//! their own test. Each is told where it stands and taken out of what is derived, so that it corrects nothing
//! and nothing else is blamed for it.

mod course;
mod curve;
mod fed;
mod heading;
mod insulation;
mod odd_plate;
mod plate;
mod primary;
mod range;
mod remanence;
mod taken;
mod turns;
mod voltage;
pub(super) mod winding;

use super::Record;
use super::instruments::Instruments;
use super::kinds::Test;
use super::visit::Visit;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::Span;

pub(super) use heading::Ground;
pub use odd_plate::odd_plates;
pub(super) use taken::Taken;

/// What is fenced off of a test.
struct Fenced {
    /// Its place in the visit.
    test: usize,
    /// What is told; nothing where the same was told of another reading of the test.
    told: Option<Diagnostic>,
    /// The readings.
    at: Vec<Span>,
    /// Where nothing of the section can be relied on.
    section: Option<Span>,
}

impl Fenced {
    /// One reading.
    fn reading(test: usize, at: Span, told: Diagnostic) -> Self {
        Self {
            test,
            told: Some(told),
            at: vec![at],
            section: None,
        }
    }

    /// One reading, of which something is told elsewhere.
    fn silent(test: usize, at: Span) -> Self {
        Self {
            test,
            told: None,
            at: vec![at],
            section: None,
        }
    }

    /// A section as a whole, by a reading of it.
    fn section(test: usize, told: Diagnostic) -> Self {
        let section = Some(told.span);
        Self {
            test,
            told: Some(told),
            at: Vec::new(),
            section,
        }
    }
}

/// What a test shows by itself, while its section is read.
pub(super) fn test(
    test: &mut Test,
    body: &super::body::Body,
    ground: &Ground<'_>,
) -> Option<Diagnostic> {
    heading::told(test, body, ground).or_else(|| course::row(test))
}

/// What plate and physics show of a whole record.
pub(super) fn record(record: &mut Record, found: &mut Vec<Diagnostic>) {
    plate::fence(&mut record.plate, found);
    let odd = odd_plates(record);
    by(record, found, |record, visit, out| {
        winding::fence(record, &odd, visit, out);
        winding::temperature(visit, out);
        curve::fence(record, visit, out);
        fed::fence(record, visit, out);
        turns::fence(record, visit, out);
        insulation::fence(visit, out);
        primary::fence(record, visit, out);
        remanence::fence(record, visit, out);
        voltage::fence(record, visit, out);
    });
    // A resistance that has been taken out shows nothing of a curve.
    by(record, found, curve::fence_by_resistance);
}

/// What the ranges of the instruments show.
pub fn by_instruments(
    record: &mut Record,
    instruments: Option<&Instruments>,
    found: &mut Vec<Diagnostic>,
) {
    if let Some(instruments) = instruments {
        by(record, found, |_, visit, out| {
            range::fence(visit, instruments, out);
        });
    }
}

fn by(
    record: &mut Record,
    found: &mut Vec<Diagnostic>,
    look: impl Fn(&Record, &Visit, &mut Vec<Fenced>),
) {
    for index in 0..record.visits.len() {
        let mut fenced = Vec::new();
        if let Some(visit) = record.visits.get(index) {
            look(record, visit, &mut fenced);
        }
        let Some(visit) = record.visits.get_mut(index).filter(|_| !fenced.is_empty()) else {
            continue;
        };
        for one in fenced {
            found.extend(one.told);
            if let Some(test) = visit.tests.get_mut(one.test) {
                test.take_out(&one.at);
                test.doubtful = test.doubtful.or(one.section);
            }
        }
    }
}
