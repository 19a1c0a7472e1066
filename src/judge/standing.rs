//! Which findings still stand when a later test has been there. A later proof replaces an earlier one
//! that it reaches as far as, and a later finding that is bad any. Nothing that was bad goes by a test
//! that cannot say.

use super::assess::{Assessment, VisitAssessment};
use super::condition::Condition;
use super::finding::{Finding, Unit, Verdict};
use super::rules;
use super::travel;
use super::words;
use crate::derive::kinds::Derived;
use crate::derive::kinds::excitation::Excited;
use crate::derive::knee::Knee;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Given;
use crate::record::Record;
use crate::record::kinds::restored::CoreRestored;
use crate::record::kinds::{Test, TestKind};
use crate::record::occasion::are_together;
use crate::record::taken;
use crate::record::value::YesNo;
use crate::record::visit::Visit;
use crate::trade::Item;
use crate::trade::between::between;
use std::ops::Deref;
use std::sync::Arc;

/// A finding that stands, with the visit that made it.
#[derive(Clone, Debug)]
pub struct Told<'a> {
    pub visit: usize,
    made: &'a Finding,
    /// What became of it since.
    now: Option<Arc<Finding>>,
}

impl Deref for Told<'_> {
    type Target = Finding;

    fn deref(&self) -> &Finding {
        self.now.as_deref().unwrap_or(self.made)
    }
}

impl Told<'_> {
    /// The finding to be changed: from here on it is a copy of the one that was made.
    fn change(&mut self) -> &mut Finding {
        let now = self.now.get_or_insert_with(|| Arc::new(self.made.clone()));
        Arc::make_mut(now)
    }

    /// The same, its value and its limit told in another unit.
    #[must_use]
    pub fn shown_in(&self, unit: Unit) -> Self {
        let mut told = self.clone();
        told.change().unit = unit;
        told
    }
}

/// The findings of some visits, oldest first, that still stand after the last of them.
pub fn standing<'a>(
    record: &Record,
    assessment: &'a Assessment,
    visits: &[usize],
) -> Vec<Told<'a>> {
    let mut kept: Vec<Told<'a>> = Vec::new();
    for index in visits {
        let of = assessment.visits.get(*index).zip(record.visits.get(*index));
        let Some((assessed, visit)) = of else {
            continue;
        };
        for batch in by_turn(visit, &assessed.findings) {
            let later = Later {
                visits: &assessment.visits,
                derived: &assessed.derived,
                record,
                index: *index,
                findings: &batch,
            };
            kept.retain(|old| !later.answers(old.visit, old));
            let says = |new: &&&'a Finding| {
                let more =
                    |old: &Told<'_>| says_less(new, old) && are_together(record, old.visit, *index);
                !kept.iter().any(more)
            };
            let new: Vec<Told<'a>> = batch
                .iter()
                .filter(says)
                .map(|finding| Told {
                    visit: *index,
                    made: finding,
                    now: None,
                })
                .collect();
            kept.extend(new);
        }
        for old in &mut kept {
            if let Some(why) = opened_again(record, old, *index) {
                old.change().verdict = Verdict::NotJudged(why);
            }
            if let Some(needs) = load_is_over(record, old, *index) {
                old.change().verdict = Verdict::NotShown(needs);
            }
        }
    }
    let last = visits.last().copied();
    for (one, last) in kept.iter_mut().filter_map(|one| Some((one, last?))) {
        if let Some(since) = set_before(record, one, last) {
            let told = one.change();
            told.observed = say!("{}; {}", told.observed.clone(), since);
            told.verdict = Verdict::Observed(Grade::Review);
        }
    }
    doubted(record, &mut kept);
    kept
}

/// What has become of the ratio in service since a relay or meter was set to it, where that is another one after the
/// last visit.
fn set_before(record: &Record, old: &Told<'_>, last: usize) -> Option<Phrase> {
    let of_setting = old.rule == &rules::ratio_setting::RATIO_SETTING;
    if !of_setting || weight(old) != Weight::Good || old.visit == last {
        return None;
    }
    let core = old.core?;
    let serving = |index: usize| {
        let day = record.visits.get(index)?.date.value;
        record.overall(core, index + 1, day).ok()
    };
    let ((_, then), (pair, now)) = serving(old.visit).zip(serving(last))?;
    let secondary = record.cores.get(core)?.secondary_of(pair)?;
    let same = (then / now - 1.0).abs() < 1e-9;
    (!same).then(|| {
        let primary = Quantity::new(words::short(now * secondary), "");
        let name = Phrase::terminals(record.pair_text(pair));
        let secondary = Quantity::new(words::short(secondary), "");
        say!(
            "since then {} is in service, with {}/{}",
            name,
            primary,
            secondary
        )
    })
}

/// Findings in the turns in which their sections were worked: what was found, what has no stage, what
/// was left or tested again.
fn by_turn<'a>(visit: &Visit, findings: &'a [Finding]) -> [Vec<&'a Finding>; 3] {
    let mut turns: [Vec<&Finding>; 3] = Default::default();
    let check = &rules::self_check::SELF_CHECK;
    for (at, finding) in findings.iter().enumerate() {
        let mut behind = findings.iter().skip(at + 1);
        // An instrument is as it was found last.
        if finding.rule == check && behind.any(|later| is_same_thing(later, finding)) {
            continue;
        }
        let test = finding.section.and_then(|at| visit.tests.get(at));
        // Rows that wait to be filled in say nothing.
        let empty = finding.value().is_none() && matches!(finding.verdict, Verdict::NotJudged(_));
        if empty && test.is_some_and(|test| test.waits) {
            continue;
        }
        if let Some(turn) = turns.get_mut(test.map_or(1, Test::turn)) {
            turn.push(finding);
        }
    }
    turns
}

/// A doubt about the thing itself withholds what was shown earlier; one that is answered gives back what
/// it withheld, where that did not depend on it.
fn doubted(record: &Record, kept: &mut [Told<'_>]) {
    let doubters: Vec<Told<'_>> = kept
        .iter()
        .filter(|one| travel::is_doubt(one) || one.because.is_some())
        .cloned()
        .collect();
    for one in kept {
        let stands = |rule: &rules::Rule| {
            let mut all = doubters.iter();
            all.any(|doubter| {
                let here = doubter.core.is_none() || doubter.core == one.core;
                let of_it = doubter.because.is_some() && doubter.visit == one.visit && here;
                let reaches = of_it || travel::reaches(doubter, one);
                doubter.rule == rule && reaches
            })
        };
        if let Some((verdict, rule)) = one.withheld.clone()
            && !stands(rule)
        {
            one.change().verdict = match travel::gives_back(rule) {
                true => *verdict,
                false => Verdict::NotJudged(say!("in doubt when it was taken: {}", rule.title)),
            };
        }
        let day = |visit: usize| record.visits.get(visit).map(|visit| visit.date.value);
        let thing = |doubter: &&Told<'_>| {
            // An instrument is in doubt all day.
            let check = doubter.rule == &rules::self_check::SELF_CHECK;
            let same_day = check && day(one.visit) == day(doubter.visit);
            let earlier = one.visit < doubter.visit;
            earlier
                && (same_day || travel::is_of_the_thing(doubter))
                && travel::touches(doubter, one)
        };
        if let Some(doubter) = doubters.iter().find(thing) {
            travel::withhold(one.change(), doubter);
        }
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

/// What was found later, at a visit or in a later turn of the same.
pub(super) struct Later<'a> {
    /// The visits before it, at least.
    pub visits: &'a [VisitAssessment],
    pub derived: &'a Derived,
    pub record: &'a Record,
    /// Index of the visit.
    pub index: usize,
    pub findings: &'a [&'a Finding],
}

impl Later<'_> {
    /// Whether it takes the place of an earlier finding, of the visit `before`.
    pub fn answers(&self, before: usize, old: &Finding) -> bool {
        let by = |new: &&Finding| is_same_thing(new, old) && replaces(new, old);
        self.findings.iter().any(by) || self.repeats(before, old)
    }

    /// Whether an observation that is made only where something is wrong was looked at again.
    fn repeats(&self, before: usize, old: &Finding) -> bool {
        if !matches!(old.verdict, Verdict::Observed(_)) {
            return false;
        }
        let rule = old.rule;
        let again = || self.findings.iter().any(|new| is_same_thing(new, old));
        let has = |is: &dyn Fn(&Finding) -> bool| {
            let placed = |new: &&&Finding| {
                new.core == old.core && (old.pair.is_none() || new.pair == old.pair)
            };
            let read = |new: &&&Finding| !matches!(new.verdict, Verdict::NotJudged(_));
            let mut own = self.findings.iter().filter(placed).filter(read);
            own.any(|new| is(new))
        };
        let tap = || self.left(old.core, |row| !row.in_service.is_missing());
        if rule == &rules::state::TAP_IN_SERVICE {
            return tap() && !again() && !self.left_on_another_tap(old.core);
        }
        // Beyond what was found, a visit does not answer itself.
        if self.index == before {
            return false;
        }
        if rule == &rules::restored::TAP_AS_LEFT {
            return tap() && !again();
        }
        if rule == &rules::state::SPARE_SHORTED {
            return !again() && self.left(old.core, |row| !row.secondary.is_missing());
        }
        if rule == &rules::restored::CIRCUIT_EARTHS {
            return !again() && self.puts_earth_back(old.core);
        }
        if rule == &rules::single_earth::EARTHS_DIFFER {
            let earths = &rules::restored::CIRCUIT_EARTHS;
            let left = || has(&|new| new.rule == earths && weight(new) == Weight::Good);
            return !again() && (self.puts_earth_back(old.core) || left());
        }
        if rule == &rules::duty::DUTY_BURDEN {
            let burden = &rules::burden::CIRCUIT_BURDEN;
            return !again() && has(&|new| new.rule == burden && new.known().is_some());
        }
        match rule.kind {
            TestKind::Excitation if rule.whose != rules::Whose::Circuit => self.covers(before, old),
            TestKind::Resistance
            | TestKind::Demagnetisation
            | TestKind::Ratio
            | TestKind::Burden => has(&|new| new.rule.kind == rule.kind && new.known().is_some()),
            TestKind::Polarity => {
                let polarity = &rules::polarity::POLARITY;
                has(&|new| new.rule == polarity && weight(new) == Weight::Good)
            }
            TestKind::Insulation => old.because.is_some() && self.reads_all_again(before, old),
            _ => false,
        }
    }

    /// Whether all readings that a cause rests on were taken again, and none of them is bad.
    fn reads_all_again(&self, before: usize, cause: &Finding) -> bool {
        let all = self.visits.get(before).map(|visit| &visit.findings);
        let all = all.into_iter().flatten();
        let behind = all.filter(|one| {
            let mut places = one.points_at.iter();
            one.value().is_some() && places.any(|at| cause.points_at.contains(at))
        });
        let mut behind = behind.filter(|one| one.rule != cause.rule).peekable();
        let again = |old: &Finding| {
            let sound = |new: &&&Finding| {
                new.known().is_some() && !matches!(weight(new), Weight::Bad(_) | Weight::Doubtful)
            };
            let mut new = self.findings.iter().filter(sound);
            new.any(|new| is_same_thing(new, old) && reaches(new, old))
        };
        behind.peek().is_some() && behind.all(again)
    }

    fn left_on_another_tap(&self, core: Option<usize>) -> bool {
        let own = self.visits.get(self.index).map(|visit| &visit.findings);
        let mut all = own.into_iter().flatten();
        let rule = &rules::restored::TAP_AS_LEFT;
        all.any(|one| one.rule == rule && one.core == core && one.grade() >= Grade::Review)
    }

    /// Whether the later visit lifted the earth of a core's circuit itself, put it back and counted one.
    fn puts_earth_back(&self, core: Option<usize>) -> bool {
        let visit = self.record.visits.get(self.index).into_iter();
        let lifted = visit.flat_map(|visit| visit.of(Test::single_earth));
        let mut rows = lifted.flat_map(|(_, _, body)| &body.rows);
        rows.any(|row| {
            let back = row.put_back.value() == Some(&YesNo::Yes);
            row.core == core && back && row.earths.value() == Some(&1.0)
        })
    }

    /// Whether a row of how the later visit left a core says something.
    fn left(&self, core: Option<usize>, says: fn(&CoreRestored) -> bool) -> bool {
        let visit = self.record.visits.get(self.index).into_iter();
        let left = visit.flat_map(|visit| visit.of(Test::restored));
        let mut left = left.flat_map(|(_, _, restored)| &restored.cores);
        left.any(|row| row.core == core && says(row))
    }

    /// Whether the curves that were taken again on the old finding's pair, or on all that its visit took,
    /// begin as low and reach as far.
    fn covers(&self, before: usize, old: &Finding) -> bool {
        let concerns = |excited: &&Excited| {
            let core = old.core.is_none_or(|core| excited.pair.core == core);
            core && old.pair.is_none_or(|pair| excited.pair == pair.ascending())
        };
        let old = self
            .visits
            .get(before)
            .map(|visit| &visit.derived.excitation);
        let mut old = old.into_iter().flatten().filter(concerns).peekable();
        let new = &self.derived.excitation;
        old.peek().is_some()
            && old.all(|old| {
                let same = |new: &&Excited| new.pair == old.pair && !new.with_burden;
                let mut same = new.iter().filter(same);
                same.any(|new| is_as_wide(new, old))
            })
    }
}

/// How near the ends of two curves have to be, since nobody sets a source to the same volt twice. Own
/// convention, no source.
const AS_FAR: f64 = 0.95;
const AS_LOW: f64 = 1.1;

/// How much of the current that a reading failed at has to be there again, fed by a source or driven by the network.
/// Own convention, no source.
const AS_MUCH_FED: f64 = 0.9;
const AS_MUCH_LOAD: f64 = 0.5;

/// Whether a curve begins no higher than another one, nearly, and reaches its knee or as far.
fn is_as_wide(new: &Excited, old: &Excited) -> bool {
    let Some(new_curve) = &new.curve else {
        return false;
    };
    // Readings that made no curve reach nowhere.
    let Some(old_curve) = &old.curve else {
        return true;
    };
    let first = |curve: &crate::derive::curve::Curve| {
        curve
            .points()
            .first()
            .map_or(f64::INFINITY, |point| point.v.si)
    };
    let knee = matches!(new.iec, Knee::At(_));
    let far = knee || new_curve.last().v.si >= AS_FAR * old_curve.last().v.si;
    far && first(new_curve) <= AS_LOW * first(old_curve)
}

/// Whether a finding of the same thing takes an earlier one's place.
fn replaces(new: &Finding, old: &Finding) -> bool {
    // What was worked out anew, with other readings, is no weaker word on the old ones.
    if new.rests_on.is_some() && !matches!(weight(old), Weight::Bad(_)) {
        return true;
    }
    if matches!(weight(old), Weight::Bad(_)) && reaches(new, old) && is_within_its_limit(new, old) {
        return true;
    }
    match (weight(new), weight(old)) {
        // Of two failures the one that was tested harder is the one to answer.
        (Weight::Bad(Grade::Fails), Weight::Bad(Grade::Fails)) => reaches(new, old),
        (Weight::Bad(Grade::Fails), _) => true,
        (Weight::Bad(_), old) => old != Weight::Bad(Grade::Fails),
        (Weight::Good, Weight::Bad(_) | Weight::Good) => reaches(new, old),
        (Weight::Good, Weight::Doubtful | Weight::Silent) => true,
        (Weight::Doubtful, old) => !matches!(old, Weight::Bad(_)),
        // What shows nothing answers no failure.
        (Weight::Silent, Weight::Silent | Weight::Doubtful) => true,
        // What is told only where it is low is no longer low.
        (Weight::Silent, Weight::Bad(_)) => {
            matches!(old.verdict, Verdict::Observed(_))
                && new.known().is_some()
                && reaches(new, old)
        }
        (Weight::Silent, Weight::Good) => false,
    }
}

/// Whether a value that nothing limits is within the limit that the earlier one exceeded.
fn is_within_its_limit(new: &Finding, old: &Finding) -> bool {
    let (Some(value), Some(against), None) = (new.known(), &old.against, &new.against) else {
        return false;
    };
    // What is in doubt answers nothing.
    if !matches!(new.verdict, Verdict::NoLimit | Verdict::NotDecided(_)) {
        return false;
    }
    let size = if against.magnitude {
        value.si.abs()
    } else {
        value.si
    };
    let (lower, upper) = (against.requirement.lower, against.requirement.upper);
    lower.is_none_or(|lower| size >= lower) && upper.is_none_or(|upper| size <= upper)
}

/// Whether it adds nothing to an earlier one of the same thing that said more.
fn says_less(new: &Finding, old: &Finding) -> bool {
    let silent = weight(new) == Weight::Silent && new.rests_on.is_none();
    silent && weight(old) == Weight::Good && is_same_thing(new, old)
}

/// Whether two speak of the same thing, by whatever method: rule, core, pair, and what was tested, or
/// more of it.
fn is_same_thing(new: &Finding, old: &Finding) -> bool {
    let pair = |finding: &Finding| finding.pair.map(|pair| pair.ascending());
    let placed = (pair(new), new.core) == (pair(old), old.core);
    placed
        && new.rule == old.rule
        && new.shares(old, |rule, one| one.names_the_thing(rule))
        && is_between(new, old)
}

/// Whether the windings of one are those of the other, or more of them.
fn is_between(new: &Finding, old: &Finding) -> bool {
    let text = |finding: &Finding| {
        finding.conditions.iter().find_map(|one| match one {
            Condition::Between(text) => Some(text.clone()),
            _ => None,
        })
    };
    match (text(new), text(old)) {
        (None, None) => true,
        (Some(new), Some(old)) if new == old => true,
        (Some(new), Some(old)) => between(&new).zip(between(&old)).is_some_and(|(new, old)| {
            let has = |all: &[Item], one: &Item| {
                let others = matches!(one, Item::Core(_)) && all.contains(&Item::Cores);
                all.contains(one) || others
            };
            let same = new.from.iter().all(|one| old.from.contains(one));
            let same = same && old.from.iter().all(|one| new.from.contains(one));
            same && old.to.iter().all(|one| has(&new.to, one))
        }),
        _ => false,
    }
}

/// Whether it was tested as hard: no lower voltage, for no shorter time, at about as much current.
fn reaches(new: &Finding, old: &Finding) -> bool {
    let of = |finding: &Finding, is: fn(&Condition) -> Option<f64>| {
        finding.conditions.iter().find_map(is)
    };
    let volt: fn(&Condition) -> Option<f64> = |one| match one {
        Condition::Voltage(volt) | Condition::Peak(volt) => Some(*volt),
        _ => None,
    };
    let second: fn(&Condition) -> Option<f64> = |one| match one {
        Condition::HeldFor(second) => Some(*second),
        _ => None,
    };
    let percent: fn(&Condition) -> Option<f64> = |one| match one {
        Condition::Percent(percent) => Some(*percent),
        _ => None,
    };
    // A source gives the same current again; the load of a network is what it is.
    let nearly = match old.rule.kind {
        TestKind::Injection => AS_MUCH_FED,
        _ => AS_MUCH_LOAD,
    };
    let as_much = old
        .at_current
        .is_none_or(|asked| new.at_current.is_some_and(|given| given >= asked * nearly));
    as_much
        && [volt, second, percent].into_iter().all(|is| {
            let Some(asked) = of(old, is) else {
                return true;
            };
            of(new, is).is_some_and(|given| given >= asked * (1.0 - 1e-9))
        })
}

/// Why it is not known how a circuit was left: a later test opened it again, or a later visit found it
/// otherwise, and nothing says how it was left.
fn opened_again(record: &Record, old: &Told<'_>, index: usize) -> Option<Phrase> {
    let by_earth = old.rule == &rules::restored::CIRCUIT_EARTHS;
    let as_left = by_earth
        || old.rule == &rules::restored::CIRCUIT_AS_LEFT
        || old.rule == &rules::test_links::TEST_LINK;
    if weight(old) != Weight::Good || !as_left {
        return None;
    }
    let (visit, core) = (record.visits.get(index)?, old.core?);
    let behind = |(at, _): &(usize, &Test)| old.visit != index || Some(*at) > old.section;
    let mut tests = visit.tests.iter().enumerate().filter(behind);
    let name = visit.name();
    let last = |moves: &dyn Fn(&Test) -> bool| visit.tests.iter().rposition(moves);
    let opened = last(&|test| test.opened(core));
    let closed = last(&|test| test.restored().is_some_and(|left| left.closes(core)));
    // Behind the last opening all links of the circuit are told as closed.
    if old.rule == &rules::test_links::TEST_LINK && closed.is_some() && closed > opened {
        return None;
    }
    let lifts = |test: &Test| by_earth && test.kind == TestKind::SingleEarth && test.touches(core);
    if tests.any(|(_, test)| test.opened(core) || lifts(test)) {
        return Some(match old.visit == index {
            true => "written before the last test that opened it".into(),
            false => say!("opened again at the visit of {}", name),
        });
    }
    let states = visit.of(Test::state).filter(|_| old.visit != index);
    let mut rows = states.flat_map(|(_, _, state)| &state.cores);
    let other =
        rows.any(|row| row.core == Some(core) && (row.is_off() || by_earth && row.is_unearthed()));
    other.then(|| say!("found otherwise at the visit of {}", name))
}

/// What a current on load or a stable zone no longer shows: its circuit was opened again behind it, and what was put
/// back since carried no load. Common practice, no source.
fn load_is_over(record: &Record, old: &Told<'_>, index: usize) -> Option<Phrase> {
    let on_load = matches!(old.rule.kind, TestKind::Load | TestKind::Stability);
    if weight(old) != Weight::Good || !on_load {
        return None;
    }
    let (visit, core) = (record.visits.get(index)?, old.core?);
    let same = old.visit == index;
    let own = record.visits.get(old.visit)?;
    let test = old.section.and_then(|section| own.tests.get(section));
    let taken = test.and_then(taken::of).and_then(Given::value);
    let day = taken.map_or(own.date.value, |taken| taken.day);
    if visit.date.value < day {
        return None;
    }
    // Mostly a day mistyped; of what lies before it nobody knows how the circuit was.
    if same && day < own.date.value {
        return Some("needs its day: it is dated before its visit".into());
    }
    let behind = |(at, _): &(usize, &Test)| !same || Some(*at) > old.section;
    let mut tests = visit.tests.iter().enumerate().filter(behind);
    // What is restored in the visit itself, nobody has opened for more than the reading.
    let moved = |test: &Test| test.moved(core) || !same && test.restores(core);
    tests.any(|(_, test)| moved(test)).then(|| match same {
        true => "needs a reading behind the last test that opened the circuit".into(),
        false => say!(
            "needs a reading on load after the circuit was opened again on {}",
            visit.date.value.to_string()
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::workings::Workings;
    use crate::ground::span::Span;
    use crate::judge::decision::Word;
    use crate::judge::finding::{Against, unit};
    use crate::standards::Cited;

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
            ((3000.0, fail()), (2400.0, fail()), false),
            ((2400.0, fail()), (3000.0, fail()), true),
            ((3000.0, review()), (3000.0, fail()), true),
            ((3000.0, pass()), (2400.0, pass()), false),
            ((3000.0, pass()), (2400.0, fail()), true),
            ((3000.0, pass()), (2400.0, doubtful()), true),
            ((3000.0, pass()), (3000.0, shows_nothing()), false),
        ] {
            let [old, new] = [old, new].map(|(volt, verdict)| withstand(volt, verdict));
            assert_eq!(replaces(&new, &old), answered, "{old:?} {new:?}");
        }
    }

    /// A value without a limit of its own answers where it is within the limit that was exceeded; one in doubt, or
    /// beyond it, does not.
    #[test]
    fn a_value_without_a_limit_answers_by_the_earlier_limit() {
        let mut w = Workings::default();
        let rule = &rules::injection::INJECTION_ERROR;
        let mut read = |percent: f64, verdict: Verdict| {
            let value = w.number("error", "%", percent, Span::default());
            Finding::new(rule, value, unit::PERCENT).verdict(verdict)
        };
        let cited = Cited::stated("own".to_owned(), "an own limit".to_owned());
        let old = read(-100.0, Verdict::NoLimit);
        let old = old.held(Against::within(25.0, &cited), Verdict::NotMet);
        let doubtful = Verdict::NotJudged("in doubt".into());
        for (percent, verdict, answered) in [
            (0.2, Verdict::NoLimit, true),
            (-24.0, Verdict::NoLimit, true),
            (-26.0, Verdict::NoLimit, false),
            (0.2, doubtful, false),
        ] {
            let new = read(percent, verdict);
            assert_eq!(replaces(&new, &old), answered, "{percent}");
        }
    }

    /// What failed at a current is answered at about as much: nine tenths of what a source fed, half of a load.
    #[test]
    fn a_reading_at_less_current_answers_no_failure() {
        let at = |rule: &'static rules::Rule, share: f64, verdict: Verdict| {
            let mut finding = Finding::without(rule, unit::PERCENT).verdict(verdict);
            finding.at_current = Some(share);
            finding
        };
        let fed = &rules::injection::INJECTION_ERROR;
        for (rule, share, answered) in [
            (fed, 100.0, true),
            (fed, 91.0, true),
            (fed, 89.0, false),
            (&rules::load::LOAD_RATIO, 51.0, true),
            (&rules::load::LOAD_RATIO, 49.0, false),
            (&rules::stability::STABILITY, 49.0, false),
        ] {
            let old = at(rule, 100.0, Verdict::Word(Word::Fail));
            let new = at(rule, share, Verdict::Word(Word::Pass));
            assert_eq!(replaces(&new, &old), answered, "{} {share}", rule.id);
        }
        let unknown = Finding::without(fed, unit::PERCENT).verdict(Verdict::Word(Word::Pass));
        assert!(!replaces(
            &unknown,
            &at(fed, 100.0, Verdict::Word(Word::Fail))
        ));
    }

    #[test]
    fn a_proof_at_less_of_the_rated_value_answers_nothing() {
        let at = |percent: f64, verdict: Verdict| {
            let finding = Finding::without(&rules::withstand::WITHSTAND, unit::ONE);
            finding.under(Condition::Percent(percent)).verdict(verdict)
        };
        let old = at(100.0, Verdict::Word(Word::Fail));
        for (percent, answered) in [(100.0, true), (120.0, true), (80.0, false)] {
            let new = at(percent, Verdict::Word(Word::Pass));
            assert_eq!(replaces(&new, &old), answered, "{percent}");
        }
    }

    #[test]
    fn more_windings_answer_and_others_do_not() {
        let between = |name: &str| {
            let finding = withstand(3000.0, Verdict::NoLimit);
            finding.under(Condition::Between(name.to_owned()))
        };
        for (old, new, same) in [
            ("S to primary and earth", "S to earth and primary", true),
            (
                "S to primary and earth",
                "S to primary, cores and earth",
                true,
            ),
            ("1S to 2S and earth", "1S to cores and earth", true),
            (
                "S to primary, cores and earth",
                "S to primary and earth",
                false,
            ),
            ("primary to earth", "S to earth", false),
        ] {
            assert_eq!(is_same_thing(&between(new), &between(old)), same, "{new}");
        }
    }
}
