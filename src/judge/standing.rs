//! Which findings still stand when a later visit has been there. A later proof replaces an earlier one
//! that it reaches as far as; what it changed withholds what had rested on it. Nothing that was bad goes
//! by a test that cannot say.

use super::assess::{Assessment, VisitAssessment};
use super::condition::Condition;
use super::finding::{Finding, Verdict};
use super::rules;
use super::travel::{self, BY_RESISTANCE};
use crate::derive::workings::{Value, Workings};
use crate::document::{Grade, Phrase, say};
use crate::record::Record;
use crate::record::kinds::TestKind;
use crate::record::kinds::burden::Path;
use std::borrow::Cow;
use std::ops::Deref;

/// A finding that stands, with the visit that made it.
#[derive(Clone, Debug)]
pub struct Told<'a> {
    pub visit: usize,
    finding: Cow<'a, Finding>,
}

impl Deref for Told<'_> {
    type Target = Finding;

    fn deref(&self) -> &Finding {
        &self.finding
    }
}

/// The findings of some visits, oldest first, that still stand after the last of them.
pub fn standing<'a>(
    record: &Record,
    assessment: &'a Assessment,
    visits: &[usize],
) -> Vec<Told<'a>> {
    let mut kept: Vec<Told<'a>> = Vec::new();
    for visit in visits {
        let Some(assessed) = assessment.visits.get(*visit) else {
            continue;
        };
        kept.retain(|old| !is_answered(old, &assessed.findings));
        let new = assessed.findings.iter();
        let new = new.filter(|new| !kept.iter().any(|old| says_less(new, old)));
        let new: Vec<Told<'a>> = new.map(|finding| Told::new(*visit, finding)).collect();
        for old in &mut kept {
            let against =
                outdated(assessment, old, assessed).or_else(|| opened_again(record, old, *visit));
            if let Some(why) = against {
                old.finding.to_mut().verdict = Verdict::NotJudged(why);
            }
        }
        kept.extend(new);
    }
    let doubters: Vec<Told<'a>> = kept
        .iter()
        .filter(|one| travel::is_of_the_thing(one))
        .cloned()
        .collect();
    for doubter in doubters {
        for old in kept.iter_mut().filter(|one| one.visit < doubter.visit) {
            if travel::touches(&doubter, old) {
                travel::withhold(old.finding.to_mut(), &doubter);
            }
        }
    }
    kept
}

impl<'a> Told<'a> {
    fn new(visit: usize, finding: &'a Finding) -> Self {
        let finding = Cow::Borrowed(finding);
        Self { visit, finding }
    }
}

/// What a finding weighs against another one of the same thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Weight {
    /// Fails, or is for review.
    Bad(Grade),
    Good,
    /// It was tested, and nothing may be said by it.
    Doubtful,
    /// It says nothing for or against.
    Silent,
}

fn weight(finding: &Finding) -> Weight {
    match (&finding.verdict, finding.grade()) {
        (_, grade @ (Grade::Fails | Grade::Review)) => Weight::Bad(grade),
        (Verdict::Word(_) | Verdict::Observed(Grade::Info | Grade::Pass), _) => Weight::Good,
        (Verdict::NotShown(_) | Verdict::NoLimit, _) => Weight::Silent,
        _ => Weight::Doubtful,
    }
}

/// Whether a later visit's findings replace an earlier one.
pub(super) fn is_answered(old: &Finding, later: &[Finding]) -> bool {
    later
        .iter()
        .any(|new| is_same_thing(new, old) && replaces(new, old))
        || is_repeated(old, later)
}

/// Whether a finding of the same thing takes an earlier one's place.
fn replaces(new: &Finding, old: &Finding) -> bool {
    match (weight(new), weight(old)) {
        (Weight::Bad(Grade::Fails), _) => true,
        (Weight::Bad(_), old) => old != Weight::Bad(Grade::Fails),
        (Weight::Good, Weight::Bad(_) | Weight::Good) => reaches(new, old),
        (Weight::Good, Weight::Doubtful | Weight::Silent) => true,
        // A value without a limit is a value; what shows nothing answers no failure.
        (Weight::Doubtful, old) => !matches!(old, Weight::Bad(_)),
        (Weight::Silent, old) => matches!(old, Weight::Silent | Weight::Doubtful),
    }
}

/// Whether it adds nothing to an earlier one of the same thing that said more.
fn says_less(new: &Finding, old: &Finding) -> bool {
    is_same_thing(new, old) && weight(new) == Weight::Silent && weight(old) == Weight::Good
}

/// Whether two speak of the same thing, by whatever method: rule, core, pair, and what was tested.
fn is_same_thing(new: &Finding, old: &Finding) -> bool {
    let placed = (new.pair, new.core) == (old.pair, old.core);
    placed && new.rule == old.rule && new.shares(old, |rule, one| one.names_the_thing(rule))
}

/// Whether it was tested as hard: no lower voltage, for no shorter time.
fn reaches(new: &Finding, old: &Finding) -> bool {
    let least = |finding: &Finding, of: fn(&Condition) -> Option<f64>| {
        finding.conditions.iter().find_map(of)
    };
    let volt: fn(&Condition) -> Option<f64> = |one| match one {
        Condition::Voltage(volt) => Some(*volt),
        _ => None,
    };
    let second: fn(&Condition) -> Option<f64> = |one| match one {
        Condition::HeldFor(second) => Some(*second),
        _ => None,
    };
    [volt, second].into_iter().all(|of| {
        let Some(asked) = least(old, of) else {
            return true;
        };
        least(new, of).is_some_and(|given| given >= asked * (1.0 - 1e-9))
    })
}

/// Kinds of test whose observations speak of a run of readings: the run taken again speaks for itself.
const BY_RUN: &[TestKind] = &[
    TestKind::Resistance,
    TestKind::Demagnetisation,
    TestKind::Excitation,
    TestKind::Ratio,
];

/// Whether an observation speaks of a run that was taken again, as far as a value.
fn is_repeated(old: &Finding, later: &[Finding]) -> bool {
    let observed = matches!(old.verdict, Verdict::Observed(_)) && BY_RUN.contains(&old.rule.kind);
    let again = |new: &Finding| {
        let placed = new.core == old.core && (old.pair.is_none() || new.pair == old.pair);
        let read = new.known().is_some() && !matches!(new.verdict, Verdict::NotJudged(_));
        placed && read && new.rule.kind == old.rule.kind && new.rule.whose != rules::Whose::Circuit
    };
    observed && later.iter().any(again)
}

/// Why a verdict no longer holds: what it was worked out with was measured anew, and is another value.
fn outdated(assessment: &Assessment, old: &Told<'_>, later: &VisitAssessment) -> Option<Phrase> {
    let earlier = assessment.visits.get(old.visit)?;
    let w = &assessment.workings;
    let again =
        |title: &'static str| say!("the {} was measured again since, and is another", title);
    if weight(old) != Weight::Good {
        None
    } else if is_other_resistance(w, old, earlier, later) {
        Some(again(rules::resistance::WINDING_RESISTANCE.title))
    } else if is_greater_burden(w, old, earlier, later) {
        Some(again(rules::burden::CIRCUIT_BURDEN.title))
    } else {
        None
    }
}

fn is_other_resistance(
    w: &Workings,
    old: &Finding,
    earlier: &VisitAssessment,
    later: &VisitAssessment,
) -> bool {
    let rule = &rules::resistance::WINDING_RESISTANCE;
    let is_one = |one: &&Finding| one.rule == rule && one.core == old.core;
    let agrees = |new: &Finding| {
        let same = earlier.findings.iter().filter(is_one);
        let mut same = same.filter(|one| is_same_thing(new, one));
        same.any(|one| is_within(w, new.known(), one.known()))
    };
    let mut new = later.findings.iter().filter(is_one);
    BY_RESISTANCE.contains(&old.rule) && old.rule != rule && new.any(|new| !agrees(new))
}

fn is_greater_burden(
    w: &Workings,
    old: &Finding,
    earlier: &VisitAssessment,
    later: &VisitAssessment,
) -> bool {
    let mut served = earlier.derived.duty.iter();
    let served = served.find(|served| Some(served.pair.core) == old.core);
    let Some(load) = served.and_then(|served| served.load) else {
        return false;
    };
    // A required knee was worked out for the burden that the duty states.
    let basis = if old.rule == &rules::duty::REQUIRED_KNEE {
        load.stated.unwrap_or(load.impedance.z)
    } else if old.rule == &rules::duty::REQUIRED_FACTOR {
        load.impedance.z
    } else {
        return false;
    };
    later.derived.burden.iter().any(|one| {
        let speaks = !matches!(one.path, Some(Path::PhasePhase | Path::PhaseEarth));
        let own = speaks && Some(one.pair.core) == old.core;
        own && one.z.si > basis.si && !is_within(w, Some(one.z), Some(basis))
    })
}

/// Whether two values are the same within what is known of their uncertainty, with a factor of 2.
fn is_within(w: &Workings, a: Option<Value>, b: Option<Value>) -> bool {
    let Some((a, b)) = a.zip(b) else {
        return false;
    };
    let u = w.uncertainty(a).u.hypot(w.uncertainty(b).u);
    (a.si - b.si).abs() <= 2.0 * u
}

/// Why it is not known how a circuit was left: a later visit opened it again, and does not say.
fn opened_again(record: &Record, old: &Finding, visit: usize) -> Option<Phrase> {
    let as_left = [
        &rules::restored::CIRCUIT_AS_LEFT,
        &rules::restored::CIRCUIT_EARTHS,
    ];
    if weight(old) != Weight::Good || !as_left.contains(&old.rule) {
        return None;
    }
    let (later, core) = (record.visits.get(visit)?, old.core?);
    let opened = later.tests.iter().any(|test| test.opens(core));
    opened.then(|| say!("opened again at the visit of {}", later.name()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::decision::Word;
    use crate::judge::finding::unit;

    fn withstand(volt: f64, verdict: Verdict) -> Finding {
        Finding::without(&rules::withstand::WITHSTAND, unit::ONE)
            .under(Condition::Voltage(volt))
            .under(Condition::HeldFor(60.0))
            .verdict(verdict)
    }

    /// Whether the later of two withstand tests takes the earlier one's place.
    #[test]
    fn only_a_proof_that_reaches_as_far_answers_a_failure() {
        let fail = || Verdict::Word(Word::Fail);
        let pass = || Verdict::Word(Word::Pass);
        let review = || Verdict::Observed(Grade::Review);
        let shows_nothing = || Verdict::NotShown("60 s".into());
        let doubtful = || Verdict::NotJudged("a line is not understood".into());
        for (old, new, answered) in [
            ((3000.0, fail()), (3000.0, pass()), true),
            ((3000.0, fail()), (2400.0, pass()), false),
            ((3000.0, fail()), (3000.0, shows_nothing()), false),
            ((3000.0, fail()), (3000.0, doubtful()), false),
            ((3000.0, fail()), (3000.0, review()), false),
            ((3000.0, fail()), (2400.0, fail()), true),
            ((3000.0, review()), (3000.0, fail()), true),
            ((3000.0, pass()), (2400.0, pass()), false),
            ((3000.0, pass()), (2400.0, fail()), true),
            ((3000.0, pass()), (2400.0, doubtful()), true),
            ((3000.0, pass()), (3000.0, shows_nothing()), false),
        ] {
            let [old, new] = [old, new].map(|(volt, verdict)| withstand(volt, verdict));
            let later = std::slice::from_ref(&new);
            assert_eq!(is_answered(&old, later), answered, "{old:?} {new:?}");
        }
    }

    #[test]
    fn another_pair_of_windings_answers_nothing() {
        let between = |name: &str, verdict| {
            let finding = withstand(3000.0, verdict);
            finding.under(Condition::Between(name.to_owned()))
        };
        let old = between("primary to earth", Verdict::Word(Word::Fail));
        for (name, answered) in [("primary to S", false), ("primary to earth", true)] {
            let new = between(name, Verdict::Word(Word::Pass));
            assert_eq!(is_answered(&old, &[new]), answered, "{name}");
        }
    }
}
