//! The permit to work on the dead primary against the days of the work: it is handed back before the primary is
//! energised, and it holds on the day of its visit. Common practice; what a permit is, and who gives it, local rules say.

use super::kinds::Test;
use super::visit::Visit;
use super::{Record, taken, words};
use crate::ground::date::Moment;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::{Given, Span};
use std::cmp::Ordering;

/// Tells of each reading on load that a permit of its visit, or of one before it, does not let be; and of permits
/// that ended before their visit. What could not be read was told.
pub fn check(record: &Record, found: &mut Vec<Diagnostic>) {
    let runs = runs(record);
    for visit in &record.visits {
        let mut last = None;
        for test in visit.own_tests() {
            if let Some(taken) = energised_at(visit, test, last) {
                on_load(&runs, visit, (test, taken), found);
                last = Some(taken);
            }
        }
        found.extend(over(&runs, visit));
    }
}

/// A permit from where it is first stated, or stated anew, to its hand-back.
struct Run<'a> {
    visits: Vec<&'a Visit>,
    until: &'a Given<Moment>,
    returned: &'a Given<Moment>,
}

impl<'a> Run<'a> {
    fn of(visit: &'a Visit) -> Self {
        Self {
            visits: vec![visit],
            until: &visit.permit_until,
            returned: &visit.permit_returned,
        }
    }

    /// Whether a later visit goes on with it, and does not state it anew.
    fn takes(&self, visit: &Visit) -> bool {
        let has_end = !self.until.is_missing() || !self.returned.is_missing();
        let ends_anew = !visit.permit_until.is_missing() && has_end;
        let is_back_anew = !visit.permit_returned.is_missing() && !self.returned.is_missing();
        self.is_of(visit) && !ends_anew && !is_back_anew
    }

    fn take(&mut self, visit: &'a Visit) {
        self.visits.push(visit);
        if self.until.is_missing() {
            self.until = &visit.permit_until;
        }
        if self.returned.is_missing() {
            self.returned = &visit.permit_returned;
        }
    }

    /// Whether a visit is under this permit, by its number.
    fn is_of(&self, visit: &Visit) -> bool {
        self.visits.iter().any(|own| are_of_one(own, visit))
    }

    fn holds(&self, visit: &Visit) -> bool {
        self.visits.iter().any(|own| own.span == visit.span)
    }

    /// Whether it had begun when a reading of a visit was taken. On one day the order of the file is that of the work.
    fn had_begun(&self, visit: &Visit, taken: Moment) -> bool {
        let is_before = |own: &&Visit| match own.date.value.cmp(&taken.day) {
            Ordering::Less => true,
            Ordering::Equal => own.span.start <= visit.span.start || visit.date.value < taken.day,
            Ordering::Greater => false,
        };
        self.holds(visit) || self.visits.iter().any(is_before)
    }
}

/// The permits of a record by the days of their visits, which need not be the order of the file.
fn runs(record: &Record) -> Vec<Run<'_>> {
    let whole = record.visits.iter().filter(|visit| !visit.as_found());
    let mut visits: Vec<&Visit> = whole.collect();
    visits.sort_by_key(|visit| (visit.date.value, visit.span.start));
    let mut runs: Vec<Run<'_>> = Vec::new();
    for visit in visits {
        let last = runs.iter_mut().rev().find(|run| run.is_of(visit));
        match last.filter(|run| run.takes(visit)) {
            Some(run) => run.take(visit),
            None => runs.push(Run::of(visit)),
        }
    }
    runs
}

/// When a reading on load was taken: where that is not written, behind the `last` one above it that is of the same day.
fn energised_at(visit: &Visit, test: &Test, last: Option<Moment>) -> Option<Moment> {
    let day = visit.date.value;
    match taken::on_load(test)? {
        Given::Written(taken) => Some(taken.value),
        Given::Missing => {
            let above = last.filter(|last| last.day == day);
            Some(above.unwrap_or(Moment { day, time: None }))
        }
        Given::Unreadable(_) => None,
    }
}

fn on_load(
    runs: &[Run<'_>],
    visit: &Visit,
    (test, taken): (&Test, Moment),
    found: &mut Vec<Diagnostic>,
) {
    let mut seen: Vec<&Run<'_>> = Vec::new();
    // What is stated last of a permit holds.
    for run in runs.iter().rev().filter(|run| run.had_begun(visit, taken)) {
        let is_seen = |later: &&Run<'_>| run.visits.iter().any(|own| later.is_of(own));
        if !seen.iter().any(is_seen) {
            found.extend(energised(run, test.span, taken));
            seen.push(run);
        }
    }
}

/// What is wrong with a permit when the primary is energised. Its end as written hands nothing back.
fn energised(run: &Run<'_>, load: Span, taken: Moment) -> Option<Diagnostic> {
    let name = run.visits.first().map(|first| name(first))?;
    match (run.returned, run.until) {
        (Given::Written(returned), _) => match order(returned.value, taken) {
            Some(Ordering::Greater) => {
                Some(words::permit_returned_late(&name, load, returned.span))
            }
            Some(_) => None,
            // Handed back on the day of a reading, both without a time, it is taken for handed back before.
            None => (taken.time.is_some() || returned.value.time.is_some())
                .then(|| words::permit_order(&name, load, returned.span)),
        },
        (Given::Missing, Given::Written(until)) => Some(match order(until.value, taken) {
            Some(Ordering::Greater) => words::permit_runs(&name, load, until.span),
            Some(_) => words::permit_unreturned(&name, load, until.span),
            None => words::permit_order(&name, load, until.span),
        }),
        (Given::Missing, Given::Missing) => {
            let mut own = run.visits.iter().filter_map(|own| own.permit.get());
            let permit = own.next()?;
            Some(words::permit_endless(&name, load, permit.span))
        }
        (Given::Unreadable(_), _) | (Given::Missing, Given::Unreadable(_)) => None,
    }
}

/// Whether two visits are under one permit, by its number.
fn are_of_one(one: &Visit, other: &Visit) -> bool {
    let number = one.permit.value();
    one.span == other.span || number.is_some() && number == other.permit.value()
}

/// A visit that works on a dead primary after its permit had ended.
fn over(runs: &[Run<'_>], visit: &Visit) -> Option<Diagnostic> {
    let mut tests = visit.own_tests().peekable();
    // One that only reads what is energised states a permit to say that it ended.
    let is_live = tests.peek().is_some() && tests.all(|test| taken::on_load(test).is_some());
    if is_live || visit.as_found() {
        return None;
    }
    let run = runs.iter().find(|run| run.holds(visit))?;
    let ended = |end: &Given<Moment>| {
        let end = end.get()?;
        (end.value.day < visit.date.value)
            .then(|| words::permit_over(&name(visit), &visit.date, end.span))
    };
    ended(run.until).or_else(|| ended(run.returned))
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
            "2026-03-14; permit: 47\n2026-03-16; load",
            "2026-03-14; permit: 47; permit returned: 2026-03-14 17:10; load taken: 2026-03-14 17:05",
            "2026-03-14; permit: 47; permit returned: 2026-03-15; load",
            "2026-03-14; permit: 47; permit returned: 2026-03-14; load taken: 2026-03-14 17:05",
            // Handed back on its day at a time, the reading without one.
            "2026-03-14; permit: 47; permit returned: 2026-03-14 17:10; load",
            // Its end is past, and nobody handed it back.
            "2026-03-14; permit: 47; permit until: 2026-03-14 16:30; load taken: 2026-03-14 17:05",
            "2026-03-14; permit: 47; permit until: 2026-03-14 16:00\n2026-03-16; load",
            "2026-03-14; permit: 47; permit until: 2026-03-13; load",
            // The hand-back below is of the permit held again.
            "2026-03-14; permit: 47; permit until: 2026-03-14 16:00\n2026-03-16; load\n2026-03-20; permit: 47; permit until: 2026-03-20; permit returned: 2026-03-20",
            // By its day, not its place in the file.
            "2026-03-14; load taken: 2026-03-16\n2026-03-15; permit until: 2026-03-20",
            "2026-03-14; load taken: 2026-03-16\n2026-03-16; permit until: 2026-03-20",
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
            "2026-03-14; permit: 47; permit until: 2026-03-20; permit returned: 2026-03-14 15:10; load taken: 2026-03-14 17:05",
            "2026-03-14; permit until: 2026-03-20; permit returned: 2026-03-14 15:10; load taken: 2026-03-14 15:10",
            "2026-03-14; permit: 47; permit returned: 2026-03-14; load",
            "2026-03-14; permit until: 2026-03-20; load method: primary injection",
            "2026-03-14; permit: 47; permit until: 2026-03-20\n2026-03-16; permit: 47; permit returned: 2026-03-15; load",
            // What stands below a reading of the day was taken behind it.
            "2026-03-14; permit: 47; permit returned: 2026-03-14 15:10; load taken: 2026-03-14 17:05; load",
            "2026-03-14; load\n2026-03-16; permit: 47; permit until: 2026-03-20",
            "2026-03-14; load taken: 2026-03-15\n2026-03-16; permit: 47; permit until: 2026-03-20",
            // Of its day, though the permit was used again.
            "2026-03-14; permit: 47; permit returned: 2026-03-14; load\n2026-03-16; permit: 47; permit returned: 2026-03-16",
            "2026-03-14; permit: 47; permit returned: 2026-03-14\n2026-03-16; permit: 47; load",
            // Held again, and handed back again.
            "2026-03-14; permit: 47; permit until: 2026-03-14; permit returned: 2026-03-14\n2026-03-16; load\n2026-03-20; permit: 47; permit until: 2026-03-20; permit returned: 2026-03-20",
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
        // As another visit says of the same number.
        let earlier =
            "2026-03-12; permit: 47; permit until: 2026-03-13; permit returned: 2026-03-12";
        assert_eq!(told(&format!("{earlier}\n2026-03-14; permit: 47")), [over]);
        let extended = format!("{earlier}\n2026-03-14; permit: 47; permit until: 2026-03-14");
        assert_eq!(told(&extended), Vec::<String>::new());
        assert_eq!(
            told("2026-03-14; permit until: 2026-03-14 07:00"),
            Vec::<String>::new()
        );
    }
}
