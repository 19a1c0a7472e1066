//! Points that a visit raises (`action:`) and a later one closes (`closed:`). A point keeps its number until it is
//! closed; a visit may tell it again, with another owner or day.

use super::visit::{Action, Closing, Visit};
use super::{Record, words};
use crate::ground::date::{self, Date};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::Span;
use std::collections::{BTreeMap, BTreeSet};

/// A point; it travels with the record until it is closed.
#[derive(Clone, Copy, Debug)]
pub struct Point<'a> {
    pub label: &'a str,
    pub what: &'a str,
    /// Owner and day, as last told.
    pub by: &'a str,
    pub until: &'a str,
    /// Where it was raised first.
    pub span: Span,
    /// The visit that raised it.
    pub raised: &'a Visit,
    /// Index of the visit that closed it, that visit, and its remark.
    pub closed: Option<(usize, &'a Visit, &'a str)>,
}

impl Point<'_> {
    /// The day by which it is to be done, where one is written.
    pub fn due(&self) -> Option<Date> {
        date::read(self.until).ok()
    }

    /// Whether it is open past its day.
    pub fn is_late(&self, on: Date) -> bool {
        self.closed.is_none() && self.due().is_some_and(|due| due < on)
    }
}

/// What the lines of a record come to.
#[derive(Default)]
struct Read<'a> {
    points: Vec<Point<'a>>,
    /// Points that are open, by their numbers, the last one last.
    open: BTreeMap<&'a str, Vec<usize>>,
    /// Where a number was closed last.
    done: BTreeMap<&'a str, Span>,
    /// Lines that close nothing that is open, with the visit that has them.
    idle: Vec<(usize, &'a Closing)>,
    /// Numbers that were given to something else while they were taken, with the place of the first.
    twice: Vec<(&'a Action, Span)>,
}

impl<'a> Read<'a> {
    fn of(visits: &'a [Visit]) -> Self {
        let mut read = Self::default();
        for (at, visit) in visits.iter().enumerate() {
            let waiting = visit.closed.iter();
            let waiting: Vec<&Closing> =
                waiting.filter(|one| !read.close(one, at, visit)).collect();
            for action in &visit.actions {
                read.raise(action, visit);
            }
            // What is found and mended on one day is raised and closed by one visit.
            for one in waiting {
                if !read.close(one, at, visit) {
                    read.idle.push((at, one));
                }
            }
        }
        read
    }

    fn close(&mut self, closing: &'a Closing, at: usize, visit: &'a Visit) -> bool {
        let label = closing.label.as_str();
        let Some(last) = self.open.get_mut(label).and_then(Vec::pop) else {
            return false;
        };
        self.done.insert(label, closing.span);
        if let Some(point) = self.points.get_mut(last) {
            point.closed = Some((at, visit, &closing.remark));
        }
        true
    }

    fn raise(&mut self, action: &'a Action, visit: &'a Visit) {
        let open = self.open.entry(&action.label).or_default();
        let last = open.last().and_then(|last| self.points.get_mut(*last));
        if let Some(point) = last {
            if point.what == action.what {
                for (known, told) in [
                    (&mut point.by, &action.by),
                    (&mut point.until, &action.until),
                ] {
                    if !told.is_empty() {
                        *known = told;
                    }
                }
                return;
            }
            self.twice.push((action, point.span));
        }
        open.push(self.points.len());
        self.points.push(Point {
            label: &action.label,
            what: &action.what,
            by: &action.by,
            until: &action.until,
            span: action.span,
            raised: visit,
            closed: None,
        });
    }
}

impl Record {
    /// All points in the order that they were raised. A number that is closed and raised again later is a
    /// new point; what closes a number closes the last one that is open.
    pub fn points(&self) -> Vec<Point<'_>> {
        Read::of(&self.visits).points
    }

    /// The day of the last visit, which points are held against where no other day is known.
    pub fn last_day(&self) -> Option<Date> {
        self.visits.iter().map(|visit| visit.date.value).max()
    }
}

/// So many known numbers are named where one is unknown.
const NAMED: usize = 8;

/// Tells of numbers and days that do not fit together.
pub(super) fn check(record: &Record, found: &mut Vec<Diagnostic>) {
    let read = Read::of(&record.visits);
    let twice = read.twice.iter();
    found.extend(
        twice.map(|(action, first)| words::point_twice(&action.label, action.span, *first)),
    );
    let actions = record.visits.iter().flat_map(|visit| &visit.actions);
    found.extend(actions.clone().filter_map(form));
    let is_day = |action: &&Action| action.until.is_empty() || date::read(&action.until).is_ok();
    let odd = actions.filter(|action| !is_day(action));
    found.extend(odd.map(|action| words::point_day(&action.label, &action.until, action.span)));
    // What raised it may stand in a visit whose date could not be read.
    if !record.undated.is_empty() {
        return;
    }
    let known: BTreeSet<&str> = read.points.iter().map(|point| point.label).collect();
    let known: Vec<&str> = known.into_iter().take(NAMED).collect();
    for (at, closing) in &read.idle {
        let (label, span) = (closing.label.as_str(), closing.span);
        let later = record.visits.iter().skip(at + 1);
        let mut later = later.flat_map(|visit| &visit.actions);
        let raised = later.find(|action| action.label == label);
        found.push(match (raised, read.done.get(label)) {
            (_, Some(done)) => words::point_done(label, span, *done),
            (Some(raised), None) => words::point_early(label, span, raised.span),
            (None, None) => words::point_unknown(label, span, &known),
        });
    }
}

/// A point whose first word is no number, or whose owner and day run on behind what is to be done.
fn form(action: &Action) -> Option<Diagnostic> {
    let Action {
        label, what, by, ..
    } = action;
    let numbered = label.contains(|c: char| c.is_ascii_digit()) && date::read(label).is_err();
    let parts: Vec<&str> = what.split(',').map(|part| part.trim_matches(' ')).collect();
    let last = parts.last().copied().unwrap_or("");
    let mut words = last.rsplit(' ');
    let (day, before) = (words.next(), words.next());
    // Any other day is one of what is to be done.
    let ends_in_day = matches!(
        (parts.len(), before),
        (2.., None) | (_, Some("by" | "until"))
    );
    let day = day.filter(|day| ends_in_day && date::read(day).is_ok());
    let unparted = by.is_empty() && action.until.is_empty() && day.is_some();
    if numbered && !unparted {
        return None;
    }
    let (number, first) = match numbered {
        true => (label.as_str(), String::new()),
        false => ("A1", format!("{label} ")),
    };
    let until = Some(action.until.as_str()).filter(|until| date::read(until).is_ok());
    let until = day.or(until).unwrap_or("YEAR-MONTH-DAY");
    let meant = match (unparted, parts.as_slice()) {
        (true, [to_do @ .., who, _]) if !to_do.is_empty() => {
            format!("{number} {first}{}; {who}; {until}", to_do.join(", "))
        }
        (true, _) => format!("{number} …; WHO; {until}"),
        (false, _) if by.is_empty() => format!("{number} {first}{what}; WHO; {until}"),
        (false, _) => format!("{number} {first}{what}; {by}; {until}"),
    };
    Some(match numbered {
        true => words::point_unparted(label, action.span, &meant),
        false => words::point_unnumbered(action.span, &meant),
    })
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;
    use crate::record::Record;

    fn read(visits: &str) -> (Record, Vec<&'static str>) {
        let text =
            format!("format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n{visits}");
        let (record, told) = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0);
        (record, told.iter().map(|told| told.code.name()).collect())
    }

    #[test]
    fn a_point_keeps_its_number_until_it_is_closed() {
        let (record, told) = read(
            "[visit 2026-01-05]\naction: A1 dry it; S. Hollen; 2026-02-01\n\
             [visit 2026-02-05]\naction: A1 dry it; ; 2026-03-01\n\
             [visit 2026-03-05]\nclosed: A1 dried\naction: A1 paint it\n",
        );
        assert!(told.is_empty(), "{told:?}");
        let points = record.points();
        let said: Vec<_> = points
            .iter()
            .map(|one| {
                (
                    one.what,
                    one.by,
                    one.until,
                    one.raised.name(),
                    one.closed.map(|of| of.0),
                )
            })
            .collect();
        let day = |day: &str| day.to_owned();
        assert_eq!(
            said,
            [
                (
                    "dry it",
                    "S. Hollen",
                    "2026-03-01",
                    day("2026-01-05"),
                    Some(2)
                ),
                ("paint it", "", "", day("2026-03-05"), None),
            ]
        );
        let day = |text: &str| crate::ground::date::read(text).unwrap();
        assert!(!points[0].is_late(day("2027-01-01")), "closed");
        assert!(!points[1].is_late(day("2027-01-01")), "no day");
    }

    #[test]
    fn it_is_late_from_the_day_after_its_day() {
        let (record, _) = read("[visit 2026-01-05]\naction: A1 dry it; S. Hollen; 2026-02-01\n");
        let late = |day: &str| record.points()[0].is_late(crate::ground::date::read(day).unwrap());
        assert_eq!((late("2026-02-01"), late("2026-02-02")), (false, true));
    }

    #[test]
    fn numbers_and_days_that_do_not_fit_are_told() {
        let of = |visits: &str| read(visits).1;
        let (first, second) = ("[visit 2026-01-05]\n", "[visit 2026-02-05]\n");
        for (visits, expected) in [
            (
                format!("{first}action: A1 dry it\nclosed: A1 dried\n"),
                None,
            ),
            (format!("{first}closed: A1 dried\n"), Some("point-unknown")),
            (
                format!("{first}closed: A1 dried\n{second}action: A1 dry it\n"),
                Some("point-early"),
            ),
            (
                format!("{first}action: A1 dry it\nclosed: A1 dried\n{second}closed: A1 dried\n"),
                Some("point-unknown"),
            ),
            (
                format!("{first}action: A1 dry it\n{second}action: A1 paint it\n"),
                Some("point-twice"),
            ),
            (
                format!("{first}action: dry the box, S. Hollen, 2026-02-01\n"),
                Some("point-form"),
            ),
            (
                format!("{first}action: A1 dry the box, S. Hollen, 2026-02-01\n"),
                Some("point-form"),
            ),
            (
                format!("{first}action: A1 dry the box, and paint it\n"),
                None,
            ),
            (
                format!("{first}action: A1 dry it; ; soon\n"),
                Some("point-day"),
            ),
            (
                format!("{first}action: A1 dry it; B; C; 2026-03-01\n"),
                Some("point-day"),
            ),
        ] {
            assert_eq!(
                of(&visits),
                expected.into_iter().collect::<Vec<_>>(),
                "{visits}"
            );
        }
    }
}
