//! What the findings show of each requirement.

use super::list::{Required, required};
use super::register::Proof;
use super::whole;
use crate::document::{Grade, Phrase, say};
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::rules::Whose;
use crate::judge::rules::type_test::TYPE_TEST;
use crate::judge::standing::Told;
use crate::judge::words;
use crate::record::Record;
use crate::record::due::Due;
use crate::record::kinds::excitation::Voltmeter;
use crate::record::kinds::{Test, TestKind};
use crate::record::named::Under;
use crate::record::occasion::{purposes, up_to};
use crate::record::scope::{Scope, omissions};
use crate::record::value::Omission;
use crate::record::visit::Visit;
use crate::trade::Pair;

/// What came of a requirement.
#[derive(Clone, Debug, PartialEq)]
pub enum Standing {
    Met,
    /// Met, with less distance to the limit than the decision rule asks for.
    MetConditionally,
    /// It was measured; no limit is known, or none that the test can show to be met.
    Measured,
    NotMet,
    /// Tested, and what was read cannot say; why.
    Undecided(Phrase),
    /// Tested, and a doubt stands against it; which.
    Withheld(Phrase),
    /// What is missing.
    NotShown(Phrase),
    /// The reason that the record gives.
    NotTested(String),
}

impl Standing {
    /// Whether nothing is left to be shown.
    pub fn is_met(&self) -> bool {
        matches!(self, Self::Met | Self::MetConditionally | Self::Measured)
    }

    /// Whether it is only that nobody tested it, or not far enough.
    pub fn is_missing(&self) -> bool {
        matches!(self, Self::NotShown(_) | Self::NotTested(_))
    }

    /// Whether it was tested, and what was tested cannot say.
    pub fn is_undecided(&self) -> bool {
        matches!(self, Self::Undecided(_) | Self::Withheld(_))
    }

    /// As every surface prints it.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Met => "met",
            Self::MetConditionally => "met conditionally",
            Self::Measured => "measured",
            Self::NotMet => "not met",
            Self::Undecided(_) => "not decided",
            Self::Withheld(_) => "withheld",
            Self::NotShown(_) => "not shown",
            Self::NotTested(_) => "not tested",
        }
    }

    /// What is missing, or stands against it.
    pub fn why(&self) -> Option<Phrase> {
        match self {
            Self::Undecided(why) | Self::Withheld(why) | Self::NotShown(why) => Some(why.clone()),
            Self::NotTested(why) => Some(why.clone().into()),
            Self::Met | Self::MetConditionally | Self::Measured | Self::NotMet => None,
        }
    }

    pub fn grade(&self) -> Grade {
        match self {
            Self::Met | Self::MetConditionally => Grade::Pass,
            Self::Measured => Grade::Info,
            Self::NotMet => Grade::Fails,
            Self::Undecided(_) | Self::Withheld(_) | Self::NotShown(_) | Self::NotTested(_) => {
                Grade::Open
            }
        }
    }
}

/// A requirement and what came of it.
#[derive(Clone, Debug)]
pub struct Shown<'a> {
    pub required: Required,
    pub standing: Standing,
    /// What it rests on.
    pub evidence: Vec<Told<'a>>,
    /// Whether a test that might show it is there.
    pub is_there: bool,
    /// The visit of an earlier occasion that it rests on.
    pub earlier: Option<usize>,
}

impl<'a> Shown<'a> {
    /// `exciting current at 300 V`, `accuracy class by current (class 5P20)`.
    pub fn title(&self) -> Phrase {
        let said = Phrase::from(self.required.requirement.title);
        let conditions = self.required.conditions.iter();
        conditions.fold(said, |said, condition| match condition {
            Condition::Class(_) => say!("{} ({})", said, condition.phrase()),
            _ => say!("{} {}", said, condition.phrase()),
        })
    }

    /// The finding that its standing rests on: of those that came to the same, the first that heads its
    /// test; where none did, of all of them the worst.
    pub fn proof(&self) -> Option<&Told<'a>> {
        let conditional = |one: &Finding| one.verdict == Verdict::Word(Word::ConditionalPass);
        let same = |one: &&Told<'a>| {
            let conditionally = self.standing == Standing::MetConditionally;
            one.grade() == self.standing.grade() && conditional(one) == conditionally
        };
        // Of equals `max_by_key` takes the last.
        let all = || self.evidence.iter().rev();
        let weight = |one: &&Told<'a>| (one.grade(), one.headline);
        all()
            .filter(same)
            .max_by_key(weight)
            .or(all().max_by_key(weight))
    }

    /// What would show it, where nothing was tested and its own reason does not say so.
    pub fn needs(&self) -> Option<&'static str> {
        let told = self.is_there || !self.required.behind.is_empty();
        let told = told && matches!(self.standing, Standing::NotShown(_));
        let missing = self.standing.is_missing() && self.evidence.is_empty();
        (missing && !told).then_some(self.required.requirement.needs)
    }

    /// Whether a test that speaks of it is on record.
    pub fn is_tested(&self) -> bool {
        // How a circuit is left is asked for beside any test, so that its own is never known to be missing.
        let own = self.is_there && self.required.requirement.kind != TestKind::Restored;
        own || !self.evidence.is_empty()
    }

    /// Whether a test was to show it and does not.
    pub fn is_tried(&self) -> bool {
        self.required.lacks.is_none() && self.is_tested() && !self.standing.is_met()
    }

    /// Whether a failure among its evidence is withheld by a doubt.
    pub fn holds_a_failure_back(&self) -> bool {
        let mut withheld = self.evidence.iter().filter_map(|one| one.withheld.as_ref());
        withheld.any(|(own, _)| matches!(**own, Verdict::Word(Word::Fail) | Verdict::NotMet))
    }

    /// Whether it is due and nothing shows it, without a reason given.
    pub fn is_unexplained(&self) -> bool {
        self.required.due && matches!(self.standing, Standing::NotShown(_))
    }
}

/// Everything that is required of a record at some visits that answer together, and what the findings
/// that still stand show of it.
pub fn shown<'a>(
    record: &Record,
    told: &[Told<'a>],
    visits: &[usize],
    due: &Due,
) -> Vec<Shown<'a>> {
    if visits.is_empty() {
        return Vec::new();
    }
    let (own, earlier): (Vec<&Told<'a>>, Vec<&Told<'a>>) =
        told.iter().partition(|one| visits.contains(&one.visit));
    let together = visits.iter().filter_map(|index| record.visits.get(*index));
    let together: Vec<&Visit> = together.collect();
    // Of several reasons the last one counts.
    let omitted = together.iter().rev();
    let omitted = omitted.flat_map(|visit| omissions(record, visit));
    let mut omitted: Vec<(Scope, &Omission)> = omitted.collect();
    let all = required(record, &together, purposes(record, visits), due);
    for (scope, _) in &mut omitted {
        if !all.iter().any(|one| excuses(record, scope, one)) {
            scope.widen();
        }
    }
    let moved = moved(record, visits);
    let of = |required: Required| {
        let evidence = evidence(record, &required, &own);
        let why = reason(record, &omitted, &required).map(Standing::NotTested);
        // What a position of the links lacks is its test.
        let untaken = required.requirement.is_of_links() && required.lacks.is_some();
        let untaken = why.clone().filter(|_| untaken);
        // Of several devices the reason is that of those which nothing shows.
        let each = required.requirement.proof == Proof::Each;
        let lacking = |held: &Standing| each && matches!(held, Standing::NotShown(_));
        let held = held(record, visits, &required, &evidence);
        let held = held.filter(|held| why.is_none() || !lacking(held));
        let standing = untaken
            .or(held)
            .or(why)
            .unwrap_or_else(|| Standing::NotShown(missing(record, visits, &required)));
        let shown = Shown {
            is_there: is_there(record, visits, &required)
                || required.requirement.kind == TestKind::Restored,
            standing,
            evidence,
            required,
            earlier: None,
        };
        let mut shown = before(record, &earlier, shown);
        let of_circuit = shown.required.requirement.whose == Whose::Circuit;
        if let Some(moved) = moved.as_ref().filter(|_| of_circuit)
            && shown.standing.is_met()
        {
            shown.standing = Standing::NotShown(moved.clone());
        }
        shown
    };
    all.into_iter().map(of).collect()
}

/// Where a unit stands since, when the last of all visits was made at another place: what was shown of the circuit
/// there says nothing of the one here.
fn moved(record: &Record, visits: &[usize]) -> Option<Phrase> {
    let last = visits.last().filter(|at| **at + 1 == record.visits.len())?;
    let day = record.visits.get(*last)?.date.value;
    let (then, now) = (record.place_on(day)?, record.place()?);
    let since = now.since.filter(|since| since.value > day)?;
    (!then.is_the_same(now)).then(|| {
        say!(
            "needs it at {}: the transformer stands there since {}, and was tested at {}",
            now.text(),
            since.value.to_string(),
            then.text()
        )
    })
}

/// What this occasion cannot say, as an earlier one showed it: a failure that nothing answers stands, and
/// what is not asked for may have been shown.
fn before<'a>(record: &Record, earlier: &[&Told<'a>], now: Shown<'a>) -> Shown<'a> {
    if now.standing.is_met() || now.standing == Standing::NotMet {
        return now;
    }
    let mut all = evidence(record, &now.required, earlier);
    let mut kept: Option<Shown<'a>> = None;
    while let Some(visit) = all.last().map(|one| one.visit) {
        let at = all.partition_point(|one| one.visit < visit);
        let evidence = all.split_off(at);
        let until: Vec<usize> = up_to(record, visit).collect();
        let Some(standing) = held(record, &until, &now.required, &evidence) else {
            break;
        };
        let fails = standing == Standing::NotMet;
        // Of several the last one that can say, unless an earlier one fails.
        // What papers show of a type is no older than the type.
        let ages = now.required.requirement.kind != TestKind::TypeTest;
        let better = !(now.required.due && ages)
            && now.standing.is_missing()
            && kept.as_ref().is_none_or(|kept| {
                standing.is_met() && !kept.standing.is_met() && kept.standing != Standing::NotMet
            });
        if fails || better {
            kept = Some(Shown {
                required: now.required.clone(),
                is_there: true,
                standing,
                evidence,
                earlier: Some(visit),
            });
        }
        if fails {
            break;
        }
    }
    kept.unwrap_or(now)
}

/// The findings that say something of a requirement.
fn evidence<'a>(record: &Record, required: &Required, told: &[&Told<'a>]) -> Vec<Told<'a>> {
    let pair = required.pair.map(|pair| pair.ascending());
    let by = required.requirement.evidence;
    let about = told.iter().filter(|finding| by.contains(&finding.rule));
    let says = |finding: &&&Told<'a>| {
        // What was shown of the type holds for each core of the unit.
        if finding.rule == &TYPE_TEST {
            let mut conditions = finding.conditions.iter();
            let item = Condition::Item(required.requirement.title.to_owned());
            return conditions.any(|one| *one == item);
        }
        let placed = finding.core == required.core
            && (pair.is_none() || finding.pair.map(|pair| pair.ascending()) == pair);
        // Several limits of one kind differ by the voltage that they hold at, zones by their names.
        let at = |one: &&Condition| matches!(one, Condition::Voltage(_) | Condition::Item(_));
        let mut wanted = required.conditions.iter().filter(at);
        // A position of the primary links is the test's, not the finding's.
        let links = required
            .requirement
            .is_of_links()
            .then(|| links_of(record, finding));
        let has = |one: &Condition| match links {
            Some(links) => matches!(one, Condition::Item(name) if Some(name) == links),
            None => finding.conditions.iter().any(|own| own.is_same(one)),
        };
        let against = finding.against.as_ref().and_then(|against| against.span);
        let same = required.stated_at.is_none() || against == required.stated_at;
        let tap = |pair: Pair| finding.pair.map(|own| own.ascending()) == Some(pair.ascending());
        placed && same && required.tap.is_none_or(tap) && wanted.all(has)
    };
    about.filter(says).map(|one| (*one).clone()).collect()
}

/// The position of the primary links that a ratio was taken in.
fn links_of<'r>(record: &'r Record, told: &Told<'_>) -> Option<&'r String> {
    let visit = record.visits.get(told.visit)?;
    let test = told.section.and_then(|at| visit.tests.get(at));
    let own = test.and_then(Test::ratio);
    let own = own.and_then(|ratio| ratio.links.value());
    own.or_else(|| visit.links_on_the_day())
}

/// What the evidence says, of visits that answer together; `None` where there is none.
fn held(
    record: &Record,
    visits: &[usize],
    required: &Required,
    evidence: &[Told<'_>],
) -> Option<Standing> {
    if let Some(unclear) = &required.unclear {
        return Some(Standing::Undecided(unclear.clone()));
    }
    if let Some(lacks) = &required.lacks {
        return Some(Standing::NotShown(lacks.clone()));
    }
    let counts = |one: &&Told<'_>| !whole::is_answered(record, required, one, evidence);
    let each: Vec<Standing> = evidence
        .iter()
        .filter(counts)
        .map(|finding| of_finding(required, finding))
        .collect();
    if each.contains(&Standing::NotMet) {
        return Some(Standing::NotMet);
    }
    let proof = required.requirement.proof;
    let by_limit = proof == Proof::Limit;
    // What was measured twice is as good as the better one, unless the test asks for a limit, or was made of
    // several things.
    let order: fn(&Standing) -> u8 = match proof {
        Proof::Limit | Proof::Each => worst_first,
        Proof::Measured | Proof::Seen => best_first,
    };
    let first = each.into_iter().min_by_key(order);
    match first {
        Some(Standing::Measured) if by_limit => {
            Some(Standing::Undecided("no limit is known".into()))
        }
        // Good as far as it goes.
        Some(met) if met.is_met() => {
            let lacks = whole::lacks(record, visits, required, evidence);
            Some(lacks.map_or(met, Standing::NotShown))
        }
        standing => standing,
    }
}

fn worst_first(standing: &Standing) -> u8 {
    match standing {
        Standing::NotMet => 0,
        Standing::Withheld(_) => 1,
        Standing::Undecided(_) => 2,
        Standing::NotShown(_) => 3,
        Standing::NotTested(_) => 4,
        Standing::MetConditionally => 5,
        Standing::Met => 6,
        // Beside a value with a limit, one without says nothing.
        Standing::Measured => 7,
    }
}

fn best_first(standing: &Standing) -> u8 {
    match standing {
        // What a rule of the way of measuring, or a look, puts in doubt is not mended by another value.
        Standing::NotMet | Standing::Withheld(_) => 0,
        Standing::Met => 1,
        Standing::MetConditionally => 2,
        Standing::Measured => 3,
        Standing::Undecided(_) => 4,
        Standing::NotShown(_) => 5,
        Standing::NotTested(_) => 6,
    }
}

/// What one finding says.
fn of_finding(required: &Required, finding: &Finding) -> Standing {
    let own = finding.rule.whose == required.requirement.whose;
    let named = || Phrase::from(finding.rule.title);
    match &finding.verdict {
        Verdict::Word(Word::Pass) => Standing::Met,
        Verdict::Word(Word::ConditionalPass) => Standing::MetConditionally,
        Verdict::Word(Word::ConditionalFail) => Standing::Undecided(
            "conditional fail: outside the limit by less than its uncertainty".into(),
        ),
        Verdict::Word(Word::Fail) | Verdict::NotMet => Standing::NotMet,
        Verdict::NotShown(needs) => Standing::NotShown(needs.clone()),
        Verdict::NotDecided(why) => Standing::Undecided(why.text().into()),
        Verdict::NotJudged(_) => {
            Standing::Withheld(words::reason(&finding.verdict).unwrap_or_else(named))
        }
        Verdict::NoLimit => Standing::Measured,
        Verdict::Observed(Grade::Fails) if own => Standing::NotMet,
        // The way of measuring fails no transformer: it asks for the test again.
        Verdict::Observed(Grade::Fails | Grade::Review) => {
            Standing::Withheld(said(required, finding))
        }
        Verdict::Observed(Grade::Open) => Standing::Undecided(named()),
        Verdict::Observed(Grade::Info) => match required.requirement.proof {
            Proof::Seen => Standing::Met,
            Proof::Limit | Proof::Measured | Proof::Each => Standing::Measured,
        },
        Verdict::Observed(Grade::Pass) => Standing::Met,
    }
}

/// What was observed, or what it is held against.
fn said(required: &Required, finding: &Finding) -> Phrase {
    let limit = words::limit(finding);
    if finding.rule.title == required.requirement.title && !finding.observed.is_empty() {
        // The requirement is named already.
        finding.observed.clone()
    } else if !finding.observed.is_empty() {
        say!("{}: {}", finding.rule.title, finding.observed.clone())
    } else if !limit.is_empty() {
        say!("{} is for review, {}", finding.rule.title, limit)
    } else {
        finding.rule.title.into()
    }
}

/// That there is no such test, or what the one there is lacks.
fn missing(record: &Record, visits: &[usize], required: &Required) -> Phrase {
    if let Some(behind) = required.told_behind() {
        return behind;
    }
    let kind = required.requirement.kind;
    match is_there(record, visits, required) || kind == TestKind::Restored {
        true if by_crests(record, visits, required) => {
            "needs the excitation with a voltmeter that senses the mean; the one used shows the crest".into()
        }
        true => say!("needs {}", required.requirement.needs),
        false => say!("no {} on record", kind.title().to_lowercase()),
    }
}

/// Whether all curves that might show it are by the crest of the voltage.
fn by_crests(record: &Record, visits: &[usize], required: &Required) -> bool {
    let visits = visits.iter().filter_map(|index| record.visits.get(*index));
    let tests = visits.flat_map(|visit| &visit.tests);
    let tests = tests.filter(|test| required.core.is_none_or(|core| test.touches(core)));
    let mut curves = tests.filter_map(Test::excitation).peekable();
    required.requirement.kind == TestKind::Excitation
        && curves.peek().is_some()
        && curves.all(|curve| curve.voltmeter.value() == Some(&Voltmeter::Peak))
}

/// Whether a test that might show it is there.
fn is_there(record: &Record, visits: &[usize], required: &Required) -> bool {
    let visits = visits.iter().filter_map(|index| record.visits.get(*index));
    let mut tests = visits.flat_map(|visit| &visit.tests);
    tests.any(|test| {
        let on = required.core.is_none_or(|core| test.touches(core));
        on && test.kind == required.requirement.kind
    })
}

/// The reason that the record gives for a test that was not done.
fn reason(record: &Record, omitted: &[(Scope, &Omission)], required: &Required) -> Option<String> {
    let mut omitted = omitted.iter();
    let own = omitted.find(|(scope, _)| excuses(record, scope, required));
    own.map(|(_, omission)| omission.why.clone())
}

/// Whether a `not done` line speaks of a requirement: by its test, or by its name as it is printed.
pub(super) fn excuses(record: &Record, scope: &Scope, required: &Required) -> bool {
    let requirement = required.requirement;
    let full = |pair: Pair| {
        let core = record.cores.get(pair.core);
        (pair, core.is_some_and(|core| core.is_full(pair)))
    };
    let position = |name: &String| {
        let at = Condition::Item(name.clone());
        requirement.is_of_links() && required.conditions.contains(&at)
    };
    let under = |own: &Under| {
        let mut all = required.conditions.iter();
        all.any(|one| match (own, one) {
            (Under::Words(own), one) => one.phrase().to_string() == *own,
            (own, Condition::Voltage(volts)) => own.is_volts(*volts),
            _ => false,
        })
    };
    let is_named = scope.named.as_ref().is_none_or(|named| {
        named.title == requirement.title && named.condition.as_ref().is_none_or(under)
    });
    let of_links = scope.links.is_empty() || scope.links.iter().any(position);
    is_named && of_links && scope.covers(requirement.kind, required.core, required.pair.map(full))
}
