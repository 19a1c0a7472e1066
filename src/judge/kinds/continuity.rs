//! Continuity of the circuit: closed at every place where it was read. An open loop fails the circuit;
//! its resistance is held against a limit of the client where there is one, else looked at beside what else is known
//! of the circuit. How it was found shows nothing of how it was left.

use super::text;
use crate::derive::outcome::Outcome;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::continuity as rules;
use crate::judge::words::{cite, short};
use crate::record::criteria::Criteria;
use crate::record::kinds::Test;
use crate::record::kinds::continuity::{ContinuityRow, Loop};
use crate::record::schema::Stage;
use crate::standards::threshold;
use crate::trade::mark;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    let least = Least::of_all(j);
    for (index, test, body) in j.case.visit.of(Test::continuity) {
        let as_found = test.stage.value() == Some(&Stage::AsFound);
        for (place, row) in body.rows.iter().enumerate() {
            let Some(core) = row.core else { continue };
            let doubtful = test.doubtful.or(row.resistance.unreadable());
            let doubtful = doubtful.or(row.result.unreadable());
            let found = match row.waits() {
                true => left_blank(&body.rows, core).into_iter().collect(),
                false => of_row(j, &least, row, j.derived.circuit_at(index, place)),
            };
            let found = found.into_iter().map(|one| match as_found {
                true => one.only_as_found(),
                false => one,
            });
            out.extend(found.map(|finding| {
                let finding = finding.within(index, Some(core), row.span);
                finding.of_row(&row.at, &row.remark).withheld(doubtful)
            }));
        }
    }
}

/// A place that was laid out and not read, beside another one that was; nothing while all of a core's rows wait.
fn left_blank(rows: &[ContinuityRow], core: usize) -> Option<Finding> {
    let mut others = rows.iter().filter(|row| row.core == Some(core));
    let finding = || Finding::without(&rules::LOOP_CONTINUITY, unit::OHM).headline();
    let needs = "needs the resistance of the loop, or that it was found closed";
    others
        .any(|row| !row.waits())
        .then(|| finding().verdict(Verdict::NotShown(needs.into())))
}

/// What a row says.
fn of_row(
    j: &Judging<'_>,
    least: &[Option<Least<'_>>],
    row: &ContinuityRow,
    read: Option<Outcome>,
) -> Vec<Finding> {
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
            vec![match far_off(j, least, row, read) {
                Some(far) => closed
                    .observed(say!("closed, but {}", far))
                    .graded(Grade::Review),
                None => against_limit(j, closed, read),
            }]
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

/// A loop that is called closed and has many times the resistance that another place, the burden, or by itself the
/// winding has: a wire that hangs by a strand, or a slip of the unit. What the client allows decides where it is stated.
fn far_off(
    j: &Judging<'_>,
    least: &[Option<Least<'_>>],
    row: &ContinuityRow,
    read: Option<Outcome>,
) -> Option<Phrase> {
    let limit = threshold("loop-far-off").filter(|_| j.case.criteria.circuit_loop.is_none())?;
    let (Some(Outcome::Known(read) | Outcome::AtLeast(read)), Some(core)) = (read, row.core) else {
        return None;
    };
    let times = |ohm: f64| {
        let times = read.si / ohm;
        let told = || Quantity::new(short(times.round()), "");
        (ohm > 0.0 && times >= limit.limit).then(told)
    };
    let why = cite(&limit.cited);
    let winding = winding(j, core);
    let least = least.get(core).and_then(Option::as_ref);
    let elsewhere = least.and_then(|least| least.but_at(text(&row.at)));
    let burden = burden(j, core);
    if let Some((times, at)) = elsewhere.and_then(|(ohm, at)| Some((times(ohm)?, at))) {
        return Some(say!(
            "{} times what it reads from {} ({})",
            times,
            at.to_owned(),
            why
        ));
    }
    if let Some(times) = burden.and_then(|ohm| times(ohm + winding.unwrap_or(0.0))) {
        return Some(say!("{} times burden and winding ({})", times, why));
    }
    let alone = winding.filter(|_| elsewhere.is_none() && burden.is_none())?;
    Some(say!("{} times the winding ({})", times(alone)?, why))
}

/// What the loop of a core reads from one place, ohm.
type From<'a> = (f64, &'a str);

/// The least that the loop of a core reads from one of its places, and from any other one.
struct Least<'a> {
    of_all: From<'a>,
    elsewhere: Option<From<'a>>,
}

impl<'a> Least<'a> {
    /// Of each core of a visit.
    fn of_all(j: &Judging<'a>) -> Vec<Option<Self>> {
        let mut all: Vec<Option<Self>> = j.case.record.cores.iter().map(|_| None).collect();
        let rows = j
            .case
            .visit
            .of(Test::continuity)
            .flat_map(|(index, _, body)| {
                let rows = body.rows.iter().enumerate();
                rows.map(move |(place, row)| (index, place, row))
            });
        for (index, place, row) in rows {
            let read = j.derived.circuit_at(index, place);
            if let Some(Outcome::Known(read)) = read
                && row.result.value() != Some(&Loop::Open)
                && let Some(least) = row.core.and_then(|core| all.get_mut(core))
            {
                *least = Some(Self::with(least.take(), (read.si, text(&row.at))));
            }
        }
        all
    }

    fn with(known: Option<Self>, read: From<'a>) -> Self {
        let Some(known) = known else {
            return Self {
                of_all: read,
                elsewhere: None,
            };
        };
        let is_less = |one: From<'_>, other: From<'_>| one.0.total_cmp(&other.0).is_lt();
        let less = is_less(read, known.of_all);
        let (least, other) = match less {
            true => (read, known.of_all),
            false => (known.of_all, read),
        };
        let apart = Some(other).filter(|other| !mark::is_one(other.1, least.1));
        let elsewhere = match (apart, known.elsewhere) {
            (Some(apart), Some(known)) if !less && !is_less(apart, known) => Some(known),
            (apart, known) => apart.or(known),
        };
        Self {
            of_all: least,
            elsewhere,
        }
    }

    /// The least from any place but one.
    fn but_at(&self, at: &str) -> Option<From<'a>> {
        match mark::is_one(self.of_all.1, at) {
            true => self.elsewhere,
            false => Some(self.of_all),
        }
    }
}

/// The burden that was measured on a core at this visit or an earlier one of the occasion, ohm.
fn burden(j: &Judging<'_>, core: usize) -> Option<f64> {
    let before = j.derived.before.iter().flat_map(|before| &before.burden);
    let all = before.chain(&j.derived.burden);
    let mut own = all.filter(|one| one.pair.core == core && one.doubtful.is_none());
    own.next_back().map(|one| one.z.si)
}

/// The resistance of a winding by its plate, ohm: of several taps the greatest.
fn winding(j: &Judging<'_>, core: usize) -> Option<f64> {
    let core = j.case.record.cores.get(core)?;
    let taps = core.taps.iter().filter_map(|tap| tap.resistance.value());
    let whole = core.resistance.value().map(|at| at.value.si);
    taps.map(|limit| limit.si)
        .chain(whole)
        .max_by(f64::total_cmp)
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
    use super::Least;
    use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table, visit};
    use crate::record::criteria::Criteria;
    use crate::trade::mark;
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
    fn a_place_left_blank_beside_another_is_not_shown() {
        let needs = "not shown: needs the resistance of the loop, or that it was found closed";
        let told = format!("info | {needs}");
        table(
            "loop-continuity",
            of,
            &[
                ("1S | box | 3.2 | -\n1S | panel | - | -", told.as_str()),
                ("1S | box | 3.2 | -\n2S | panel | - | -", "info"),
                ("1S | box | - | -\n1S | panel | - | -", ""),
            ],
        );
    }

    #[test]
    fn how_it_was_found_shows_nothing_of_how_it_was_left() {
        let found =
            |row: &str| Bench::visit(&section(row).replace("core |", "stage: as found\ncore |"));
        let needs = "not shown: needs it read with `stage: as left`, or without a stage";
        table(
            "loop-continuity",
            found,
            &[
                ("1S | panel | 3.2 | -", needs),
                ("1S | panel | >2000 | -", "fails"),
            ],
        );
    }

    #[test]
    fn a_loop_far_beyond_what_else_is_known_is_for_review() {
        table(
            "loop-continuity",
            of,
            &[
                ("1S | box | 3.2 | -\n1S | panel | 318 | -", "info | info"),
                ("1S | box | 3.2 | -\n1S | panel | 322 | -", "info | review"),
                ("1S | panel | 322 | -\n1S | box | 3.2 | -", "review | info"),
                (
                    "1S | box | 3.2 | -\n1S | panel | >400 | closed",
                    "info | review",
                ),
                // Another place is better known than the winding by its plate, 3.4 ohm.
                ("1S | box | 352 | -\n1S | panel | 350 | -", "info | info"),
                ("1S | panel | 338 | -", "info"),
                ("1S | panel | 342 | -", "review"),
            ],
        );
        let burden = "[burden]\non current/A voltage/V\n1S1-1S2 1 1.6\n\n";
        let with = |row: &str| Bench::visit(&(burden.to_owned() + &section(row)));
        table(
            "loop-continuity",
            with,
            &[
                ("1S | panel | 498 | -", "info"),
                ("1S | panel | 502 | -", "review"),
            ],
        );
        with("1S | panel | 502 | -").holds("loop-continuity", &["100 times burden and winding"]);
        // A client who allows that much has said what holds.
        let criteria = Criteria {
            circuit_loop: Some(600.0),
            ..Criteria::default()
        };
        let text = visit(PLATE, &section("1S | panel | 502 | -"));
        assert_eq!(Bench::by(criteria, &text).told("loop-continuity"), "pass");
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

    proptest! {
        /// By the plain way: the least of all rows that are of another place.
        #[test]
        fn the_least_elsewhere_is_that_of_all_other_places(
            rows in proptest::collection::vec((1u8..9, "[ab]|A|c d|cd"), 1..9),
        ) {
            let of = |(ohm, at): &(u8, String)| (f64::from(*ohm), at.clone());
            let all: Vec<(f64, String)> = rows.iter().map(of).collect();
            let folded = all.iter().fold(None, |known, (ohm, at)| Some(Least::with(known, (*ohm, at))));
            let folded = folded.expect("rows");
            for (_, at) in &all {
                let others = all.iter().filter(|(_, other)| !mark::is_one(other, at));
                let plain = others.map(|(ohm, _)| *ohm).reduce(f64::min);
                prop_assert_eq!(folded.but_at(at).map(|(ohm, _)| ohm), plain);
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
