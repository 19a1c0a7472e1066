//! Which visits answer together: one that was made for a purpose, and those that carry it on.

use crate::ground::date::Date;
use crate::record::Record;
use crate::record::visit::Visit;
use crate::trade::Purpose;

/// Days within which the same work goes on in another visit. Common practice, no source.
const GOES_ON: i32 = 31;

/// All visits of a record in the groups that answer together, oldest first.
pub fn occasions(record: &Record) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = Vec::new();
    for (index, visit) in record.visits.iter().enumerate() {
        let last = all.last_mut().filter(|group| goes_on(record, group, visit));
        match last {
            Some(group) => group.push(index),
            None => all.push(vec![index]),
        }
    }
    all
}

/// The last of them.
pub fn occasion(record: &Record) -> Vec<usize> {
    occasions(record).pop().unwrap_or_default()
}

/// A retest belongs to what it tests again, however late; the same work, and a look into what it found,
/// while it is fresh.
fn goes_on(record: &Record, group: &[usize], visit: &Visit) -> bool {
    let (own, before) = (visit.purpose(), purpose(record, group));
    let last = group.last().and_then(|last| record.visits.get(*last));
    let fresh = last.is_some_and(|last| days(last.date.value, visit.date.value) <= GOES_ON);
    own == Purpose::Retest || fresh && (own == before || own == Purpose::Investigation)
}

fn days(from: Date, to: Date) -> i32 {
    from.duration_until(to)
        .as_hours()
        .try_into()
        .map_or(i32::MAX, |hours: i32| hours / 24)
}

/// What visits that answer together were made for.
pub(super) fn purpose(record: &Record, visits: &[usize]) -> Purpose {
    let purposes = visits.iter().filter_map(|index| record.visits.get(*index));
    let mut purposes = purposes.map(Visit::purpose);
    let asked = purposes.find(|purpose| *purpose != Purpose::Retest);
    asked.unwrap_or(Purpose::Retest)
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
            ("01-05 commissioning, 04-20 investigation", vec![1, 1]),
            ("01-05 retest, 01-06 retest", vec![2]),
        ] {
            assert_eq!(groups(visits), lengths, "{visits}");
        }
    }
}
