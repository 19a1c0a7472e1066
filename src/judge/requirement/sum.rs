//! What all requirements of an owner come to in one line.

use super::shown::{Shown, Standing, shown};
use super::unread::Unread;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Assessment;
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::judge::standing::{Told, standing};
use crate::record::Record;
use crate::record::kinds::TestKind;
use crate::record::occasion::purposes;
use crate::record::visit::Visit;
use crate::trade::Purposes;
use std::collections::BTreeMap;
use std::ops::Deref;
use std::sync::OnceLock;

/// The verdict as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Overall {
    /// Everything that is due is met.
    Pass,
    /// Nothing is due, and what was tested is in order: neither good nor bad.
    Unasked,
    /// No limit exceeded in what was tested; something that is due was not shown.
    Incomplete,
    /// What was tested cannot say.
    Open,
    Fails,
}

impl Overall {
    /// All, from good to bad.
    pub const ALL: &[Self] = &[
        Self::Pass,
        Self::Unasked,
        Self::Incomplete,
        Self::Open,
        Self::Fails,
    ];

    /// As indexes and programs count it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Unasked => "nothing asked",
            Self::Incomplete => "incomplete",
            Self::Open => "open",
            Self::Fails => "fails",
        }
    }

    /// Of a visit whose purpose is not known; see [`Tally::grade`].
    pub fn grade(self) -> Grade {
        match self {
            Self::Pass => Grade::Pass,
            Self::Unasked | Self::Incomplete | Self::Open => Grade::Open,
            Self::Fails => Grade::Fails,
        }
    }
}

/// What an owner's requirements come to, counted.
#[derive(Clone, Copy, Debug)]
pub struct Tally {
    pub overall: Overall,
    pub purposes: Purposes,
    /// Whether the client's own table says what they ask for.
    pub by_client: bool,
    /// Whether anything was tested at all.
    pub tested: bool,
    /// How many requirements the visit asks for, and how many of them are met.
    pub due: usize,
    pub met: usize,
}

/// The same, and what stands against a pass.
#[derive(Clone, Debug)]
pub struct Sum {
    tally: Tally,
    /// What stands against a pass, worst first.
    pub against: Vec<Phrase>,
    /// What is met with less distance to its limit than the decision rule asks for.
    pub conditional: Vec<Phrase>,
    /// What the visit asks for in the record of another CT.
    elsewhere: Vec<Phrase>,
    /// What the visit does not ask for, and nothing shows; why, where a test of it is on record.
    pub unshown: Vec<Phrase>,
}

impl Deref for Sum {
    type Target = Tally;

    fn deref(&self) -> &Tally {
        &self.tally
    }
}

impl Sum {
    /// `pass: 11 of 11 for commissioning; not asked for and not shown: accuracy class of 3S`.
    pub fn phrase(&self) -> Phrase {
        say!("{}{}", self.word(), self.scope())
    }

    /// What stands behind the word: how much was shown, what stands against it.
    pub fn scope(&self) -> Phrase {
        let named = |names: &[Phrase]| Phrase::join(names.iter().cloned(), ", ");
        let mut said = self.counted().then(self.but());
        if !self.conditional.is_empty() {
            said = say!("{}; met conditionally: {}", said, named(&self.conditional));
        }
        if let Some(elsewhere) = self.elsewhere() {
            said = say!("{}; {}", said, elsewhere);
        }
        let is_quiet = matches!(self.overall, Overall::Pass | Overall::Unasked);
        if is_quiet && !self.unshown.is_empty() {
            let unshown = Phrase::join(self.unshown.iter().cloned(), "; ");
            said = say!("{}; not asked for and {}", said, unshown);
        }
        said
    }
}

impl Sum {
    /// `not asked for here: ratio that is set of 2S (asked for in the record of …)`.
    pub fn elsewhere(&self) -> Option<Phrase> {
        let all = Phrase::join(self.elsewhere.iter().cloned(), ", ");
        (!all.is_empty()).then(|| say!("not asked for here: {}", all))
    }

    /// `open, 5 of 5, but for review: insulation of one winding on X`: the word with its count, and what stands
    /// against it where the count alone reads as done.
    pub fn brief(&self) -> Phrase {
        let brief = Phrase::from(self.tally.brief());
        match self.is_all_met() {
            true => brief.then(self.but()),
            false => brief,
        }
    }

    /// What stands against a pass, behind the count.
    fn but(&self) -> Phrase {
        let first = if self.is_all_met() { ", but " } else { "; " };
        let joints = std::iter::once(first).chain(std::iter::repeat("; "));
        let all = joints.zip(&self.against);
        all.fold(Phrase::default(), |said, (joint, against)| {
            said.then(joint).then(against.clone())
        })
    }

    fn is_all_met(&self) -> bool {
        self.due > 0 && self.met == self.due
    }
}

impl Tally {
    /// How much it weighs; `None` where a visit of a known purpose asks for nothing, which is neither good nor
    /// bad.
    pub fn grade(&self) -> Option<Grade> {
        let asked = self.overall != Overall::Unasked || self.purposes.is_unknown();
        asked.then(|| self.overall.grade())
    }

    /// The verdict as a client reads it.
    pub fn word(&self) -> &'static str {
        match self.overall {
            Overall::Incomplete if !self.tested => "nothing tested",
            Overall::Incomplete => "no limit exceeded in what was tested",
            Overall::Pass | Overall::Unasked | Overall::Open | Overall::Fails => {
                self.overall.word()
            }
        }
    }

    /// `pass, 4 of 4`: the word with its count.
    fn brief(&self) -> String {
        match self.due {
            0 => self.overall.word().to_owned(),
            due => format!("{}, {} of {due}", self.overall.word(), self.met),
        }
    }

    fn counted(&self) -> Phrase {
        let count = |count: usize| Quantity::new(count.to_string(), "");
        let by = if self.by_client {
            ", by the client's list of what is due"
        } else {
            ""
        };
        match self.due {
            0 if self.overall == Overall::Fails => Phrase::default(),
            0 if self.purposes.is_unknown() => {
                ": no purpose of the visit is stated that asks for tests".into()
            }
            0 => say!(" {}{}", self.purposes.text(), by),
            due => say!(
                ": {} of {} {}{}",
                count(self.met),
                count(due),
                self.purposes.text(),
                by
            ),
        }
    }
}

/// What a record may claim: its requirements with what came of them, and the findings that stand.
#[derive(Debug)]
pub struct Claims<'a> {
    record: &'a Record,
    assessment: &'a Assessment,
    purposes: Purposes,
    by_client: bool,
    /// The visits that answer together.
    visits: Vec<usize>,
    /// What could not be read: without it there is no pass.
    unread: Unread,
    pub shown: Vec<Shown<'a>>,
    /// The findings that stand after the last of the visits, earlier occasions' as well.
    told: Vec<Told<'a>>,
    /// After which visit each finding stood last, where somebody asks.
    last_stood: OnceLock<BTreeMap<(usize, usize), usize>>,
}

impl<'a> Claims<'a> {
    /// What some visits of a record, which answer together, let it claim.
    pub fn of(
        record: &'a Record,
        assessment: &'a Assessment,
        visits: &[usize],
        unread: Unread,
    ) -> Self {
        let until = visits.last().map_or(0, |last| last + 1);
        let told = standing(record, assessment, &(0..until).collect::<Vec<_>>());
        Self::by((record, assessment), told, visits, unread)
    }

    /// What they show by themselves, whatever stood before them.
    pub fn within(record: &'a Record, assessment: &'a Assessment, visits: &[usize]) -> Self {
        let told = standing(record, assessment, visits);
        Self::by((record, assessment), told, visits, Unread::Nothing)
    }

    fn by(
        (record, assessment): (&'a Record, &'a Assessment),
        told: Vec<Told<'a>>,
        visits: &[usize],
        unread: Unread,
    ) -> Self {
        let (purposes, due) = (purposes(record, visits), &assessment.due);
        Self {
            record,
            assessment,
            purposes,
            by_client: purposes
                .iter()
                .any(|purpose| due.named.contains_key(&purpose)),
            visits: visits.to_vec(),
            unread,
            shown: shown(record, &told, visits, due),
            told,
            last_stood: OnceLock::new(),
        }
    }

    /// The findings of its visits that stand.
    pub fn standing(&self) -> impl DoubleEndedIterator<Item = &Told<'a>> {
        let own = |one: &&Told<'a>| self.visits.contains(&one.visit);
        self.told.iter().filter(own)
    }

    /// Findings of earlier occasions that are for review or fail, and that nothing has answered since.
    pub fn unanswered(&self) -> impl Iterator<Item = &Told<'a>> {
        let earlier = |one: &&Told<'a>| !self.visits.contains(&one.visit);
        let bad = |one: &&Told<'a>| one.grade() >= Grade::Review;
        self.told.iter().filter(earlier).filter(bad)
    }

    /// How many findings of a grade stand.
    pub fn count(&self, grade: Grade) -> usize {
        let all = self.counted().filter(|one| !self.is_told_by_a_cause(one));
        all.filter(|finding| finding.grade() == grade).count()
    }

    /// All that stands, of whatever visit and grade.
    pub fn told(&self) -> impl Iterator<Item = &Told<'a>> {
        self.told.iter()
    }

    /// Both: what a verdict, an exit code and a list of defects count.
    pub fn counted(&self) -> impl Iterator<Item = &Told<'a>> {
        self.standing().chain(self.unanswered())
    }

    /// Whether a finding of a visit still stands.
    pub fn stands(&self, visit: usize, finding: &Finding) -> bool {
        is_among(&self.told, visit, finding)
    }

    /// The visit whose readings answer a finding that is open, for review or fails, and stands no more; its own where
    /// it stood after none.
    pub fn answered_by(&self, visit: usize, finding: &Finding) -> Option<usize> {
        if finding.grade() < Grade::Open || self.stands(visit, finding) {
            return None;
        }
        let all = &self.assessment.visits.get(visit)?.findings;
        let here = |own: &Finding| own.section == finding.section && own.is_same(finding);
        let at = all.iter().position(here)?;
        let last = self.last_stood.get_or_init(|| self.last_stood());
        let last = last.get(&(visit, at));
        Some(last.map_or(visit, |last| last + 1))
    }

    /// Of each finding by its visit and its place there the last visit after which it stood.
    fn last_stood(&self) -> BTreeMap<(usize, usize), usize> {
        let mut stood = BTreeMap::new();
        let end = self.visits.last().map_or(0, |last| last + 1);
        for last in 0..end {
            let until: Vec<usize> = (0..=last).collect();
            let told = standing(self.record, self.assessment, &until);
            for (visit, assessed) in self.assessment.visits.iter().enumerate().take(last + 1) {
                let all = assessed.findings.iter().enumerate();
                let still = all.filter(|(_, finding)| is_among(&told, visit, finding));
                stood.extend(still.map(|(at, _)| ((visit, at), last)));
            }
        }
        stood
    }

    /// `answered by visit 2026-03-18`.
    pub fn answered(&self, visit: usize, finding: &Finding) -> Option<Phrase> {
        let by = self.answered_by(visit, finding)?;
        Some(match by == visit {
            true => "answered within its visit".into(),
            false => say!("answered by {}", visit_name(self.record, by)),
        })
    }

    /// `review: closed primary loop suspected`: what of the way of measuring is for review, or fails.
    pub fn measurement(&self) -> Option<Phrase> {
        let own = self.told_of_owner(Whose::Measurement, None);
        let parts = self.beyond(&[], &own.collect::<Vec<_>>());
        (!parts.is_empty()).then(|| Phrase::join(parts, "; "))
    }

    /// The worst of an owner's findings that stand, earlier occasions' as well.
    pub fn worst(&self, whose: Whose) -> Option<Grade> {
        let own = self.told_of_owner(whose, None);
        own.map(|finding| finding.grade()).max()
    }

    /// Several of them, each title once.
    pub fn names(&self, all: &[&Shown<'_>]) -> Phrase {
        Phrase::join(names(self.record, all), ", ")
    }

    /// `knee point e.m.f. of 2S`.
    pub fn name(&self, one: &Shown<'_>) -> Phrase {
        say!("{} of {}", one.title(), subject(self.record, one))
    }

    /// The requirements of an owner on one core, or as a whole.
    fn of_owner(&self, whose: Whose, core: Option<usize>) -> impl Iterator<Item = &Shown<'a>> {
        let own = self.shown.iter();
        let own = own.filter(move |one| one.required.requirement.whose == whose);
        own.filter(move |one| core.is_none() || one.required.core == core)
    }

    /// The findings of an owner on one core, or as a whole. What a cause explains of the way of measuring is told by the
    /// cause.
    fn told_of_owner(&self, whose: Whose, core: Option<usize>) -> impl Iterator<Item = &Told<'a>> {
        let findings = self.counted();
        let own = move |one: &&Told<'a>| {
            let here = one.rule.whose == whose && (core.is_none() || one.core == core);
            here && !self.is_told_by_a_cause(one)
        };
        findings.filter(own)
    }

    /// Whether it is of the way of measuring, and a cause explains it.
    fn is_told_by_a_cause(&self, one: &Told<'_>) -> bool {
        let own = one.rule.whose == Whose::Measurement && one.explained.is_some();
        own && self.counted().any(|cause| cause.explains(one))
    }

    /// Counts what an owner's requirements come to, on one core or as a whole. What fails outside any
    /// requirement fails the owner as well, and what is for review is no pass. `None` where nothing is
    /// asked and nothing was tested.
    pub fn tally(&self, whose: Whose, core: Option<usize>) -> Option<Tally> {
        let own = || self.of_owner(whose, core);
        let due = || own().filter(|one| one.required.due);
        let findings = || self.told_of_owner(whose, core);
        let worst = findings().map(|finding| finding.grade()).max();
        let shown_now = |one: &Shown<'_>| !one.evidence.is_empty() && one.earlier.is_none();
        let tested = own().any(shown_now) || findings().any(|one| self.visits.contains(&one.visit));
        let nothing_due = due().next().is_none();
        // What an earlier visit tried to show and did not is told of the whole as long as nothing shows it.
        let tried = core.is_none() && own().any(Shown::is_tried);
        if nothing_due && !tested && worst.is_none() && !tried {
            return None;
        }
        let fails = own().any(|one| one.standing == Standing::NotMet);
        let overall = if fails || worst == Some(Grade::Fails) {
            Overall::Fails
        } else if self.unread.opens(core)
            || worst == Some(Grade::Review)
            || due().any(|one| one.standing.is_undecided())
            || own().any(Shown::holds_a_failure_back)
            || (nothing_due && !tested && worst.is_some())
        {
            Overall::Open
        } else if nothing_due {
            Overall::Unasked
        } else if due().any(|one| one.standing.is_missing()) {
            Overall::Incomplete
        } else {
            Overall::Pass
        };
        Some(Tally {
            overall,
            purposes: self.purposes,
            by_client: self.by_client,
            tested,
            due: due().count(),
            met: due().filter(|one| one.standing.is_met()).count(),
        })
    }

    /// The tally with what stands against a pass.
    pub fn sum(&self, whose: Whose, core: Option<usize>) -> Option<Sum> {
        let tally = self.tally(whose, core)?;
        let (due, rest): (Vec<&Shown<'_>>, Vec<&Shown<'_>>) =
            self.of_owner(whose, core).partition(|one| one.required.due);
        let (elsewhere, rest): (Vec<&Shown<'_>>, Vec<&Shown<'_>>) = rest
            .into_iter()
            .partition(|one| one.required.is_asked_there);
        let with = |all: &[&Shown<'a>], is: fn(&Standing) -> bool| -> Vec<Phrase> {
            let all = all.iter().filter(|one| is(&one.standing)).copied();
            names(self.record, &all.collect::<Vec<_>>())
        };
        let mut quiet = rest.clone();
        if tally.overall == Overall::Unasked {
            quiet.retain(|one| one.is_tried());
        }
        let mut open: Vec<&Shown<'_>> = due.clone();
        let stands =
            |one: &&&Shown<'_>| one.standing == Standing::NotMet || one.holds_a_failure_back();
        open.extend(rest.iter().filter(stands));
        open.retain(|one| !one.standing.is_met());
        open.sort_by_key(|one| (one.standing != Standing::NotMet, one.standing.is_missing()));
        let findings: Vec<&Told<'_>> = self.told_of_owner(whose, core).collect();
        let mut against = grouped(self.record, &open, "");
        against.extend(self.beyond(&open, &findings));
        if self.unread.opens(core) {
            against.insert(
                0,
                "a line of the record, or of the criteria or instruments, is not understood".into(),
            );
        }
        Some(Sum {
            tally,
            against,
            conditional: with(&due, |one| *one == Standing::MetConditionally),
            elsewhere: grouped(
                self.record,
                &elsewhere,
                elsewhere.first().map_or("", |one| one.standing.word()),
            ),
            unshown: unshown(self.record, &quiet),
        })
    }

    /// The worst that stands against the record: a finding for review or one that fails, a verdict that is
    /// no pass.
    pub fn worst_of_all(&self) -> Grade {
        let owners = [Whose::Transformer, Whose::Circuit].into_iter();
        let tallies = owners.filter_map(|whose| self.tally(whose, None)?.grade());
        let findings = self.counted().map(|finding| finding.grade());
        let findings = findings.filter(|grade| *grade >= Grade::Review);
        findings.chain(tallies).max().unwrap_or(Grade::Info)
    }

    /// `fails: state of the primary terminals`: what fails or is for review and belongs to no requirement
    /// that says so already.
    fn beyond(&self, open: &[&Shown<'_>], findings: &[&Told<'_>]) -> Vec<Phrase> {
        let told = |one: &Told<'_>| {
            let mut evidence = open.iter().flat_map(|shown| &shown.evidence);
            evidence.any(|of| of.visit == one.visit && of.is_same(one))
        };
        let mut groups: Vec<(Grade, Vec<Phrase>)> = Vec::new();
        let bad = findings.iter().filter(|one| one.grade() >= Grade::Review);
        for one in bad.filter(|one| !told(one)) {
            let core = one.core.and_then(|core| self.record.cores.get(core));
            let mut name = Phrase::from(one.rule.title);
            if let Some(core) = core {
                name = say!("{} on {}", name, core.name.clone());
            }
            if !self.visits.contains(&one.visit) {
                name = say!("{} ({})", name, visit_name(self.record, one.visit));
            }
            match groups.iter_mut().find(|(grade, _)| *grade == one.grade()) {
                Some((_, names)) if names.contains(&name) => {}
                Some((_, names)) => names.push(name),
                None => groups.push((one.grade(), vec![name])),
            }
        }
        groups.sort_by_key(|(grade, _)| std::cmp::Reverse(*grade));
        let phrase = |(grade, names): (Grade, Vec<Phrase>)| {
            let word = if grade == Grade::Fails {
                "fails"
            } else {
                "for review"
            };
            say!("{}: {}", word, Phrase::join(names, ", "))
        };
        groups.into_iter().map(phrase).collect()
    }
}

/// Whether a finding of a visit is among those that stand.
fn is_among(told: &[Told<'_>], visit: usize, finding: &Finding) -> bool {
    let mut told = told.iter();
    told.any(|one| one.visit == visit && one.section == finding.section && one.is_same(finding))
}

/// `visit 2025-03-14`.
fn visit_name(record: &Record, visit: usize) -> String {
    let visit = record.visits.get(visit);
    format!("visit {}", visit.map(Visit::name).unwrap_or_default())
}

/// `not shown: ratio of 2S; temperature rise of the unit (needs the number of the certificate)`: of what nobody asked
/// for the reason is given where a test of it is on record, or the record gives one itself.
fn unshown(record: &Record, rest: &[&Shown<'_>]) -> Vec<Phrase> {
    let open = rest.iter().copied();
    let open = open.filter(|one| one.standing.is_missing() || one.standing.is_undecided());
    let (bare, mut told): (Vec<&Shown<'_>>, Vec<&Shown<'_>>) = open.partition(|one| {
        let is_missing = matches!(one.standing, Standing::NotShown(_));
        is_missing && one.required.lacks.is_none() && !one.is_tested()
    });
    // Those of the word that stands first follow it.
    told.sort_by_key(|one| !matches!(one.standing, Standing::NotShown(_)));
    let word = Standing::NotShown(Phrase::default()).word();
    let bare = Phrase::join(names(record, &bare), ", ");
    if bare.is_empty() {
        return grouped(record, &told, "");
    }
    let mut all = vec![say!("{}: {}", word, bare)];
    all.extend(grouped(record, &told, word));
    all
}

/// `not tested: ratio of 2S, polarity of 2S (outage ended)`: those of one word and reason in one phrase, behind a
/// word that was said.
fn grouped(record: &Record, all: &[&Shown<'_>], mut before: &'static str) -> Vec<Phrase> {
    type Group<'a, 'b> = (&'a Standing, Option<usize>, Vec<&'a Shown<'b>>);
    let mut groups: Vec<Group<'_, '_>> = Vec::new();
    for one in all {
        let alike = |group: &&mut Group<'_, '_>| (group.0, group.1) == (&one.standing, one.earlier);
        match groups.iter_mut().find(alike) {
            Some((_, _, alike)) => alike.push(one),
            None => groups.push((&one.standing, one.earlier, vec![one])),
        }
    }
    let phrase = |(standing, earlier, alike): Group<'_, '_>| {
        let mut said = Phrase::join(names(record, &alike), ", ");
        if let Some(why) = standing.why().filter(|why| !why.is_empty()) {
            said = say!("{} ({})", said, why);
        }
        if let Some(visit) = earlier {
            said = say!("{} ({})", said, visit_name(record, visit));
        }
        // A word that goes on is not said again.
        let again = std::mem::replace(&mut before, standing.word()) == standing.word();
        match again {
            true => said,
            false => say!("{}: {}", standing.word(), said),
        }
    };
    groups.into_iter().map(phrase).collect()
}

/// `polarity of 1S, 2S and 3S`: what is required of several subjects is named once.
fn names(record: &Record, all: &[&Shown<'_>]) -> Vec<Phrase> {
    let mut groups: Vec<(Phrase, Vec<Phrase>)> = Vec::new();
    for one in all {
        let (title, subject) = (one.title(), subject(record, one));
        match groups.iter_mut().find(|(known, _)| *known == title) {
            Some((_, subjects)) => subjects.push(subject),
            None => groups.push((title, vec![subject])),
        }
    }
    let phrase = |(title, subjects)| say!("{} of {}", title, Phrase::list(subjects, ", ", " and "));
    groups.into_iter().map(phrase).collect()
}

/// `2S`, `2S1-2S2`, `the primary`.
pub fn subject(record: &Record, one: &Shown<'_>) -> Phrase {
    let required = &one.required;
    let core = required.core.and_then(|core| record.cores.get(core));
    match (core, required.pair) {
        (Some(core), Some(pair)) if !core.is_full(pair) => {
            Phrase::terminals(core.pair_text(pair.from, pair.to))
        }
        (Some(core), _) => core.name.clone().into(),
        (None, _)
            if matches!(
                required.requirement.kind,
                TestKind::Inspection | TestKind::TypeTest
            ) =>
        {
            "the unit".into()
        }
        (None, _) => "the primary".into(),
    }
}
