//! As left: links and terminals, earths of the circuit, tap in service, the second person.

use super::state::{in_service, is_spare, same};
use super::text;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, unit};
use crate::judge::rules::restored as rules;
use crate::judge::words::short;
use crate::record::kinds::Test;
use crate::record::kinds::restored::{CoreRestored, Restored};
use crate::record::kinds::state::{Earth, Links, Secondary};
use crate::record::kinds::test_links::Position;
use crate::record::schema::Stage;
use crate::standards::threshold;
use crate::trade::{Purpose, mark};

/// Judges how a visit left the cores.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, restored) in j.case.visit.of(Test::restored) {
        let mut found = as_left(j, index, restored);
        found.extend(links(j, index, test, restored));
        let checked = text(&restored.checked_by);
        let observed: Option<Phrase> = if restored.checked_by.is_unreadable() {
            None
        } else if checked.is_empty() {
            Some("no second person is named".into())
        } else if mark::is_one(checked, text(&j.case.visit.tested_by)) {
            Some(say!(
                "{} tested and checked: no second person is named",
                checked.to_owned()
            ))
        } else {
            None
        };
        found.extend(observed.map(|observed| {
            let rule = &rules::RESTORED_UNCHECKED;
            let unchecked = Finding::observation(rule, observed, Grade::Info);
            unchecked.within(index, None, test.span)
        }));
        out.extend(
            found
                .into_iter()
                .map(|finding| finding.withheld(test.doubtful)),
        );
    }
}

fn as_left(j: &Judging<'_>, index: usize, restored: &Restored) -> Vec<Finding> {
    let mut found = Vec::new();
    for row in &restored.cores {
        let Some(core) = row.core else { continue };
        found.extend(circuit(j, index, core, row));
        found.extend(earths(index, core, row));
        found.extend(tap(j, index, core, row));
    }
    found
}

/// The primary links: against the ratio that was read last, and against how they were found.
fn links(j: &Judging<'_>, index: usize, test: &Test, restored: &Restored) -> Option<Finding> {
    let left = restored.primary_links.get()?;
    let plate = &j.case.record.plate.links;
    let name = |position: &String| Phrase::from(position.clone());
    let is_known = plate.iter().any(|link| link.value.0 == left.value);
    let found = j.case.visit.links_found();
    let moved = found.filter(|found| found.value != left.value);
    let (observed, grade) = if !is_known {
        let observed = say!(
            "{}, which is no position on the rating plate",
            name(&left.value)
        );
        (observed, Grade::Review)
    } else if let Some(read) = links_read(j).filter(|read| **read != left.value) {
        let observed = say!(
            "{}, but the last ratio of the day is that of {}",
            name(&left.value),
            name(read)
        );
        (observed, Grade::Review)
    } else if let Some(found) = moved {
        let observed = say!(
            "{}, but found in {}: until then relays and meters were on another ratio",
            name(&left.value),
            name(&found.value)
        );
        let is_told = !test.notes.is_empty();
        (observed, if is_told { Grade::Info } else { Grade::Review })
    } else {
        (name(&left.value), Grade::Info)
    };
    let mut finding = Finding::observation(&rules::PRIMARY_LINKS_AS_LEFT, observed, grade);
    finding = finding.within(index, None, left.span);
    finding.points_at.extend(moved.map(|found| found.span));
    Some(finding)
}

/// The position of the links that the last ratio of the day fits.
fn links_read<'a>(j: &'a Judging<'_>) -> Option<&'a String> {
    let ratio = &j.derived.ratio;
    let turns = ratio.turns.iter().filter(|turns| turns.doubtful.is_none());
    let turns = turns.map(|turns| (turns.test, turns.pair, turns.error.si));
    let runs = ratio.runs.iter().filter(|run| run.doubtful.is_none());
    let runs = runs.filter_map(|run| {
        let error = run.points.iter().rev().find_map(|point| point.error)?;
        Some((run.test, run.pair, error.si))
    });
    let (test, pair, error) = turns.chain(runs).max_by_key(|(test, ..)| *test)?;
    let core = j.case.core(pair)?;
    let ratio = j.case.visit.tests.get(test).and_then(Test::ratio)?;
    // Both errors are those of the ratio as connected: what was read is so many times that of the plate.
    let read = j.case.of_ratio(ratio).link_factor(core) / (1.0 + error / 100.0);
    let near = threshold("ratio-far-off")?.limit / 100.0;
    let positions = j.case.record.plate.links.iter().map(|link| &link.value.0);
    let fits = |position: &&String| {
        let factor = j.case.record.link_factor(core, Some(*position));
        (read / factor - 1.0).abs() <= near
    };
    let mut fitting = positions.filter(fits);
    // Two positions of one ratio are not told apart.
    fitting.next().filter(|_| fitting.next().is_none())
}

/// Whether the unit serves after the visit: one in the store, or at the maker's, is shorted for good.
pub(super) fn goes_to_service(j: &Judging<'_>) -> bool {
    !matches!(
        j.case.visit.purpose(),
        Purpose::Factory | Purpose::Receiving
    )
}

/// An open secondary is the one thing that must not be left behind.
fn circuit(j: &Judging<'_>, index: usize, core: usize, row: &CoreRestored) -> Option<Finding> {
    let spare = is_spare(j, core, &row.in_service);
    let (links, secondary) = (row.links.value().copied(), row.secondary.value().copied());
    let (observed, grade) = match secondary {
        Some(Secondary::Open) => ("the secondary is open", Grade::Fails),
        Some(Secondary::Shorted) if spare => ("spare, shorted", Grade::Info),
        Some(Secondary::Shorted) if !goes_to_service(j) => ("shorted", Grade::Info),
        Some(Secondary::Shorted) => ("shorted, and feeds nothing", Grade::Review),
        Some(Secondary::Connected) if spare => ("connected, though spare", Grade::Review),
        // That a spare core is not stated to be shorted is told of how it was found.
        None if spare && links == Some(Links::Open) => (
            "spare, links open, and not stated to be shorted",
            Grade::Fails,
        ),
        None if spare => return None,
        Some(Secondary::Connected) | None => match links {
            Some(Links::Open) => ("links open", Grade::Fails),
            Some(Links::Closed) => ("links closed", Grade::Info),
            None if secondary.is_none() => return None,
            None if !has_links(j, core) || are_through(j, core) => ("connected", Grade::Info),
            None => {
                let finding = Finding::without(&rules::CIRCUIT_AS_LEFT, unit::ONE);
                let finding = finding.within(index, Some(core), row.span).headline();
                return Some(finding.needs(
                    "needs the links as left, which were told before: that the secondary is connected leaves them open",
                ));
            }
        },
    };
    let finding = Finding::observation(&rules::CIRCUIT_AS_LEFT, observed, grade);
    Some(finding.within(index, Some(core), row.span).headline())
}

/// Whether the visit tells of test links of a core as left, each through.
fn are_through(j: &Judging<'_>, core: usize) -> bool {
    let all = j.case.visit.of(Test::test_links);
    let left = all.filter(|(_, test, _)| test.stage.value() == Some(&Stage::AsLeft));
    let own = left.flat_map(|(_, _, body)| &body.rows);
    let mut own = own.filter(|row| row.core == Some(core)).peekable();
    own.peek().is_some() && own.all(|row| row.position.value() == Some(&Position::Through))
}

/// Whether links of the circuit were ever named.
fn has_links(j: &Judging<'_>, core: usize) -> bool {
    let mut visits = j.case.record.visits.iter().take(j.case.index + 1);
    visits.any(|visit| {
        let found = visit.of(Test::state).flat_map(|(_, _, state)| &state.cores);
        let found = found.map(|row| (row.core, &row.links));
        let left = visit
            .of(Test::restored)
            .flat_map(|(_, _, left)| &left.cores);
        let mut rows = found.chain(left.map(|row| (row.core, &row.links)));
        rows.any(|(of, links)| of == Some(core) && !links.is_missing())
    })
}

/// The tap, held against the duty; without one, against how the core was found.
fn tap(j: &Judging<'_>, index: usize, core: usize, row: &CoreRestored) -> Option<Finding> {
    let rule = &rules::TAP_AS_LEFT;
    let tap = in_service(j, rule, index, core, &row.in_service)?;
    let duty = j.case.record.duty_on(core, j.case.visit.date.value);
    if duty.is_some_and(|duty| duty.tap.is_some()) {
        return (tap.grade() == Grade::Review).then_some(tap);
    }
    let states = j.case.visit.of(Test::state);
    let mut rows = states.flat_map(|(_, _, state)| &state.cores);
    let found = rows.find(|found| found.core == Some(core))?;
    let (was, is) = (text(&found.in_service), text(&row.in_service));
    if was.is_empty() || same(was, is) {
        return None;
    }
    let of = |tap: &str| Phrase::terminals(tap.to_owned());
    let observed = say!("{}, but found on {}", of(is), of(was));
    let mut finding = Finding::observation(rule, observed, Grade::Review).within(
        index,
        Some(core),
        row.in_service.span()?,
    );
    finding.points_at.extend(found.in_service.span());
    Some(finding)
}

/// One earth per circuit: none leaves it floating, two pass fault current through the relay.
fn earths(index: usize, core: usize, row: &CoreRestored) -> Option<Finding> {
    let lacking = row.earth.get().filter(|earth| earth.value.is_lacking());
    let counted = row.earths.get();
    let (observed, at) = match (lacking, counted) {
        (Some(lacking), _) => (lacks(lacking.value), lacking.span),
        (None, Some(counted)) => (say!("{} counted", number(counted.value)), counted.span),
        (None, None) => return None,
    };
    let one = counted.is_some_and(|counted| (counted.value - 1.0).abs() < 1e-9);
    let none = lacking.is_some() || counted.is_some_and(|counted| counted.value < 0.5);
    let grade = if one && !none {
        Grade::Info
    } else {
        Grade::Fails
    };
    let finding = match none {
        true => without_earth(observed),
        false => Finding::observation(&rules::CIRCUIT_EARTHS, observed, grade).headline(),
    };
    Some(finding.within(index, Some(core), at))
}

/// A circuit that is left without an earth: another step than for a second one comes first.
pub(super) fn without_earth(observed: Phrase) -> Finding {
    let finding = Finding::observation(&rules::CIRCUIT_EARTHS, observed, Grade::Fails);
    finding.headline().next(
        "the secondary may float to primary voltage: keep it shorted and earth it at one point before anything else",
    )
}

fn lacks(earth: Earth) -> Phrase {
    match earth {
        Earth::Broken => "left broken".into(),
        _ => "left without one".into(),
    }
}

fn number(counted: f64) -> Phrase {
    if counted < 0.5 {
        "none".into()
    } else {
        Quantity::new(short(counted), "").into()
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table, visit};

    fn left(section: &str) -> Bench {
        let duty = "[duty 2S since 2020-01-01]\ntap in service: 2S1-2S3\n";
        Bench::of(&visit(
            &format!("{PLATE}{duty}"),
            &format!("[restored]\n{section}\n"),
        ))
    }

    #[test]
    fn the_second_person_is_another() {
        table(
            "restored-unchecked",
            |checked: &str| {
                let text = format!("[restored]\nprimary links: series\n{checked}\n");
                let text = visit(PLATE, &text);
                Bench::of(&text.replace("[restored]", "tested by: K. Marrow\n\n[restored]"))
            },
            &[
                ("", "info"),
                ("checked by: L. Foss", ""),
                ("checked by: k.marrow", "info"),
            ],
        );
    }

    #[test]
    fn one_earth_per_circuit() {
        let earths = |count: &str| {
            left(&format!(
                "core | links | earths counted\n2S | closed | {count}\nchecked by: E. Lund"
            ))
        };
        table(
            "circuit-earths",
            earths,
            &[("1", "info"), ("0", "fails"), ("2", "fails")],
        );
        let earth = |cells: &str| {
            left(&format!(
                "core | earth | earths counted\n2S | {cells}\nchecked by: E. Lund"
            ))
        };
        table(
            "circuit-earths",
            earth,
            &[
                ("broken | -", "fails"),
                ("none | -", "fails"),
                // A place is no count, and a count mends no broken earth.
                ("panel | -", ""),
                ("broken | 1", "fails"),
                ("panel | 1", "info"),
            ],
        );
        // Without an earth another step comes first.
        let next = |count| earths(count).one("circuit-earths").next.is_some();
        assert!(next("0") && !next("2"));
        let broken = "what is this # broken\n\ncore | earths counted\n2S | 2\nchecked by: E. Lund";
        table("circuit-earths", left, &[(broken, BROKEN)]);
    }

    #[test]
    fn an_open_secondary_is_never_left_behind() {
        let row = |cells: &str| {
            left(&format!(
                "core | in service | links | secondary\n2S | {cells}\nchecked by: E. Lund"
            ))
        };
        table(
            "circuit-as-left",
            row,
            &[
                ("- | open | -", "fails"),
                ("- | open | connected", "fails"),
                ("- | closed | open", "fails"),
                ("spare | - | open", "fails"),
                ("- | open | shorted", "review"),
                ("- | closed | connected", "info"),
                ("- | closed | -", "info"),
                ("spare | - | shorted", "info"),
                ("spare | closed | connected", "review"),
                ("- | - | -", ""),
                ("- | - | connected", "info"),
            ],
        );
        // Links that were there are to be named again.
        let state = "[state]\ncore | links\n2S | open\n\n";
        let left = "[restored]\ncore | secondary\n2S | connected\n";
        let bench = Bench::of(&visit(PLATE, &(state.to_owned() + left)));
        let needs = "not shown: needs the links as left, which were told before: that the secondary is connected leaves them open";
        assert_eq!(bench.told("circuit-as-left"), needs);
        // Test links that are looked at one by one name them.
        let through = "[test-links]\nstage: as left\ncore | item | position\n2S | X3 | through\n\n";
        let bench = Bench::of(&visit(PLATE, &(state.to_owned() + through + left)));
        assert_eq!(bench.told("circuit-as-left"), "info");
    }

    #[test]
    fn without_a_duty_the_tap_is_held_against_how_it_was_found() {
        let tap = |row: &str| {
            let (was, is) = row.split_once(' ').unwrap();
            let state = format!("[state]\ncore | in service\n2S | {was}\n\n");
            let left = format!("[restored]\ncore | in service\n2S | {is}\n");
            Bench::of(&visit(PLATE, &(state + &left)))
        };
        table(
            "tap-as-left",
            tap,
            &[
                ("2S1-2S3 2S1-2S2", "review"),
                ("2S1-2S3 2S3-2S1", ""),
                ("- 2S1-2S2", ""),
            ],
        );
        tap("2S1-2S3 2S1-2S2").holds("tap-as-left", &["2S1-2S2, but found on 2S1-2S3"]);
    }

    #[test]
    fn primary_links_are_held_against_the_ratio_read_and_against_how_they_were_found() {
        let plate = PLATE.replace(
            "frequency: 50 Hz\n",
            "frequency: 50 Hz\nprimary links: series 300/1, parallel 600/1\n",
        );
        let of = |sections: &str| Bench::of(&visit(&plate, &format!("{sections}\n")));
        let state = |found: &str| format!("[state]\nprimary links: {found}\n\n");
        let left =
            |links: &str| format!("[restored]\nprimary links: {links}\nchecked by: E. Lund\n");
        let read = |induced: &str| {
            format!("[ratio]\nmethod: voltage\non applied/V induced/mV\n1S1-1S2 120 {induced}\n\n")
        };
        let rule = "primary-links-as-left";
        for (sections, told) in [
            (left("series"), "info"),
            (left("across"), "review"),
            (state("series") + &left("series"), "info"),
            (state("parallel") + &left("series"), "review"),
            (
                state("parallel") + &left("series") + "note: by order of the client",
                "info",
            ),
            // The plate's row is parallel: 600 turns give 200 mV of 120 V, 300 give 400 mV.
            (state("series") + &read("400") + &left("series"), "info"),
            (state("series") + &read("200") + &left("series"), "review"),
            (state("parallel") + &read("200") + &left("series"), "review"),
        ] {
            assert_eq!(of(&sections).told(rule), told, "{sections}");
        }
        of(&(state("parallel") + &read("200") + &left("series"))).holds(
            rule,
            &["series, but the last ratio of the day is that of parallel"],
        );
        of(&(state("parallel") + &left("series"))).holds(rule, &["series, but found in parallel"]);
    }

    #[test]
    fn the_tap_left_and_the_second_person_are_asked_for() {
        table(
            "tap-as-left",
            left,
            &[
                (
                    "core | in service\n2S | 2S1-2S2\nchecked by: E. Lund",
                    "review",
                ),
                ("core | in service\n2S | 2S1-2S3\nchecked by: E. Lund", ""),
            ],
        );
        table(
            "restored-unchecked",
            left,
            &[
                ("core | links\n2S | closed", "info"),
                ("core | links\n2S | closed\nchecked by: E. Lund", ""),
            ],
        );
    }
}
