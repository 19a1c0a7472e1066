//! Single earth: what a circuit reads against earth while its own is lifted, and whether that went back.
//! A conductor there is a second earth. An earth that stayed off is told of the circuit as left.

use super::restored::without_earth;
use super::state::as_left;
use super::text;
use super::withstand::si;
use crate::derive::outcome::Outcome;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::{Located, Span};
use crate::judge::assess::Judging;
use crate::judge::condition::{Condition, volts};
use crate::judge::finding::{Against, Finding, Unit, Verdict, unit};
use crate::judge::rules::restored::CIRCUIT_EARTHS;
use crate::judge::rules::single_earth as rules;
use crate::judge::words::short;
use crate::record::criteria::Criteria;
use crate::record::kinds::Test;
use crate::record::kinds::restored::CoreRestored;
use crate::record::kinds::single_earth::SingleEarthRow;
use crate::record::kinds::state::Earth;
use crate::record::schema::Stage;
use crate::record::value::YesNo;
use crate::standards::threshold;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, body) in j.case.visit.of(Test::single_earth) {
        let as_found = test.stage.value() == Some(&Stage::AsFound);
        for (place, row) in body.rows.iter().enumerate() {
            let Some(core) = row.core.filter(|_| !row.waits()) else {
                continue;
            };
            let unread = [row.resistance.unreadable(), row.voltage.unreadable()];
            let unread = unread
                .into_iter()
                .chain([row.earths.unreadable(), row.put_back.unreadable()]);
            let doubtful = test.doubtful.or(unread.flatten().next());
            let read = j.derived.circuit_at(index, place);
            let lifted = match as_found {
                true => lifted(j, row, read).only_as_found(),
                false => lifted(j, row, read),
            };
            let lifted = lifted.within(index, Some(core), row.span);
            let off = stayed_off(row).map(|off| off.within(index, Some(core), row.span));
            let differs = differs(j, core, row).map(|(differs, at)| {
                let mut differs = differs.within(index, Some(core), row.span);
                differs.points_at.push(at);
                differs
            });
            let high = too_high(row).map(|high| high.within(index, Some(core), row.span));
            let found = [Some(lifted), off, differs, high].into_iter().flatten();
            out.extend(found.map(|finding| finding.withheld(doubtful)));
        }
    }
}

/// What the circuit read, what was counted, and whether all of the proof is there.
fn lifted(j: &Judging<'_>, row: &SingleEarthRow, read: Option<Outcome>) -> Finding {
    let shown = read.and_then(|read| read.value());
    let finding = Finding::new(
        &rules::SINGLE_EARTH,
        read,
        shown.map_or(unit::MEGOHM, |value| ohm(value.si)),
    )
    .under(si(&row.voltage).map(Condition::Voltage))
    .under(si(&row.time).map(Condition::HeldFor))
    .headline();
    let mut finding = match read {
        Some(read) => held(j, finding, read),
        None => finding.graded(Grade::Info),
    };
    let at = text(&row.at);
    let at = (!at.is_empty()).then(|| say!("lifted at {}", at.to_owned()));
    finding.remarks.extend(at);
    let remark = text(&row.remark);
    let remark = (!remark.is_empty()).then(|| remark.to_owned().into());
    finding.remarks.extend(remark);
    if let Some(counted) = row.earths.value().filter(|counted| !is_one(**counted)) {
        // What fails by its value stays so; the count is told beside it.
        let told = counted_words(*counted);
        return match finding.grade() {
            Grade::Fails => finding.remark(told),
            _ => finding.observed(told).graded(Grade::Fails),
        };
    }
    let good = matches!(finding.grade(), Grade::Info | Grade::Pass);
    let lacks = lacks(row, read);
    match good && !lacks.is_empty() {
        true => finding.verdict(Verdict::NotShown(say!(
            "needs {}",
            Phrase::list(lacks, ", ", " and ")
        ))),
        false => finding,
    }
}

/// A conductor to earth by our own convention; above it the client's least, where there is one.
fn held(j: &Judging<'_>, finding: Finding, read: Outcome) -> Finding {
    let Some(conductor) = threshold("second-earth") else {
        return finding;
    };
    let below = match read {
        Outcome::Known(value) => value.si < conductor.limit,
        Outcome::AtMost(value) => value.si <= conductor.limit,
        Outcome::AtLeast(_) | Outcome::NotReached { .. } | Outcome::Lacking(_) => false,
    };
    let bound = || Verdict::NotShown("needs a reading, not a bound".into());
    if below {
        let finding = finding.observed("a second earth");
        let limit = Against::at_least(conductor.limit, &conductor.cited);
        return match read {
            Outcome::Known(_) => finding.against(j, limit),
            _ => finding.held(limit, Verdict::NotMet),
        };
    }
    match (j.case.criteria.circuit_insulation, read) {
        (Some(least), _) => {
            let cited = Criteria::own("circuit-insulation", "insulation of a circuit");
            let limit = Against::at_least(least, &cited);
            match read {
                Outcome::Known(_) => finding.against(j, limit),
                _ => {
                    let verdict = j.one_sided(&read, &limit, bound(), bound());
                    finding.held(limit, verdict)
                }
            }
        }
        (None, Outcome::AtMost(_)) => {
            let needs = "needs what an ohmmeter reads there: it may be a conductor";
            finding.verdict(Verdict::NotShown(needs.into()))
        }
        (None, _) => finding
            .graded(Grade::Info)
            .remark("no minimum: the job states none"),
    }
}

/// What of the proof is not on record.
fn lacks(row: &SingleEarthRow, read: Option<Outcome>) -> Vec<Phrase> {
    let put_back = match row.put_back.value() {
        Some(YesNo::Yes) => None,
        Some(YesNo::No) => Some("the earth put back"),
        None => Some("that the earth was put back"),
    };
    let least = threshold("insulation-voltage-least").map_or(0.0, |row| row.limit);
    let voltage = match si(&row.voltage) {
        None => Some("the test voltage".into()),
        Some(read) if read < least => Some(say!("a test voltage of at least {}", volts(least))),
        Some(_) => None,
    };
    let lacks = [
        read.is_none()
            .then(|| "the insulation resistance with the earth lifted".into()),
        voltage,
        put_back.map(Phrase::from),
    ];
    lacks.into_iter().flatten().collect()
}

/// The circuit was left without its earth; where others were counted with it off, it has those.
fn stayed_off(row: &SingleEarthRow) -> Option<Finding> {
    if row.put_back.value() != Some(&YesNo::No) {
        return None;
    }
    let at = text(&row.at);
    let lifted = match at.is_empty() {
        true => "lifted, and not put back".into(),
        false => say!("lifted at {}, and not put back", at.to_owned()),
    };
    let counted = row.earths.value().filter(|counted| **counted >= 0.5);
    Some(match counted {
        None => without_earth(say!("left without one: {}", lifted)),
        Some(counted) => {
            let told = say!("{}, beside {}", lifted, counted_words(*counted));
            Finding::observation(&CIRCUIT_EARTHS, told, Grade::Fails).headline()
        }
    })
}

/// More voltage than what hangs on a circuit usually stands.
fn too_high(row: &SingleEarthRow) -> Option<Finding> {
    let most = threshold("circuit-voltage-most")?;
    let is_in = row.relays_out.value() != Some(&YesNo::Yes);
    let read = si(&row.voltage).filter(|read| is_in && *read > most.limit)?;
    let told = say!(
        "{} d.c. on it, and {} is usual with relays and meters in the circuit",
        volts(read),
        volts(most.limit)
    );
    Some(Finding::observation(
        &rules::CIRCUIT_VOLTAGE,
        told,
        Grade::Review,
    ))
}

/// What the row itself or the same visit says otherwise of the circuit as left, and where.
fn differs(j: &Judging<'_>, core: usize, row: &SingleEarthRow) -> Option<(Finding, Span)> {
    let off = row.put_back.value() == Some(&YesNo::No);
    let counted = row.earths.value().copied();
    let by_count = as_left(j, core).find_map(|left| {
        let left = earths_left(left)?;
        let differ = |here: f64| (left.value - here).abs() > 0.5;
        let told = counted_words(left.value);
        // One that is off is none of those that are left.
        let here = match (off, counted) {
            (true, _) if left.value >= 0.5 => "not put back".into(),
            (_, Some(here)) if differ(here) => counted_words(here),
            _ => return None,
        };
        Some((say!("{} here, and {} as left", here, told), left.span))
    });
    let (told, at) = by_count
        .or_else(|| off.then(|| beside(row)).flatten())
        .or_else(|| elsewhere(j, core, row))?;
    let finding = Finding::observation(&rules::EARTHS_DIFFER, told, Grade::Review);
    Some((finding, at))
}

/// An earth that was not put back, and that seems to be counted nonetheless.
fn beside(row: &SingleEarthRow) -> Option<(Phrase, Span)> {
    let one = row.earths.get().filter(|counted| is_one(counted.value))?;
    let told = "not put back, and one earth counted: is it that one, or another?";
    Some((told.into(), one.span))
}

/// Another place of the earth as left than the one where it was lifted and put back. Places in words of the record's
/// own tell nothing.
fn elsewhere(j: &Judging<'_>, core: usize, row: &SingleEarthRow) -> Option<(Phrase, Span)> {
    row.put_back.value().filter(|back| **back == YesNo::Yes)?;
    let at = text(&row.at);
    let words = at.split(|letter: char| !letter.is_alphabetic());
    let named: Vec<Earth> = words.filter_map(place_of).collect();
    as_left(j, core).find_map(|left| {
        let left = left.earth.get().filter(|left| !left.value.is_lacking())?;
        let differ = !named.is_empty() && !named.contains(&left.value);
        let place: &'static str = left.value.into();
        let told = say!(
            "put back at {} here, and at {} as left",
            at.to_owned(),
            place
        );
        differ.then_some((told, left.span))
    })
}

/// The place that a word names.
fn place_of(word: &str) -> Option<Earth> {
    let place: Earth = word.to_lowercase().parse().ok()?;
    (!place.is_lacking()).then_some(place)
}

/// The earths that a row of how a core was left speaks of.
fn earths_left(row: &CoreRestored) -> Option<Located<f64>> {
    let lacking = row.earth.get().filter(|earth| earth.value.is_lacking());
    let none = lacking.map(|lacking| Located::new(0.0, lacking.span));
    none.or(row
        .earths
        .get()
        .map(|counted| Located::new(counted.value, counted.span)))
}

fn is_one(counted: f64) -> bool {
    (counted - 1.0).abs() < 1e-9
}

/// `2 earths counted`
fn counted_words(counted: f64) -> Phrase {
    match counted {
        none if none < 0.5 => "no earth".into(),
        one if is_one(one) => "one earth counted".into(),
        more => say!("{} earths counted", Quantity::new(short(more), "")),
    }
}

fn ohm(si: f64) -> Unit {
    if si < 1e4 { unit::OHM } else { unit::MEGOHM }
}

#[cfg(test)]
mod tests {
    use crate::document::Grade;
    use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table, visit};
    use crate::record::criteria::Criteria;
    use proptest::prelude::*;

    const HEAD: &str =
        "core | at | voltage/V | time/s | resistance/Mohm | put back | earths counted";

    fn section(row: &str) -> String {
        format!("[single-earth]\n{HEAD}\n1S | panel | {row}\n")
    }

    fn of(row: &str) -> Bench {
        Bench::visit(&section(row))
    }

    #[test]
    fn the_single_earth_is_shown_by_lifting_it_and_putting_it_back() {
        table(
            "single-earth",
            of,
            &[
                ("500 | 60 | 52 | yes | 1", "info"),
                ("500 | - | >200 | yes | -", "info"),
                (
                    "500 | 60 | 52 | - | 1",
                    "not shown: needs that the earth was put back",
                ),
                ("- | 60 | 52 | yes | 1", "not shown: needs the test voltage"),
                (
                    "500 | 60 | 52 | no | -",
                    "not shown: needs the earth put back",
                ),
                (
                    "- | - | - | - | 1",
                    "not shown: needs the insulation resistance with the earth lifted, the test voltage and that the earth was put back",
                ),
                (
                    "500 | 60 | <1 | yes | 1",
                    "not shown: needs what an ohmmeter reads there: it may be a conductor",
                ),
                ("<500 | 60 | 52 | yes | 1 # broken", BROKEN),
                (
                    "9 | 60 | 52 | yes | 1",
                    "not shown: needs a test voltage of at least 100 V",
                ),
                ("500 | 60 | - | - | -", ""),
                ("500 | 60 | 52 | yes | 1\nwhat is this # broken", BROKEN),
            ],
        );
    }

    #[test]
    fn a_conductor_to_earth_is_a_second_one_and_so_is_a_second_one_counted() {
        table(
            "single-earth",
            of,
            &[
                ("500 | 60 | 0.000012 | yes | 1", "fail"),
                ("500 | 60 | 0 | yes | 1", "fail"),
                ("500 | 60 | <0.001 | yes | 1", "not met"),
                ("500 | 60 | 0.000012 | - | -", "fail"),
                ("500 | 60 | 52 | yes | 2", "fails"),
                ("500 | 60 | 52 | yes | 0", "fails"),
            ],
        );
        of("500 | 60 | 0.000012 | yes | 1").holds("single-earth", &["a second earth, 12 ohm"]);
        of("500 | 60 | 52 | yes | 2")
            .holds("single-earth", &["2 earths counted, 52", "lifted at panel"]);
    }

    #[test]
    fn how_it_was_found_shows_nothing_of_how_it_was_left() {
        let found =
            |row: &str| Bench::visit(&section(row).replace("core |", "stage: as found\ncore |"));
        let needs = "not shown: needs it read with `stage: as left`, or without a stage";
        table(
            "single-earth",
            found,
            &[
                ("500 | 60 | 52 | yes | 1", needs),
                ("500 | 60 | 52 | yes | 2", "fails"),
            ],
        );
    }

    #[test]
    fn an_earth_that_is_off_is_none_of_those_that_are_counted() {
        for (row, left, told) in [
            (
                "no | -",
                "panel | 1",
                "not put back here, and one earth counted as left",
            ),
            (
                "no | 1",
                "panel | 1",
                "not put back here, and one earth counted as left",
            ),
            (
                "no | 2",
                "panel | 1",
                "not put back here, and one earth counted as left",
            ),
            ("no | 1", "panel | -", "is it that one, or another?"),
            ("no | -", "none | -", ""),
            ("no | 0", "panel | 0", ""),
            ("yes | 1", "panel | 1", ""),
            (
                "yes | 1",
                "panel | 2",
                "one earth counted here, and 2 earths counted as left",
            ),
            (
                "yes | 1",
                "yard | 1",
                "put back at Relay panel X3:9 here, and at yard as left",
            ),
            (
                "yes | -",
                "yard | -",
                "put back at Relay panel X3:9 here, and at yard as left",
            ),
            ("yes | 1", "relay | 1", ""),
            ("no | -", "yard | -", ""),
        ] {
            let lifted = format!(
                "[single-earth]\n{HEAD}\n1S | Relay panel X3:9 | 500 | 60 | 52 | {row}\n\n"
            );
            let left = format!("[restored]\ncore | earth | earths counted\n1S | {left}\n");
            let bench = Bench::visit(&(lifted + &left));
            let review = if told.is_empty() { "" } else { "review" };
            assert_eq!(bench.told("earths-differ"), review, "{row} {left}");
            if !told.is_empty() {
                bench.holds("earths-differ", &[told]);
            }
        }
        let off = |row: &str| of(&format!("500 | 60 | 52 | {row}"));
        off("no | -").holds("circuit-earths", &["left without one"]);
        off("no | 2").holds("circuit-earths", &["not put back, beside 2 earths counted"]);
        assert_eq!(off("no | 2").told("circuit-earths"), "fails");
    }

    /// With a client who asks for 1 Mohm.
    fn limited(row: &str) -> Bench {
        let criteria = Criteria {
            circuit_insulation: Some(1e6),
            ..Criteria::default()
        };
        Bench::by(criteria, &visit(PLATE, &section(row)))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        /// More resistance to earth is never worse, and without the earth put back it is never good.
        #[test]
        fn a_circuit_gets_no_worse_by_more_insulation(exponent in -6.0f64..3.0, times in 1.0f64..1e4) {
            let less = libm::pow(10.0, exponent);
            let row = |mohm: f64, back: &str| format!("500 | 60 | {mohm:.8} | {back} | 1");
            for bench in [of, limited] {
                let grade = |mohm: f64| bench(&row(mohm, "yes")).one("single-earth").grade();
                // Information and a pass are as good.
                let weight = |mohm: f64| grade(mohm).max(Grade::Pass);
                prop_assert!(weight(less) >= weight(less * times), "{less} {times}");
                let left = bench(&row(less, "-")).one("single-earth").grade();
                prop_assert!(left >= Grade::Open, "{less}");
            }
        }
    }

    #[test]
    fn the_clients_least_is_held() {
        table(
            "single-earth",
            limited,
            &[
                ("500 | 60 | 52 | yes | 1", "pass"),
                ("500 | 60 | >200 | yes | 1", "pass"),
                ("500 | 60 | 0.4 | yes | 1", "fail"),
                ("500 | 60 | <0.5 | yes | 1", "not met"),
                (
                    "500 | 60 | >0.5 | yes | 1",
                    "not shown: needs a reading, not a bound",
                ),
                // Good insulation of a circuit without its earth shows nothing.
                (
                    "500 | 60 | 52 | - | 1",
                    "not shown: needs that the earth was put back",
                ),
            ],
        );
    }

    #[test]
    fn an_earth_that_stayed_off_is_told_of_the_circuit_as_left() {
        table(
            "circuit-earths",
            of,
            &[
                ("500 | 60 | 52 | no | -", "fails"),
                ("500 | 60 | 52 | yes | 1", ""),
                ("500 | 60 | 52 | - | -", ""),
            ],
        );
        of("500 | 60 | 52 | no | -").holds(
            "circuit-earths",
            &["lifted at panel, and not put back", "keep it shorted"],
        );
    }

    #[test]
    fn more_voltage_than_relays_stand_is_for_review() {
        table(
            "circuit-voltage",
            of,
            &[
                ("500 | 60 | 52 | yes | 1", ""),
                ("1000 | 60 | 52 | yes | 1", "review"),
                ("2500 | 60 | - | yes | -", "review"),
            ],
        );
        let out = |answer: &str| {
            let row = format!(
                "core | voltage/V | resistance/Mohm | relays out | put back\n1S | 1000 | 52 | {answer} | yes\n"
            );
            Bench::visit(&format!("[single-earth]\n{row}")).told("circuit-voltage")
        };
        assert_eq!((out("yes").as_str(), out("no").as_str()), ("", "review"));
    }

    #[test]
    fn what_is_told_twice_must_agree() {
        let both = |rows: &str| {
            let (row, left) = rows.split_once(" // ").unwrap();
            let left = format!("[restored]\ncore | earth | earths counted\n1S | {left}\n");
            Bench::visit(&(section(row) + "\n" + &left))
        };
        table(
            "earths-differ",
            both,
            &[
                ("500 | 60 | 52 | yes | 1 // panel | 1", ""),
                ("500 | 60 | 52 | yes | 1 // panel | 2", "review"),
                ("500 | 60 | 52 | yes | 2 // panel | 1", "review"),
                ("500 | 60 | 52 | yes | 1 // broken | -", "review"),
                ("500 | 60 | 52 | no | - // panel | 1", "review"),
                ("500 | 60 | 52 | no | - // none | -", ""),
                ("500 | 60 | 52 | yes | - // panel | 1", ""),
            ],
        );
        let one = both("500 | 60 | 52 | yes | 2 // panel | 1");
        one.holds(
            "earths-differ",
            &["2 earths counted here, and one earth counted as left"],
        );
        assert_eq!(one.one("earths-differ").points_at.len(), 2);
    }
}
