//! The permit to work on the dead primary against the days of the work: it is handed back before the primary is
//! energised, and it holds on the day of its visit. Common practice; what a permit is, and who gives it, local rules say.

use super::kinds::Test;
use super::visit::Visit;
use super::{Record, words};
use crate::ground::date::Moment;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::{Given, Span};
use std::cmp::Ordering;

/// Tells of each reading on load that a permit of its visit, or of one above it, does not let be; and of permits
/// that ended before their visit. What could not be read was told.
pub fn check(record: &Record, found: &mut Vec<Diagnostic>) {
    for visit in &record.visits {
        for test in visit.own_tests() {
            on_load(record, visit, test, found);
        }
        found.extend(over(visit));
    }
}

fn on_load(record: &Record, visit: &Visit, test: &Test, found: &mut Vec<Diagnostic>) {
    let taken = match energised(test) {
        Some(Given::Written(taken)) => taken.value,
        Some(Given::Missing) => Moment {
            day: visit.date.value,
            time: None,
        },
        Some(Given::Unreadable(_)) | None => return,
    };
    let own = record.visits.iter().filter(|other| !other.as_found());
    let until_then = own.filter(|other| other.span.start <= visit.span.start);
    let mut seen: Vec<&Visit> = Vec::new();
    // What is written last of a permit holds.
    for holder in until_then.rev() {
        if !seen.iter().any(|later| are_of_one(later, holder)) {
            let is_own = holder.span == visit.span;
            found.extend(runs(record, holder, is_own, test.span, taken));
            seen.push(holder);
        }
    }
}

/// When a test was read, where the network drove the primary's current; `None` where it did not.
fn energised(test: &Test) -> Option<&Given<Moment>> {
    let load = test.load().filter(|load| load.is_energised());
    let stability = test.stability().filter(|zone| zone.is_energised());
    let taken = load.map(|load| &load.taken);
    taken.or(stability.map(|zone| &zone.taken))
}

/// What is wrong with a permit when the primary is energised; `is_own`: it is that of the same visit.
fn runs(
    record: &Record,
    holder: &Visit,
    is_own: bool,
    load: Span,
    taken: Moment,
) -> Option<Diagnostic> {
    let name = name(holder);
    match (returned(record, holder), until(record, holder)) {
        (Given::Written(returned), _) => match order(returned.value, taken) {
            Some(Ordering::Greater) => {
                Some(words::permit_returned_late(&name, load, returned.span))
            }
            Some(_) => None,
            // Handed back on the day of a reading that states no time, it is taken for handed back before.
            None => taken
                .time
                .map(|_| words::permit_order(&name, load, returned.span)),
        },
        (Given::Missing, Given::Written(until)) => match order(until.value, taken) {
            Some(Ordering::Greater) => Some(words::permit_runs(&name, load, until.span)),
            Some(_) => None,
            None => Some(words::permit_order(&name, load, until.span)),
        },
        (Given::Missing, Given::Missing) => {
            let permit = holder.permit.get().filter(|_| is_own)?;
            Some(words::permit_endless(&name, load, permit.span))
        }
        (Given::Unreadable(_), _) | (Given::Missing, Given::Unreadable(_)) => None,
    }
}

/// When a permit ends: as its visit says, else the last one above that holds it.
fn until(record: &Record, holder: &Visit) -> Given<Moment> {
    let [above, _] = of_permit(record, holder, |visit| &visit.permit_until);
    above.cloned().unwrap_or(Given::Missing)
}

/// When a permit was handed back: as its visit says, else the last one above that holds it, else the first one below.
/// What stands above counts no more where the visit says anew how long the permit runs.
fn returned(record: &Record, holder: &Visit) -> Given<Moment> {
    let own = Some(&holder.permit_returned).filter(|own| !own.is_missing());
    let [above, below] = of_permit(record, holder, |visit| &visit.permit_returned);
    let above = above.filter(|_| holder.permit_until.is_missing());
    let first = own.or(above).or(below);
    first.cloned().unwrap_or(Given::Missing)
}

/// What the visits of a permit say of a key: the last one down to its holder, and the first one below.
fn of_permit<'a>(
    record: &'a Record,
    holder: &Visit,
    key: fn(&Visit) -> &Given<Moment>,
) -> [Option<&'a Given<Moment>>; 2] {
    let holders = record.visits.iter();
    let holders = holders.filter(|other| are_of_one(other, holder) && !key(other).is_missing());
    let (above, below): (Vec<&Visit>, Vec<&Visit>) =
        holders.partition(|other| other.span.start <= holder.span.start);
    [above.last(), below.first()].map(|visit| visit.map(|visit| key(visit)))
}

/// Whether two visits are under one permit, by its number.
fn are_of_one(one: &Visit, other: &Visit) -> bool {
    let number = one.permit.value();
    one.span == other.span || number.is_some() && number == other.permit.value()
}

/// A visit that works on a dead primary after its permit had ended.
fn over(visit: &Visit) -> Option<Diagnostic> {
    let mut tests = visit.own_tests().peekable();
    // One that only reads what is energised states a permit to say that it ended.
    let is_live = tests.peek().is_some() && tests.all(|test| energised(test).is_some());
    let ended = |end: &Given<Moment>| {
        let end = end.get()?;
        (end.value.day < visit.date.value && !is_live && !visit.as_found())
            .then(|| words::permit_over(&name(visit), &visit.date, end.span))
    };
    ended(&visit.permit_until).or_else(|| ended(&visit.permit_returned))
}

/// How one moment lies to another; `None` where both are of one day and the time of one is not known.
fn order(one: Moment, other: Moment) -> Option<Ordering> {
    match one.day.cmp(&other.day) {
        Ordering::Equal => Some(one.time?.cmp(&other.time?)),
        apart => Some(apart),
    }
}

fn name(visit: &Visit) -> String {
    let number = visit.permit.value();
    number.map_or_else(
        || "the permit to work".to_owned(),
        |number| format!("permit {number}"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::source::Source;

    /// The names of what is told of visits, one to a line: day, keys, `load` or the method of one.
    fn told(visits: &str) -> Vec<String> {
        let visit = |line: &str| {
            let mut parts = line.trim().split("; ");
            let day = parts.next().unwrap_or_default();
            let parts = parts.map(|part| match part.strip_prefix("load") {
                Some(key) => format!("[load]\n{}\ncore current/A\nS 0.5\n", key.trim()),
                None => format!("{part}\n"),
            });
            format!("[visit {day}]\n{}", parts.collect::<String>())
        };
        let visits: String = visits.lines().map(visit).collect();
        let text =
            format!("format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n{visits}");
        let source = Source::new("a.ctr", text.as_bytes()).0;
        let (record, unread) = crate::record::read_alone(&source);
        let errors: Vec<_> = unread.iter().filter(|told| told.is_error()).collect();
        assert!(errors.is_empty(), "{text}\n{errors:?}");
        let mut found = Vec::new();
        check(&record, &mut found);
        assert!(
            found
                .iter()
                .all(|told| !told.others.is_empty() && told.help.is_some())
        );
        found.into_iter().map(|told| told.title).collect()
    }

    #[test]
    fn a_permit_that_runs_while_the_primary_is_energised_is_told() {
        let mut otherwise = Vec::new();
        for visits in [
            "2026-03-14; permit until: 2026-03-14; load",
            "2026-03-14; permit until: 2026-03-15 08:00; load",
            "2026-03-14; permit until: 2026-03-14 16:30; load",
            "2026-03-14; permit until: 2026-03-14 16:30; load taken: 2026-03-14 16:00",
            "2026-03-14; permit until: 2026-03-14; load taken: 2026-03-14 23:00",
            "2026-03-14; permit: 47; load",
            "2026-03-14; permit: 47; permit returned: 2026-03-14 17:10; load taken: 2026-03-14 17:05",
            "2026-03-14; permit: 47; permit returned: 2026-03-15; load",
            "2026-03-14; permit: 47; permit returned: 2026-03-14; load taken: 2026-03-14 17:05",
            // Of an earlier visit, not handed back.
            "2026-03-14; permit: 47; permit until: 2026-03-20\n2026-03-16; load",
            "2026-03-14; permit: 47; permit until: 2026-03-20\n2026-03-16; permit: 48; permit returned: 2026-03-15; load",
            // Extended.
            "2026-03-14; permit: 47; permit until: 2026-03-15\n2026-03-16; permit: 47; permit until: 2026-03-17; load",
            // Handed back once, and held again.
            "2026-03-14; permit: 47; permit returned: 2026-03-14\n2026-03-16; permit: 47; permit until: 2026-03-17; load",
            // Its end stands with the first of two visits before.
            "2026-03-14; permit: 47; permit until: 2026-03-20\n2026-03-15; permit: 47\n2026-03-16; load",
            "2026-03-14; permit: 47; load\n2026-03-16; permit: 47; permit returned: 2026-03-16",
        ] {
            if told(visits).len() != 1 {
                otherwise.push(visits);
            }
        }
        assert_eq!(otherwise, Vec::<&str>::new());
    }

    #[test]
    fn a_permit_that_ended_first_is_not_told() {
        let mut otherwise = Vec::new();
        for visits in [
            "2026-03-14; load",
            "2026-03-14; permit: 47; permit until: 2026-03-14 16:30; load taken: 2026-03-14 17:05",
            "2026-03-14; permit: 47; permit until: 2026-03-20; permit returned: 2026-03-14 15:10; load",
            "2026-03-14; permit until: 2026-03-20; permit returned: 2026-03-14 15:10; load taken: 2026-03-14 15:10",
            "2026-03-14; permit: 47; permit returned: 2026-03-14; load",
            "2026-03-14; permit until: 2026-03-20; load method: primary injection",
            "2026-03-14; permit: 47; permit until: 2026-03-20\n2026-03-16; permit: 47; permit returned: 2026-03-15; load",
            "2026-03-14; permit: 47; permit until: 2026-03-14 16:00\n2026-03-16; load",
            "2026-03-14; load\n2026-03-16; permit: 47; permit until: 2026-03-20",
            // Of its day, though the permit was used again.
            "2026-03-14; permit: 47; permit returned: 2026-03-14; load\n2026-03-16; permit: 47; permit returned: 2026-03-16",
            "2026-03-14; permit: 47; permit returned: 2026-03-14\n2026-03-16; permit: 47; load",
            // The visit is on load alone.
            "2026-03-14; permit: 47; permit until: 2026-03-13; load",
        ] {
            if !told(visits).is_empty() {
                otherwise.push(visits);
            }
        }
        assert_eq!(otherwise, Vec::<&str>::new());
    }

    #[test]
    fn what_cannot_be_read_is_told_once() {
        for (keys, of_load) in [
            ("permit until: 2026-03-14 4.30", ""),
            ("permit until: 2026-03-20\npermit returned: yesterday", ""),
            ("permit until: 2026-03-20", "taken: 5 pm"),
        ] {
            let text = format!(
                "format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-03-14]\npermit: 47\n{keys}\n[load]\n{of_load}\ncore current/A\nS 0.5\n"
            );
            let source = Source::new("a.ctr", text.as_bytes()).0;
            let (record, told) = crate::record::read_alone(&source);
            assert_eq!(
                told.iter().filter(|told| told.is_error()).count(),
                1,
                "{text}"
            );
            let mut found = Vec::new();
            check(&record, &mut found);
            assert!(found.is_empty(), "{text}\n{found:?}");
        }
    }

    #[test]
    fn a_permit_that_ended_before_its_visit_is_told() {
        let over = "permit 47 had ended before the visit of 2026-03-14";
        for key in ["until", "returned"] {
            let visit = format!("2026-03-14; permit: 47; permit {key}: 2026-03-13");
            assert_eq!(told(&visit), [over]);
        }
        assert_eq!(
            told("2026-03-14; permit until: 2026-03-14 07:00"),
            Vec::<String>::new()
        );
    }
}
