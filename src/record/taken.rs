//! When a reading with a day of its own was taken, against the day of its visit.

use super::kinds::Test;
use super::visit::Visit;
use super::words;
use crate::ground::date::{Moment, days};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::Given;

/// Days behind its visit after which a reading would have a visit of its own. Common practice, no source.
const MOST: i32 = 60;

/// The day that a test states of its own; `None` of one whose kind has none.
pub fn of(test: &Test) -> Option<&Given<Moment>> {
    let load = test.load().map(|load| &load.taken);
    load.or(test.stability().map(|zone| &zone.taken))
}

/// The same, where the network drove the current of the primary; `None` where it did not.
pub fn on_load(test: &Test) -> Option<&Given<Moment>> {
    let load = test.load().is_some_and(|load| load.is_energised());
    let zone = test.stability().is_some_and(|zone| zone.is_energised());
    of(test).filter(|_| load || zone)
}

/// Tells days before the visit, or far behind it: mostly a year mistyped.
pub(super) fn check(visit: &Visit, found: &mut Vec<Diagnostic>) {
    let stated = visit.tests.iter().filter_map(of).filter_map(Given::get);
    let off = stated.filter(|taken| !(0..=MOST).contains(&days(visit.date.value, taken.value.day)));
    found.extend(off.map(|taken| words::taken_off(taken, &visit.date)));
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;

    #[test]
    fn a_day_before_the_visit_or_far_behind_it_is_told() {
        for (taken, is_told) in [
            ("2026-03-14", false),
            ("2026-03-13", true),
            ("2026-05-13 08:00", false),
            ("2026-05-14", true),
            ("2025-03-14", true),
            ("2027-03-14", true),
        ] {
            for test in ["load", "stability"] {
                let text = format!(
                    "format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-03-14]\n[{test}]\ntaken: {taken}\n"
                );
                let told = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).1;
                let off = told.iter().filter(|told| told.code.name() == "taken-off");
                assert_eq!(off.count(), usize::from(is_told), "{text}");
            }
        }
    }
}
