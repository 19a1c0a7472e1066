//! One thing twice in a table: a core read at one place in two rows, or one link in two positions, of which one is mostly
//! another core's. What was read again has a section and a stage of its own.

use super::kinds::Test;
use super::visit::Visit;
use super::words;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::{Given, Span};
use crate::trade::mark;
use std::cmp::Ordering;

/// Tells of each row that stands for what a row above it stands for. Relays that are set, fed or read on load are read
/// again as a matter of course.
pub(super) fn check(visit: &Visit, found: &mut Vec<Diagnostic>) {
    for test in visit.own_tests() {
        let mut rows = rows(test);
        rows.sort_by(Row::order);
        for pair in rows.windows(2) {
            if let [first, again] = pair
                && first.order(again) == Ordering::Equal
            {
                let at = first.at.trim_matches([' ', '\t']);
                found.push(words::row_again(test, at, again.span, first.span));
            }
        }
    }
}

/// A row by what it is of.
struct Row<'a> {
    core: usize,
    at: &'a str,
    /// Voltage and time that were set for it; less than none where there are none.
    set: [f64; 2],
    span: Span,
}

impl<'a> Row<'a> {
    fn new(core: Option<usize>, at: &'a Given<String>, span: Span) -> Option<Self> {
        let at = at.value().map(String::as_str)?;
        Some(Self {
            core: core?,
            at,
            set: [-1.0; 2],
            span,
        })
    }

    fn order(&self, other: &Self) -> Ordering {
        let mut set = self.set.iter().zip(&other.set);
        let set = set.find_map(|(one, other)| {
            let apart = one.total_cmp(other);
            apart.is_ne().then_some(apart)
        });
        let placed = self.core.cmp(&other.core);
        placed
            .then_with(|| mark::order(self.at, other.at))
            .then(set.unwrap_or(Ordering::Equal))
    }
}

/// The rows of a test that hold something; none of a kind that reads one thing several times.
fn rows(test: &Test) -> Vec<Row<'_>> {
    let loops = test.continuity().into_iter().flat_map(|body| &body.rows);
    let loops = loops.filter(|row| !row.waits());
    let loops = loops.filter_map(|row| Row::new(row.core, &row.at, row.span));
    let links = test.test_links().into_iter().flat_map(|body| &body.rows);
    let links = links.filter(|row| !row.position.is_missing());
    let links = links.filter_map(|row| Row::new(row.core, &row.item, row.span));
    let earths = test.single_earth().into_iter().flat_map(|body| &body.rows);
    let earths = earths.filter(|row| !row.waits());
    let earths = earths.filter_map(|row| {
        let set = [&row.voltage, &row.time].map(|set| set.value().map_or(-1.0, |set| set.si));
        Some(Row {
            set,
            ..Row::new(row.core, &row.at, row.span)?
        })
    });
    loops.chain(links).chain(earths).collect()
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;

    #[test]
    fn one_place_of_one_core_in_two_rows_is_told() {
        const LOOP: &str = "[continuity]\ncore | at | resistance/ohm\n";
        const LIFTED: &str = "[single-earth]\ncore | at | voltage/V | put back\n";
        const FED: &str = "[injection]\ncore | at | current/A | reading/A\n";
        for (head, rows, count) in [
            (LOOP, "A | panel | 1.6\nA | box | 1.5\nB | panel | 1.6\n", 0),
            (
                LOOP,
                "A | panel | 1.6\nA | box | 1.5\nA | PANEL | 1.58\n",
                1,
            ),
            (
                LOOP,
                "A | panel | 1.6\nA | panel | 1.5\nA | panel | 1.4\n",
                2,
            ),
            (LOOP, "A | panel | 1.6\nA | panel | -\n", 0),
            (LOOP, "A | - | 1.6\nA | - | 1.5\n", 0),
            (LIFTED, "A | panel | 500 | yes\nA | panel | 500 | yes\n", 1),
            (LIFTED, "A | panel | 250 | yes\nA | panel | 500 | yes\n", 0),
            // A relay is fed as often as one likes.
            (FED, "A | F21 | 1 | 1\nA | F21 | 1 | 1\n", 0),
        ] {
            let text = format!(
                "format: 1\n[ct]\nid: A\n[core A]\nratio: 600/1 A\n[core B]\nratio: 600/1 A\n[visit 2026-03-14]\n{head}{rows}"
            );
            let told = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).1;
            let again = told.iter().filter(|told| told.code.name() == "row-again");
            assert_eq!(again.count(), count, "{text}");
        }
    }
}
