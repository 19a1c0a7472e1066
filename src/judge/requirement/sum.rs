//! What all requirements of an owner come to in one line.

use super::shown::{Shown, Standing, purpose, shown, standing};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Assessment;
use crate::judge::condition::titled;
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::record::Record;
use crate::trade::Purpose;

/// The verdict as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Overall {
    /// Everything that is due is met.
    Pass,
    /// No limit exceeded in what was tested; something that is due was not shown.
    Incomplete,
    /// What was tested cannot say.
    Open,
    Fails,
}

impl Overall {
    /// All, from good to bad.
    pub const ALL: &[Self] = &[Self::Pass, Self::Incomplete, Self::Open, Self::Fails];

    /// As indexes and programs count it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Incomplete => "incomplete",
            Self::Open => "open",
            Self::Fails => "fails",
        }
    }

    pub fn grade(self) -> Grade {
        match self {
            Self::Pass => Grade::Pass,
            Self::Incomplete | Self::Open => Grade::Open,
            Self::Fails => Grade::Fails,
        }
    }
}

/// What an owner's requirements come to.
#[derive(Clone, Debug)]
pub struct Sum {
    pub overall: Overall,
    pub purpose: Purpose,
    /// How many requirements the visit asks for, and how many of them are met.
    pub due: usize,
    pub met: usize,
    /// What stands against a pass, worst first.
    pub against: Vec<Phrase>,
    /// What the visit does not ask for, and no test on record shows.
    pub unshown: Vec<Phrase>,
}

impl Sum {
    /// `pass: 11 of 11 for commissioning; not shown by any test on record: accuracy class of 3S`.
    pub fn phrase(&self) -> Phrase {
        say!("{}{}", self.word(), self.scope())
    }

    /// What stands behind the word: how much was shown, what stands against it.
    pub fn scope(&self) -> Phrase {
        let against = self.against.iter().fold(self.counted(), |said, against| {
            say!("{}; {}", said, against.clone())
        });
        if self.overall != Overall::Pass || self.unshown.is_empty() {
            return against;
        }
        let unshown = Phrase::join(self.unshown.iter().cloned(), ", ");
        say!("{}; not shown by any test on record: {}", against, unshown)
    }

    /// The verdict as a client reads it.
    pub fn word(&self) -> &'static str {
        match self.overall {
            Overall::Incomplete => "no limit exceeded in what was tested",
            Overall::Pass | Overall::Open | Overall::Fails => self.overall.word(),
        }
    }

    /// `pass, 4 of 4`: the word with its count.
    pub fn brief(&self) -> String {
        match self.due {
            0 => self.overall.word().to_owned(),
            due => format!("{}, {} of {due}", self.overall.word(), self.met),
        }
    }

    fn counted(&self) -> Phrase {
        let count = |count: usize| Quantity::new(count.to_string(), "");
        match self.due {
            0 => Phrase::default(),
            due => say!(
                ": {} of {} for {}",
                count(self.met),
                count(due),
                self.purpose.to_string()
            ),
        }
    }
}

/// What a record may claim: its requirements with what came of them, and the findings that stand.
#[derive(Debug)]
pub struct Claims<'a> {
    record: &'a Record,
    purpose: Purpose,
    /// Whether the record could be read whole: else there is no pass.
    readable: bool,
    pub shown: Vec<Shown<'a>>,
    findings: Vec<&'a Finding>,
}

impl<'a> Claims<'a> {
    /// What some visits of a record, which answer together, let it claim.
    pub fn of(
        record: &'a Record,
        assessment: &'a Assessment,
        visits: &[usize],
        readable: bool,
    ) -> Self {
        Self {
            record,
            purpose: purpose(record, visits),
            readable,
            shown: shown(record, assessment, visits),
            findings: standing(assessment, visits),
        }
    }

    /// The worst of an owner's findings that stand.
    pub fn worst(&self, whose: Whose) -> Option<Grade> {
        let own = self.findings.iter().filter(|one| one.rule.whose == whose);
        own.map(|finding| finding.grade()).max()
    }

    /// Several of them, each title once.
    pub fn names(&self, all: &[&Shown<'_>]) -> Phrase {
        Phrase::join(names(self.record, all), ", ")
    }

    /// `knee point e.m.f. of 2S`.
    pub fn name(&self, one: &Shown<'_>) -> Phrase {
        say!("{} of {}", title(one), subject(self.record, one))
    }

    /// Sums up an owner on one core, or as a whole. What fails outside any requirement fails the owner
    /// as well, and what is for review is no pass. `None` where nothing is asked and nothing was tested.
    pub fn sum(&self, whose: Whose, core: Option<usize>) -> Option<Sum> {
        let on = |of: Option<usize>| core.is_none() || of == core;
        let is_own =
            |one: &&Shown<'_>| one.required.requirement.whose == whose && on(one.required.core);
        let own: Vec<&Shown<'_>> = self.shown.iter().filter(is_own).collect();
        let mut due: Vec<&Shown<'_>> = own.iter().filter(|one| one.required.due).copied().collect();
        let worst = self
            .findings
            .iter()
            .filter(|finding| finding.rule.whose == whose && on(finding.core))
            .map(|finding| finding.grade())
            .max();
        let not_met = own.iter().any(|one| one.standing == Standing::NotMet);
        let tested = own
            .iter()
            .any(|one| !one.evidence.is_empty() && one.earlier.is_none());
        if due.is_empty() && !tested && worst.is_none() {
            return None;
        }
        let overall = if not_met || worst == Some(Grade::Fails) {
            Overall::Fails
        } else if !self.readable
            || worst == Some(Grade::Review)
            || due.iter().any(|one| one.standing.is_undecided())
        {
            Overall::Open
        } else if due.iter().any(|one| one.standing.is_missing()) {
            Overall::Incomplete
        } else if !due.is_empty() {
            Overall::Pass
        } else if tested {
            Overall::Incomplete
        } else {
            Overall::Open
        };
        let unshown = own.iter().copied();
        let unshown = unshown.filter(|one| !one.required.due && one.standing.is_missing());
        let unshown = names(self.record, &unshown.collect::<Vec<_>>());
        let (all, met) = (
            due.len(),
            due.iter().filter(|one| one.standing.is_met()).count(),
        );
        due.retain(|one| !one.standing.is_met());
        due.extend(
            own.iter()
                .filter(|one| !one.required.due && one.standing == Standing::NotMet),
        );
        due.sort_by_key(|one| (one.standing != Standing::NotMet, one.standing.is_missing()));
        Some(Sum {
            overall,
            purpose: self.purpose,
            due: all,
            met,
            against: grouped(self.record, &due),
            unshown,
        })
    }
}

/// `not tested: ratio of 2S, polarity of 2S (outage ended)`: those of one word and reason in one phrase.
fn grouped(record: &Record, all: &[&Shown<'_>]) -> Vec<Phrase> {
    let mut groups: Vec<(&Standing, Vec<&Shown<'_>>)> = Vec::new();
    for one in all {
        match groups
            .iter_mut()
            .find(|(standing, _)| *standing == &one.standing)
        {
            Some((_, alike)) => alike.push(one),
            None => groups.push((&one.standing, vec![one])),
        }
    }
    let phrase = |(standing, alike): (&Standing, Vec<&Shown<'_>>)| {
        let names = Phrase::join(names(record, &alike), ", ");
        let said = say!("{}: {}", standing.word(), names);
        match standing.why() {
            Some(why) if !why.is_empty() => say!("{} ({})", said, why),
            _ => said,
        }
    };
    groups.into_iter().map(phrase).collect()
}

/// `polarity of 1S, 2S and 3S`: what is required of several subjects is named once.
fn names(record: &Record, all: &[&Shown<'_>]) -> Vec<Phrase> {
    let mut groups: Vec<(Phrase, Vec<Phrase>)> = Vec::new();
    for one in all {
        let (title, subject) = (title(one), subject(record, one));
        match groups.iter_mut().find(|(known, _)| *known == title) {
            Some((_, subjects)) => subjects.push(subject),
            None => groups.push((title, vec![subject])),
        }
    }
    let phrase = |(title, subjects)| say!("{} of {}", title, Phrase::list(subjects, ", ", " and "));
    groups.into_iter().map(phrase).collect()
}

fn title(one: &Shown<'_>) -> Phrase {
    titled(one.required.requirement.title, &one.required.conditions)
}

/// `2S`, `2S1-2S2`, `the primary`.
fn subject(record: &Record, one: &Shown<'_>) -> Phrase {
    let required = &one.required;
    let core = required.core.and_then(|core| record.cores.get(core));
    match (core, required.pair) {
        (Some(core), Some(pair)) if !core.is_full(pair) => {
            Phrase::terminals(core.pair_text(pair.from, pair.to))
        }
        (Some(core), _) => core.name.clone().into(),
        (None, _) => "the primary".into(),
    }
}
