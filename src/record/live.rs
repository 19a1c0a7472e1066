//! A live primary against what is done on its circuits: nobody opens a secondary or lifts its earth while the primary
//! carries current. Within a visit the order of the file is the order of the work. Common practice; local rules decide.

use super::kinds::{Test, TestKind};
use super::visit::Visit;
use super::{taken, words};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::Given;
use crate::trade::{Purpose, Purposes};

/// Tells of the first test of a visit that is worked on a circuit under load, and of a reading on load of a visit that
/// lies before energising.
pub(super) fn check(visit: &Visit, found: &mut Vec<Diagnostic>) {
    let mut on_load = visit.own_tests().filter(|test| is_of_the_day(visit, test));
    let Some(load) = on_load.next() else {
        return;
    };
    let purposes = visit.purposes();
    if purposes == Purposes::from(Purpose::BeforeEnergising)
        && let Some(purpose) = visit.purpose.span()
    {
        found.push(words::load_early(load.kind.name(), load.span, purpose));
    }
    if is_accounted_for(visit) {
        return;
    }
    // What is made after energising alone begins with a live primary, unless a permit of the day stands before the load.
    let all = purposes == Purposes::from(Purpose::AfterEnergising) && !begins_dead(visit);
    let mut tests = visit.own_tests();
    let test = tests.find(|test| opens(test) && (all || test.span.start > load.span.start));
    found.extend(test.map(|test| words::opened_live(test.kind.name(), test.span, load.span)));
}

/// Whether a test was read on load, on the day of its visit.
fn is_of_the_day(visit: &Visit, test: &Test) -> bool {
    taken::on_load(test).is_some_and(|taken| match taken {
        Given::Written(taken) => taken.value.day == visit.date.value,
        Given::Missing => true,
        Given::Unreadable(_) => false,
    })
}

/// Whether the visit says by what the primary was dead, or what was done otherwise. A permit that was handed back, and
/// what is read behind it, is another matter.
fn is_accounted_for(visit: &Visit) -> bool {
    has_outage(visit) && visit.permit_returned.is_missing() || !visit.deviations.is_empty()
}

/// Whether the primary was dead when the work of a visit began, though it was handed back later.
fn begins_dead(visit: &Visit) -> bool {
    let returned = visit.permit_returned.value();
    has_outage(visit) && returned.is_some_and(|returned| returned.day >= visit.date.value)
}

fn has_outage(visit: &Visit) -> bool {
    !visit.permit.is_missing() || !visit.outage.is_missing()
}

/// Whether a test opens the circuit of a core, or lifts its earth.
fn opens(test: &Test) -> bool {
    let lifts = test
        .single_earth()
        .is_some_and(|body| body.rows.iter().any(|row| !row.waits()));
    let reads = test
        .continuity()
        .is_some_and(|body| body.rows.iter().any(|row| !row.waits()));
    // A relay is fed behind a shorted block, and a ratio is read on load as well.
    let may_be_on_load = matches!(test.kind, TestKind::Ratio | TestKind::Injection);
    lifts || reads || test.kind.opens() && !may_be_on_load && !test.is_of_unit()
}

#[cfg(test)]
mod tests {
    use crate::ground::source::Source;

    const LOAD: &str = "[load]\nprimary current: 252 A\ncore | at | current/A\nS | F21 | 0.42\n";
    const LOOP: &str = "[continuity]\ncore | at | resistance/ohm\nS | panel | 1.5\n";
    const EARTH: &str = "[single-earth]\ncore | at | voltage/V | put back\nS | panel | 500 | yes\n";
    const FED: &str = "[injection]\ncore | at | current/A | reading/A\nS | F21 | 1 | 1\n";
    const BURDEN: &str =
        "[burden]\non | current/A | voltage/V | angle/deg\nS1-S2 | 1.000 | 4.21 | 12.0\n";
    const WAITS: &str = "[continuity]\ncore | at | resistance/ohm\nS | panel | -\n";

    #[test]
    fn a_circuit_that_is_opened_under_load_is_told() {
        for (head, tests, is_told) in [
            ("purpose: after energising", [LOAD, LOOP], true),
            ("purpose: after energising", [LOAD, EARTH], true),
            ("purpose: after energising", [LOOP, LOAD], true),
            ("purpose: after energising", [LOAD, WAITS], false),
            ("purpose: after energising", [LOAD, FED], false),
            ("purpose: commissioning", [LOAD, LOOP], true),
            // What is done first is done dead, at a visit that was made for all.
            ("purpose: commissioning", [LOOP, LOAD], false),
            (
                "purpose: before energising, after energising",
                [EARTH, LOAD],
                false,
            ),
            ("purpose: before energising", ["", LOAD], true),
            ("purpose: before energising", ["", LOOP], false),
            // The permit of the day was handed back before the load: what stands above that was done dead.
            (
                "purpose: after energising\npermit: 47\npermit returned: 2026-03-14 15:10",
                [LOOP, LOAD],
                false,
            ),
            (
                "purpose: after energising\npermit: 47\npermit returned: 2026-03-14 15:10",
                [LOAD, LOOP],
                true,
            ),
            (
                "purpose: after energising\npermit: 47\npermit returned: 2026-03-13",
                [LOOP, LOAD],
                true,
            ),
            ("purpose: commissioning", [LOAD, BURDEN], true),
            ("purpose: commissioning", [BURDEN, LOAD], false),
            // A new outage, or a word on what was done otherwise.
            ("purpose: after energising\noutage: 47", [LOAD, LOOP], false),
            ("purpose: after energising\npermit: 47", [LOAD, LOOP], false),
            (
                "purpose: commissioning\npermit: 47\npermit returned: 2026-03-14",
                [LOAD, LOOP],
                true,
            ),
            (
                "purpose: after energising\ndeviation: by-pass closed, primary dead for the loop",
                [LOAD, LOOP],
                false,
            ),
        ] {
            let text = format!(
                "format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-03-14]\n{head}\n{}",
                tests.concat()
            );
            let told = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).1;
            let live = told
                .iter()
                .filter(|told| told.code.name() == "primary-live");
            assert_eq!(live.count(), usize::from(is_told), "{text}");
        }
        let by_source = LOAD.replace(
            "primary current",
            "method: primary injection\nprimary current",
        );
        let text = format!(
            "format: 1\n[ct]\nid: A\n[core S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-03-14]\npurpose: before energising\n{by_source}{LOOP}"
        );
        let told = crate::record::read_alone(&Source::new("a.ctr", text.as_bytes()).0).1;
        assert!(told.iter().all(|told| told.code.name() != "primary-live"));
    }
}
