//! Doubt travels: a finding that puts a core's curve, ratio or connection in doubt withholds every
//! verdict that rests on it, the transformer's and the circuit's. What is only a matter of the way of
//! measuring withholds a failure as well: it asks for the test again and fails no transformer.

use super::assess::VisitAssessment;
use super::condition::Condition;
use super::doubts::{
    BESIDE, BY_CIRCUIT, BY_CONNECTION, BY_CURVE, DOUBTS, Doubt, Explains, Lasts, OF_ONE_PAIR, Reach,
};
use super::finding::{Because, Behind, Finding, Resting, Verdict};
use super::rules::{self, Rule};
use crate::document::{Grade, say};
use crate::judge::decision::Word;

/// Withholds what rests on a doubt among the findings of a visit, or on one of an earlier visit that
/// still stands.
pub fn travel(findings: &mut [Finding], earlier: &[(usize, Finding)]) {
    let earlier = earlier.iter().map(|(visit, one)| (Some(*visit), one));
    let own = findings.iter().map(|one| (None, one));
    let doubts = earlier.chain(own).filter(|(_, one)| is_doubt(one));
    let mut all: Vec<(Option<usize>, Finding)> =
        doubts.map(|(visit, one)| (visit, one.clone())).collect();
    // The first one is told.
    all.sort_by_key(|(_, one)| order(one));
    let good: Vec<Finding> = findings
        .iter()
        .filter(|one| is_good_check(one))
        .cloned()
        .collect();
    for (visit, doubter) in &all {
        let of_day = |one: &Finding| match visit {
            Some(visit) => outlives_its_day(doubter) || one.rests_on == Some(*visit),
            None => true,
        };
        for finding in findings.iter_mut() {
            let checked = good
                .iter()
                .any(|check| is_checked(check, doubter, visit.is_none(), finding));
            if touches(doubter, finding) && of_day(finding) && !checked {
                withhold(finding, doubter);
            }
        }
    }
}

/// What a finding puts in doubt, if it is a doubt, and its place among the doubts.
fn doubt(finding: &Finding) -> Option<(usize, &'static Doubt)> {
    let is_one =
        |(_, doubt): &(usize, &Doubt)| finding.rule == doubt.of && finding.grade() >= doubt.from;
    DOUBTS.iter().enumerate().find(is_one)
}

/// What rests on what a finding puts in doubt.
fn withholds(finding: &Finding, doubt: &Doubt) -> Resting {
    let narrower = finding.because.as_ref().and_then(|because| because.of);
    narrower.unwrap_or(doubt.withholds)
}

/// Its place among the doubts.
fn order(finding: &Finding) -> Option<usize> {
    doubt(finding).map(|(order, _)| order)
}

/// Whether a finding puts others in doubt.
pub fn is_doubt(finding: &Finding) -> bool {
    doubt(finding).is_some()
}

/// What puts a core's excitation curve in doubt of the visit that read it: of several doubts the one that is
/// told of what rests on the curve; and whether any lies in how that day's readings were taken alone.
pub fn doubt_of_curve(visit: &VisitAssessment, core: usize) -> Option<(&Finding, bool)> {
    let of_curve = |one: &&Finding| {
        let is_one = |(_, doubt): (usize, &Doubt)| {
            let reaches = doubt.reach == Reach::Unit || one.core == Some(core);
            reaches && withholds(one, doubt).contains(&BY_CURVE)
        };
        doubt(one).is_some_and(is_one)
    };
    let all = visit.inherited.iter().chain(&visit.findings);
    let all = all.filter(of_curve);
    let of_day = all.clone().any(|one| !outlives_its_day(one));
    let first = all.min_by_key(|one| order(one))?;
    Some((first, of_day))
}

fn is_good_check(finding: &Finding) -> bool {
    finding.rule == &rules::self_check::SELF_CHECK && finding.grade() == Grade::Pass
}

/// Whether the instrument was found good again before a test was made.
fn is_checked(check: &Finding, doubter: &Finding, same_visit: bool, finding: &Finding) -> bool {
    let same = doubter.rule == check.rule && doubter.conditions == check.conditions;
    let again = !same_visit || doubter.section < check.section;
    same && again && check.section < finding.section
}

/// Whether it is a doubt that later visits inherit while nothing answers it.
pub(super) fn outlives_its_day(finding: &Finding) -> bool {
    doubt(finding).is_some_and(|(_, doubt)| doubt.lasts != Lasts::Day)
}

/// Whether it is a doubt about the thing itself, so that what was shown earlier rests on it as well.
pub(super) fn is_of_the_thing(finding: &Finding) -> bool {
    doubt(finding).is_some_and(|(_, doubt)| doubt.lasts == Lasts::Thing)
}

/// Whether what a doubt withheld stands again when it is answered.
pub(super) fn gives_back(rule: &Rule) -> bool {
    [
        &rules::excitation::SHORTED_TURN_SUSPECTED,
        &rules::polarity::POLARITY,
        &rules::polarity::POLARITY_CONTRADICTION,
    ]
    .contains(&rule)
}

/// Whether a finding lies within the reach of a doubt.
pub(super) fn reaches(doubter: &Finding, finding: &Finding) -> bool {
    doubt(doubter).is_some_and(|(_, doubt)| match doubt.reach {
        Reach::Unit => !is_of_two(doubter) || is_of_its_cores(doubter, finding),
        // One heading over the circuits of several cores is no core's.
        Reach::Core => {
            let of_all = doubter.core.is_none() && doubt.withholds.contains(&BY_CIRCUIT);
            finding.core == doubter.core || of_all
        }
        Reach::Winding => {
            let of_its_pair = match is_of_two(doubter) {
                true => rests_on(doubter, finding),
                false => doubter.pair.is_none() || finding.pair == doubter.pair,
            };
            // A curve is that of its core, whatever pair is held against it.
            let of_curve = doubt.withholds.contains(&BY_CURVE);
            let own = of_curve || !OF_ONE_PAIR.contains(&finding.rule) || of_its_pair;
            let of_two_cores = is_of_two(doubter) && doubter.core.is_none();
            own && (finding.core == doubter.core
                || of_two_cores && is_of_its_cores(doubter, finding))
        }
        Reach::Rows => {
            let class = finding.rule == &rules::ratio::CLASS_SHOWN;
            class && finding.pair == doubter.pair || rests_on(doubter, finding)
        }
        Reach::Pair => finding.pair == doubter.pair,
        Reach::Section => doubter.section.is_some() && finding.section == doubter.section,
        Reach::Instrument => {
            // One that is not named may be the same.
            let either = doubter.instrument.is_none() || finding.instrument.is_none();
            either || finding.instrument == doubter.instrument
        }
    })
}

/// Whether it is a doubt of two things that were taken for each other, which may be of two cores.
fn is_of_two(doubter: &Finding) -> bool {
    [
        &rules::resistance::RESISTANCE_ROWS_EXCHANGED,
        &rules::ratio::RATIO_ROWS_EXCHANGED,
        &rules::excitation::CURVES_EXCHANGED,
        &rules::burden::CIRCUIT_ROWS_EXCHANGED,
        &rules::inspection::CORES_EXCHANGED,
    ]
    .contains(&doubter.rule)
}

/// Whether a finding is of a core whose readings a cause explains; a third core is as it was.
fn is_of_its_cores(cause: &Finding, finding: &Finding) -> bool {
    let behind = cause.because.as_ref().map(|because| &because.behind);
    let behind = behind.filter(|behind| !behind.is_empty());
    let mut pairs = behind.into_iter().flatten();
    behind.is_none()
        || finding
            .core
            .is_none_or(|core| pairs.any(|one| one.pair.core == core))
}

/// Whether two findings point at the same reading.
fn rests_on(doubter: &Finding, finding: &Finding) -> bool {
    let mut both = finding.points_at.iter();
    both.any(|at| doubter.points_at.contains(at))
}

/// Whether a finding rests on what another one doubts.
pub(super) fn touches(doubter: &Finding, finding: &Finding) -> bool {
    let rests = doubt(doubter).is_some_and(|(_, doubt)| {
        let mut all = withholds(doubter, doubt).iter();
        all.any(|all| all.contains(&finding.rule))
    });
    rests
        && !finding.is_by_primary_current()
        && !is_of_another_input(doubter, finding)
        && reaches(doubter, finding)
}

/// Whether two polarities are of two inputs of a summation CT: one says nothing of the other.
fn is_of_another_input(doubter: &Finding, finding: &Finding) -> bool {
    let polarities = [
        &rules::polarity::POLARITY,
        &rules::polarity::POLARITY_CONTRADICTION,
    ];
    let both = [doubter, finding].map(|one| {
        let mut all = one.conditions.iter();
        let of_input = all.find(|one| matches!(one, Condition::Item(_)));
        of_input.filter(|_| polarities.contains(&one.rule))
    });
    matches!(both, [Some(one), Some(other)] if one != other)
}

/// Withholds the verdict of a finding that a doubt touches; a failure only where the doubt explains it.
pub(super) fn withhold(finding: &mut Finding, doubter: &Finding) {
    let touched = match finding.verdict {
        Verdict::Word(Word::Pass | Word::ConditionalPass | Word::ConditionalFail)
        | Verdict::NoLimit
        | Verdict::Observed(Grade::Info | Grade::Pass) => true,
        Verdict::Word(Word::Fail) | Verdict::NotMet => explains(doubter, finding),
        Verdict::Observed(_) => BESIDE.contains(&finding.rule) && explains(doubter, finding),
        Verdict::NotShown(_) | Verdict::NotDecided(_) | Verdict::NotJudged(_) => false,
    };
    if touched {
        withhold_by(finding, doubter);
    }
}

/// Withholds a verdict, whatever it is.
pub(super) fn withhold_by(finding: &mut Finding, doubter: &Finding) {
    let why = match BY_CONNECTION.contains(&finding.rule) && breaks_connection(doubter) {
        true => ", so that the circuit may not be connected as marked",
        false => "",
    };
    let doubted = Verdict::NotJudged(say!("in doubt: {}{}", doubter.rule.title, why));
    let own = std::mem::replace(&mut finding.verdict, doubted);
    finding.withheld = Some((Box::new(own), doubter.rule));
    finding.next = doubter.action();
    finding.points_at.extend(doubter.points_at.first());
}

/// Whether a doubt is one of the connection alone: what the core can do stands beside what its circuit gets.
fn breaks_connection(doubter: &Finding) -> bool {
    [
        &rules::polarity::POLARITY,
        &rules::polarity::POLARITY_CONTRADICTION,
        &rules::polarity::LEADS_FROM_THE_OTHER_END,
    ]
    .contains(&doubter.rule)
}

/// Whether a cause explains the readings that a failure rests on, as far as it says which ones it explains.
fn accounts_for((doubt, cause): (&Doubt, &Because), finding: &Finding) -> bool {
    // Of a table of errors each row is told by itself.
    if matches!(doubt.reach, Reach::Rows | Reach::Pair) {
        return finding.explained == Some(cause.number);
    }
    // A plate is that of all pairs of its core.
    let of_plate = doubt.of == &rules::inspection::PLATE_VALUE;
    let of_curves = doubt.withholds.contains(&BY_CURVE);
    let of_pair = match finding.rule {
        rule if of_plate || rule == &rules::ratio::VOLTS_PER_TURN => false,
        rule if rule == &rules::resistance::WINDING_RESISTANCE => true,
        // Its correction rests on the curve of the core.
        rule if rule == &rules::ratio::TURNS_RATIO => !of_curves,
        rule => of_curves && BY_CURVE.contains(&rule),
    };
    let own = finding.pair.filter(|_| of_pair);
    let reads = |one: &Behind| match own {
        Some(own) => own.ascending() == one.pair && is_enough(one, finding),
        None => finding.core == Some(one.pair.core),
    };
    let explains = finding.explained == Some(cause.number) && own.is_none();
    explains || cause.behind.is_empty() || cause.behind.iter().any(reads)
}

/// Whether a resistance that is beyond its limit is within it without what a cause adds.
fn is_enough(one: &Behind, finding: &Finding) -> bool {
    if finding.rule != &rules::resistance::WINDING_RESISTANCE {
        return true;
    }
    let upper = finding.against.as_ref().and_then(|it| it.requirement.upper);
    let both = finding.value().zip(upper);
    both.is_none_or(|(value, upper)| libm::log(value.si / upper) <= one.resistance)
}

/// Whether a doubt explains a failure: a cause, one that rests on readings that it explains; an instrument's
/// deviation, one that is no greater than it.
fn explains(doubter: &Finding, finding: &Finding) -> bool {
    let of_kind = doubt(doubter).is_some_and(|(_, doubt)| match doubt.explains {
        Explains::None => false,
        Explains::WhatItMarks => doubter.explains(finding),
        Explains::All => {
            let mut causes = doubter.because.iter();
            causes.all(|cause| accounts_for((doubt, cause), finding))
        }
    });
    if doubter.rule != &rules::self_check::SELF_CHECK {
        return of_kind;
    }
    let upper = finding
        .against
        .as_ref()
        .and_then(|against| against.requirement.upper);
    let excess = finding
        .known()
        .zip(upper)
        .map(|(value, upper)| value.si.abs() - upper);
    let deviation = doubter.known().map(|value| value.si.abs());
    let both = finding.unit == doubter.unit;
    of_kind
        && both
        && excess
            .zip(deviation)
            .is_some_and(|(excess, deviation)| excess <= deviation)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::unit;
    use crate::trade::Pair;

    fn of(rule: &'static Rule) -> Finding {
        Finding::without(rule, unit::ONE)
    }

    fn doubter(rule: &'static Rule, grade: Grade) -> Finding {
        of(rule).verdict(Verdict::Observed(grade))
    }

    fn pair(core: usize, to: u8) -> Pair {
        Pair { core, from: 0, to }
    }

    #[test]
    fn a_doubt_of_a_section_reaches_what_was_read_there() {
        let at = |section: Option<usize>| Finding {
            section,
            ..doubter(&rules::inspection::COPIED_TABLE, Grade::Review)
        };
        let knee = |section: Option<usize>| Finding {
            section,
            ..of(&rules::protection::KNEE_EMF)
        };
        assert!(reaches(&at(Some(1)), &knee(Some(1))));
        for (doubt, read) in [
            (Some(1), Some(2)),
            (Some(1), None),
            (None, Some(1)),
            (None, None),
        ] {
            assert!(!reaches(&at(doubt), &knee(read)), "{doubt:?} {read:?}");
        }
    }

    #[test]
    fn a_doubt_of_rows_reaches_the_class_that_they_show() {
        let slip = Finding {
            pair: Some(pair(0, 1)),
            ..doubter(&rules::ratio::ERROR_SLIP, Grade::Review)
        };
        let shown = |rule: &'static Rule, to: u8| Finding {
            pair: Some(pair(0, to)),
            ..of(rule)
        };
        assert!(reaches(&slip, &shown(&rules::ratio::CLASS_SHOWN, 1)));
        assert!(!reaches(&slip, &shown(&rules::ratio::CLASS_SHOWN, 2)));
        assert!(
            !reaches(&slip, &shown(&rules::ratio::RATIO_ERROR, 1)),
            "another row"
        );
    }

    #[test]
    fn a_doubt_of_a_pair_or_an_instrument_reaches_its_own() {
        let exchanged = Finding {
            pair: Some(pair(0, 1)),
            ..doubter(&rules::ratio::BURDENS_EXCHANGED, Grade::Review)
        };
        let read = |to: u8| Finding {
            pair: Some(pair(0, to)),
            ..of(&rules::ratio::RATIO_ERROR)
        };
        assert!(reaches(&exchanged, &read(1)) && !reaches(&exchanged, &read(2)));
        let by = |name: Option<&str>, finding: Finding| Finding {
            instrument: name.map(str::to_owned),
            ..finding
        };
        let off = |name| by(name, doubter(&rules::self_check::SELF_CHECK, Grade::Fails));
        let ratio = |name| by(name, of(&rules::ratio::RATIO_ERROR));
        for (check, test, reached) in [
            (Some("A"), Some("A"), true),
            (Some("A"), Some("B"), false),
            (Some("A"), None, true),
            (None, Some("B"), true),
        ] {
            assert_eq!(
                reaches(&off(check), &ratio(test)),
                reached,
                "{check:?} {test:?}"
            );
        }
        // What is only for review is no doubt yet.
        let near = by(
            Some("A"),
            doubter(&rules::self_check::SELF_CHECK, Grade::Review),
        );
        assert!(!reaches(&near, &ratio(Some("A"))));
    }

    /// A failure that bears the number of a cause is explained by it, wherever it was read; another one only where
    /// the cause says what it reads.
    #[test]
    fn a_cause_accounts_for_what_bears_its_number() {
        let rule = &rules::resistance::TEMPERATURE_WRONG;
        let (_, doubt) = doubt(&doubter(rule, Grade::Review)).expect("a doubt");
        let behind = |pair: Pair| Behind {
            pair,
            resistance: 0.0,
        };
        let cause = Because {
            gain: 5.0,
            next: None,
            speaks_for: Vec::new(),
            speaks_against: Vec::new(),
            decide: None,
            number: 3,
            behind: vec![behind(pair(1, 1))],
            of: None,
        };
        let factor = |core: usize, explained: Option<usize>| Finding {
            core: Some(core),
            explained,
            ..of(&rules::protection::ACTUAL_FACTOR)
        };
        for (core, explained, accounted) in [
            (0, Some(3), true),
            (0, Some(4), false),
            (0, None, false),
            (1, None, true),
        ] {
            let finding = factor(core, explained);
            let found = accounts_for((doubt, &cause), &finding);
            assert_eq!(found, accounted, "{core} {explained:?}");
        }
    }
}
