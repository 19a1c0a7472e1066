//! Which visits answer together: one that was made for a purpose, and those that carry it on.

use super::Record;
use super::visit::Visit;
use crate::ground::date::{Date, days};
use crate::trade::{Purpose, Purposes};
use std::ops::Range;

/// Days within which the same work goes on in another visit. Common practice, no source.
const GOES_ON: i32 = 31;

/// Of each visit the first one that it answers together with; they stand one behind the other.
pub(super) fn begins(record: &Record) -> Vec<usize> {
    let mut begins: Vec<usize> = Vec::new();
    let mut work: Option<Work> = None;
    for (index, visit) in record.visits.iter().enumerate() {
        match &mut work {
            Some(work) if work.goes_on(record, visit) => work.take(visit),
            _ => work = Some(Work::new(index, visit)),
        }
        begins.extend(work.as_ref().map(|work| work.first));
    }
    begins
}

/// All visits of a record in the groups that answer together, oldest first.
pub fn occasions(record: &Record) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = Vec::new();
    for (index, first) in record.begins.iter().enumerate() {
        match all.last_mut() {
            Some(group) if group.first() == Some(first) => group.push(index),
            _ => all.push(vec![index]),
        }
    }
    all
}

/// Whether two visits answer together.
pub fn are_together(record: &Record, a: usize, b: usize) -> bool {
    record
        .begins
        .get(a)
        .zip(record.begins.get(b))
        .is_some_and(|(a, b)| a == b)
}

/// The visits that answer together with one, up to it.
pub fn up_to(record: &Record, index: usize) -> Range<usize> {
    record
        .begins
        .get(index)
        .map_or(0..0, |first| *first..index + 1)
}

/// The visits that answer together with the last one.
pub fn last(record: &Record) -> Vec<usize> {
    let last = record.visits.len().checked_sub(1);
    last.map(|last| up_to(record, last).collect())
        .unwrap_or_default()
}

/// A work as far as it has come.
struct Work {
    first: usize,
    begun: Date,
    last: Date,
    purpose: Purpose,
}

impl Work {
    fn new(first: usize, visit: &Visit) -> Self {
        let (begun, last) = (visit.date.value, visit.date.value);
        let purpose = visit.purpose();
        Self {
            first,
            begun,
            last,
            purpose,
        }
    }

    fn take(&mut self, visit: &Visit) {
        self.last = visit.date.value;
        if self.purpose == Purpose::Retest {
            self.purpose = visit.purpose();
        }
    }

    /// A retest, or a look into what was found, belongs to what stands before it, however late; the same
    /// work while it is fresh, and what is done on it before and after it is energised. Where the unit has
    /// moved, another work begins.
    fn goes_on(&self, record: &Record, visit: &Visit) -> bool {
        let to = visit.date.value;
        let moved = record.places.iter().any(|place| {
            let since = place.since.map(|since| since.value);
            since.is_some_and(|since| self.last < since && since <= to)
        });
        let fresh = days(self.begun, to) <= GOES_ON;
        // What ends a work goes with it as long as that goes on, however long ago it began.
        let follows = days(self.last, to) <= GOES_ON;
        let own = visit.purpose();
        let carries = matches!(own, Purpose::Retest | Purpose::Investigation);
        let maker = matches!(self.purpose, Purpose::Factory | Purpose::Receiving);
        let ends = matches!(own, Purpose::BeforeEnergising | Purpose::AfterEnergising) && !maker;
        !moved && (carries || fresh && own == self.purpose || follows && ends)
    }
}

/// What visits that answer together were made for. What only carries another work on is not named beside it.
pub fn purposes(record: &Record, visits: &[usize]) -> Purposes {
    let all = visits.iter().filter_map(|index| record.visits.get(*index));
    let all: Purposes = all.flat_map(|visit| visit.purposes().iter()).collect();
    let own = |purpose: &Purpose| !matches!(purpose, Purpose::Retest | Purpose::Investigation);
    let works: Purposes = all.iter().filter(own).collect();
    match (
        works == Purposes::default(),
        all.holds(Purpose::Investigation),
    ) {
        (false, _) => works,
        (true, true) => Purpose::Investigation.into(),
        (true, false) => Purpose::Retest.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::source::Source;

    fn groups(visits: &str) -> Vec<usize> {
        let visits: String = visits
            .split(", ")
            .map(|visit| {
                let (day, purpose) = visit.split_once(' ').unwrap();
                format!("[visit 2026-{day}]\npurpose: {purpose}\n")
            })
            .collect();
        let text = format!("format: 1\n[ct]\nid: A\n[core S]\nratio: 600/1 A\n{visits}");
        let record = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).0;
        occasions(&record).iter().map(Vec::len).collect()
    }

    #[test]
    fn where_it_moved_another_work_begins() {
        let text = "format: 1\n[ct]\nid: A\n[place since 2026-01-10]\nsite: B\n[core S]\nratio: 600/1 A\n\
            [visit 2026-01-05]\npurpose: commissioning\n[visit 2026-01-12]\npurpose: commissioning\n";
        let record = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).0;
        assert_eq!(occasions(&record), [[0], [1]]);
        assert_eq!(up_to(&record, 1), 1..2);
    }

    #[test]
    fn visits_of_one_work_answer_together() {
        for (visits, lengths) in [
            ("01-05 commissioning, 01-06 commissioning", vec![2]),
            ("01-05 maintenance, 06-05 maintenance", vec![1, 1]),
            ("01-05 factory, 01-20 commissioning", vec![1, 1]),
            ("01-05 commissioning, 11-20 retest", vec![2]),
            (
                "01-05 commissioning, 01-20 investigation, 09-01 retest",
                vec![3],
            ),
            (
                "01-05 commissioning, 04-20 investigation, 05-20 retest",
                vec![3],
            ),
            (
                "01-05 maintenance, 04-20 retest, 04-30 maintenance",
                vec![2, 1],
            ),
            ("01-05 commissioning, 02-05 commissioning", vec![2]),
            ("01-05 commissioning, 02-06 commissioning", vec![1, 1]),
            (
                "01-05 commissioning, 02-05 commissioning, 03-01 commissioning",
                vec![2, 1],
            ),
            ("01-05 retest, 01-06 retest", vec![2]),
            (
                "01-05 commissioning, 01-20 before energising, 02-01 after energising",
                vec![3],
            ),
            ("01-05 maintenance, 01-06 before energising", vec![2]),
            ("01-05 factory, 01-06 before energising", vec![1, 1]),
            ("01-05 before energising, 01-06 maintenance", vec![1, 1]),
            ("01-05 commissioning, 03-05 after energising", vec![1, 1]),
            (
                "01-01 commissioning, 01-30 before energising, 02-20 after energising",
                vec![3],
            ),
        ] {
            assert_eq!(groups(visits), lengths, "{visits}");
        }
    }
}
