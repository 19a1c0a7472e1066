//! Continuity of the circuit: closed at every place where it was read. An open loop fails the circuit;
//! its resistance is held against a limit of the client where there is one.

use crate::derive::outcome::Outcome;
use crate::document::Grade;
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::continuity as rules;
use crate::record::criteria::Criteria;
use crate::record::kinds::Test;
use crate::record::kinds::continuity::{ContinuityRow, Loop};
use crate::standards::threshold;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, body) in j.case.visit.of(Test::continuity) {
        for (place, row) in body.rows.iter().enumerate() {
            let Some(core) = row.core else { continue };
            let doubtful = test.doubtful.or(row.resistance.unreadable());
            let doubtful = doubtful.or(row.result.unreadable());
            let found = of_row(j, row, j.derived.circuit_at(index, place));
            out.extend(found.into_iter().map(|finding| {
                let finding = finding.within(index, Some(core), row.span);
                finding.of_row(&row.at, &row.remark).withheld(doubtful)
            }));
        }
    }
}

/// What a row says; nothing while all of it waits to be filled in.
fn of_row(j: &Judging<'_>, row: &ContinuityRow, read: Option<Outcome>) -> Vec<Finding> {
    if row.result.is_missing() && row.resistance.is_missing() {
        return Vec::new();
    }
    let finding = Finding::new(&rules::LOOP_CONTINUITY, read, unit::OHM).headline();
    let (said, shown) = (
        row.result.value().copied(),
        read.and_then(|read| by_reading(j, read)),
    );
    let told = |told: Loop| match told {
        Loop::Closed => "closed",
        Loop::Open => "open",
    };
    match (said, shown) {
        (Some(said), Some(shown)) if said != shown => {
            let why = Verdict::NotJudged("the result and the reading contradict each other".into());
            let observed = match said {
                Loop::Closed => "written as closed, and read as open",
                Loop::Open => "written as open, and read as closed",
            };
            let rule = &rules::LOOP_CONTRADICTION;
            let contradiction = Finding::observation(rule, observed, Grade::Review);
            vec![finding.verdict(why), contradiction]
        }
        (Some(Loop::Open), _) | (_, Some(Loop::Open)) => {
            vec![finding.observed(told(Loop::Open)).graded(Grade::Fails)]
        }
        (Some(Loop::Closed), _) | (_, Some(Loop::Closed)) => {
            let closed = finding.observed(told(Loop::Closed)).graded(Grade::Info);
            vec![against_limit(j, closed, read)]
        }
        (None, None) => {
            let needs = "needs a reading: the display ended before the loop can be called open";
            let unknown = finding.verdict(Verdict::NotShown(needs.into()));
            vec![against_limit(j, unknown, read)]
        }
    }
}

/// Closed or open by its resistance; nothing where a bound leaves both.
fn by_reading(j: &Judging<'_>, read: Outcome) -> Option<Loop> {
    let allowed = j.case.criteria.circuit_loop.unwrap_or(0.0);
    // What the client allows of a loop is none that is open.
    let open = threshold("loop-open")?.limit.max(allowed);
    let of = |is_open| if is_open { Loop::Open } else { Loop::Closed };
    match read {
        Outcome::Known(value) => Some(of(value.si >= open)),
        Outcome::AtLeast(value) => (value.si >= open).then_some(Loop::Open),
        Outcome::AtMost(value) => (value.si <= open).then_some(Loop::Closed),
        Outcome::NotReached { .. } | Outcome::Lacking(_) => None,
    }
}

/// The resistance against the client's limit. Without one the finding stays as it is: that the loop is closed
/// is all that is asked.
fn against_limit(j: &Judging<'_>, finding: Finding, read: Option<Outcome>) -> Finding {
    let Some(most) = j.case.criteria.circuit_loop else {
        return finding;
    };
    let cited = Criteria::own("circuit-loop-resistance", "resistance of a secondary loop");
    let against = Against::at_most(most, &cited);
    let not_shown = |needs: &'static str| Verdict::NotShown(needs.into());
    match read {
        Some(Outcome::Known(_)) => finding.against(j, against),
        Some(bound) => {
            let open = not_shown("needs a reading, not a bound");
            let verdict = j.one_sided(&bound, &against, open.clone(), open);
            finding.held(against, verdict)
        }
        None => finding.held(against, not_shown("needs the resistance of the loop")),
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table, visit};
    use crate::record::criteria::Criteria;
    use proptest::prelude::*;

    fn of(rows: &str) -> Bench {
        Bench::visit(&section(rows))
    }

    fn section(rows: &str) -> String {
        format!("[continuity]\ncore | at | resistance/ohm | result\n{rows}\n")
    }

    #[test]
    fn an_open_loop_fails_and_a_closed_one_is_shown_as_closed() {
        table(
            "loop-continuity",
            of,
            &[
                ("1S | panel | 3.2 | -", "info"),
                ("1S | panel | 3.2 | closed", "info"),
                ("1S | panel | - | closed", "info"),
                ("1S | panel | <0.5 | -", "info"),
                ("1S | panel | >2000 | -", "fails"),
                ("1S | panel | 2400 | -", "fails"),
                ("1S | panel | - | open", "fails"),
                ("1S | box | 3.2 | -\n1S | panel | - | open", "info | fails"),
                // The range of the meter ended, and that is all.
                (
                    "1S | panel | >20 | -",
                    "not shown: needs a reading: the display ended before the loop can be called open",
                ),
                ("1S | panel | >20 | closed", "info"),
                ("1S | panel | - | -", ""),
                ("what is this # broken\n1S | panel | 3.2 | -", BROKEN),
            ],
        );
        of("1S | panel | 3.2 | -").holds("loop-continuity", &["panel", "closed", "3.2"]);
    }

    #[test]
    fn the_words_and_the_reading_must_agree() {
        let why = "not judged: the result and the reading contradict each other";
        for (row, told) in [
            ("1S | panel | >2000 | closed", "review"),
            ("1S | panel | 3.2 | open", "review"),
            ("1S | panel | 3.2 | closed", ""),
        ] {
            let bench = of(row);
            assert_eq!(bench.told("loop-contradiction"), told, "{row}");
            let own = if told.is_empty() { "info" } else { why };
            assert_eq!(bench.told("loop-continuity"), own, "{row}");
        }
    }

    /// With a client who allows a loop 5 ohm.
    fn limited(row: &str) -> Bench {
        let criteria = Criteria {
            circuit_loop: Some(5.0),
            ..Criteria::default()
        };
        Bench::by(criteria, &visit(PLATE, &section(row)))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        /// More resistance is never better.
        #[test]
        fn a_loop_gets_no_better_by_more_resistance(exponent in -2.0f64..4.0, times in 1.0f64..50.0) {
            let less = libm::pow(10.0, exponent);
            let row = |ohm: f64| format!("1S | panel | {ohm:.4} | -");
            for bench in [of, limited] {
                let grade = |ohm: f64| bench(&row(ohm)).one("loop-continuity").grade();
                prop_assert!(grade(less) <= grade(less * times), "{less} {times}");
            }
        }
    }

    #[test]
    fn a_limit_of_the_client_is_held_with_its_uncertainty() {
        table(
            "loop-continuity",
            limited,
            &[
                ("1S | panel | 3.2 | -", "pass"),
                ("1S | panel | 5.0 | -", "conditional pass"),
                ("1S | panel | 7.1 | -", "fail"),
                ("1S | panel | <0.5 | -", "pass"),
                ("1S | panel | >20 | -", "not met"),
                ("1S | panel | >20 | closed", "not met"),
                (
                    "1S | panel | >2 | closed",
                    "not shown: needs a reading, not a bound",
                ),
                (
                    "1S | panel | - | closed",
                    "not shown: needs the resistance of the loop",
                ),
                ("1S | panel | >2000 | -", "fails"),
            ],
        );
    }
}
