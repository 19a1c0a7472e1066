//! A visit that found something, cured it and tested it again: what it found is a state that came before, and
//! stands as a visit of its own, which answers together with the rest.

use super::Record;
use super::kinds::Test;
use super::schema::Stage;
use super::visit::Visit;
use crate::ground::span::Span;

/// Parts the tests as found that were made again from the visits that made them.
pub(super) fn part(visits: Vec<Visit>) -> Vec<Visit> {
    visits.into_iter().flat_map(parted).collect()
}

fn parted(mut visit: Visit) -> Vec<Visit> {
    let (found, rest): (Vec<&Test>, Vec<&Test>) =
        visit.tests.iter().partition(|test| is_as_found(test));
    let is_made_again = |test: &&&Test| test.is_made_again_by(&rest);
    let made_again: Vec<Span> = found
        .iter()
        .filter(is_made_again)
        .map(|test| test.span)
        .collect();
    if made_again.is_empty() {
        return vec![visit];
    }
    // What it was found by, all else of the day serves: the check of the instrument, the state, a resistance.
    let again = |test: &Test| {
        found
            .iter()
            .any(|found| made_again.contains(&found.span) && test.is_of_the_same(found))
    };
    let serves = |test: &&Test| is_as_found(test) || !again(test);
    let before = Visit {
        tests: visit.tests.iter().filter(serves).cloned().collect(),
        made_again: made_again.clone(),
        // What the visit says once stays with what it left.
        actions: Vec::new(),
        closed: Vec::new(),
        deviations: Vec::new(),
        notes: Vec::new(),
        omissions: Vec::new(),
        attachments: Vec::new(),
        sign_offs: Vec::new(),
        ..visit.clone()
    };
    visit.tests.retain(|test| !made_again.contains(&test.span));
    vec![before, visit]
}

impl Record {
    /// The tests of the day of a visit, in the order of the file, whichever part of it they are in now.
    pub fn tests_of_day(&self, visit: usize) -> Vec<&Test> {
        let own = self.visits.get(visit);
        let of_day = |part: &&Visit| own.is_some_and(|own| part.span == own.span);
        let around = visit.saturating_sub(1)..(visit + 2).min(self.visits.len());
        let parts = self.visits.get(around).unwrap_or_default();
        let mut all: Vec<&Test> = parts
            .iter()
            .filter(of_day)
            .flat_map(|part| &part.tests)
            .collect();
        all.sort_by_key(|test| test.span.start);
        // What serves both parts was worked once.
        all.dedup_by_key(|test| test.span);
        all
    }

    /// The tests that were worked before one of a visit on its day, whichever part of the visit they are in now.
    pub fn worked_before(&self, visit: usize, test: &Test) -> Vec<&Test> {
        let mut before = self.tests_of_day(visit);
        before.retain(|other| other.span.start < test.span.start);
        before
    }
}

fn is_as_found(test: &Test) -> bool {
    test.stage.value() == Some(&Stage::AsFound)
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;

    fn visits(tests: &str) -> Vec<(String, usize)> {
        let text = format!(
            "format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n[core T]\nmarks: T1 T2\nratio: 600/1 A\n\
             [visit 2026-03-14]\naction: A1 dry it\nnote: wet\n{tests}"
        );
        let record = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).0;
        let visits = record.visits.iter();
        visits
            .map(|visit| {
                assert_eq!(visit.actions.len(), usize::from(!visit.as_found()));
                (visit.name(), visit.own_tests().count())
            })
            .collect()
    }

    #[test]
    fn what_was_found_and_made_again_stands_before_what_was_left() {
        let found = "[resistance S1-S2]\nstage: as found\nresistance/ohm\n9.0\n";
        let left = "[resistance S1-S2]\nstage: as left\nresistance/ohm\n3.0\n";
        let whole = vec![("2026-03-14".to_owned(), 1)];
        assert_eq!(visits(found), whole);
        assert_eq!(
            visits(&format!("{found}{left}")),
            vec![
                ("2026-03-14 as found".to_owned(), 1),
                ("2026-03-14".to_owned(), 1)
            ]
        );
        // Another core's, and another kind's, is not the same made again.
        let other = "[resistance T1-T2]\nresistance/ohm\n3.0\n[polarity S1-S2]\nmethod: comparison\nresult: as marked\n";
        assert_eq!(
            visits(&format!("{found}{other}")),
            vec![("2026-03-14".to_owned(), 3)]
        );
        assert_eq!(visits(&format!("{found}{other}{left}")).len(), 2);
    }
}
