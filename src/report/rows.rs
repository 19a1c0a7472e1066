//! The rows of a CT's table: what is required, the limit, what was found, and what stands beside it, as
//! data. Nothing is judged here: each row tells the standing of one requirement and what that rests on.

use super::Subject;
use crate::compare::{Beside, Change, Drift, History, Past, beside};
use crate::derive::workings::StepId;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::condition::{Condition, titled};
use crate::judge::decision::Word;
use crate::judge::finding::{Finding, Unit, Verdict, unit};
use crate::judge::requirement::{ALL, Claims, Required, Shown, Standing};
use crate::judge::rules::{self, Rule, Whose};
use crate::judge::standing::Told;
use crate::judge::words;
use crate::record::Record;
use crate::record::kinds::TestKind;
use crate::record::occasion::are_together;
use crate::record::visit::Visit;
use crate::trade::Pair;
use std::borrow::Cow;

/// By what the same row is found on a sister.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    /// Of the requirement.
    pub id: &'static str,
    /// Name of the core; `None` for the unit as a whole.
    pub core: Option<String>,
    /// Terminals as positions in the marks of the core, the lower one first.
    pub pair: Option<(u8, u8)>,
    /// The class and the voltage that it holds at, in words.
    pub conditions: String,
}

/// One requirement with what was shown of it.
#[derive(Clone, Debug)]
pub struct Row {
    pub key: Key,
    pub core: Option<usize>,
    pub pair: Option<Pair>,
    /// The transformer's or the circuit's.
    pub whose: Whose,
    /// The kind of test that shows it.
    pub kind: TestKind,
    /// `exciting current at 300 V`; its class stands with the core.
    pub title: Phrase,
    /// Under what it was found, as it follows the title: ` at 20 °C, 1S to primary, cores and earth`. Of a
    /// kind of test whose values say enough without, nothing.
    under: Phrase,
    /// `2S`, `2S1-2S2`, `the primary`.
    pub subject: Phrase,
    /// `≤ 30 mA`; empty where nothing was held against a limit.
    pub limit: Phrase,
    /// The clause that states the limit, and its line where plate or duty state it.
    pub source: Phrase,
    pub stated_at: Option<Span>,
    /// `69.1 ± 0.2 mA`, `as marked`; empty where nothing was found.
    pub found: Phrase,
    /// The unit of the value.
    pub unit: Option<Unit>,
    /// The step of the workings that gives the value.
    pub step: Option<StepId>,
    /// What else was found of the same thing, where one value does not tell the whole of it.
    pub also: Phrase,
    /// What is lacking, or stands against it.
    pub why: Phrase,
    /// What would show it, where nothing was tested and the reason does not say so.
    pub needs: Option<&'static str>,
    pub beside: Asides,
    pub grade: Grade,
    /// `met`, `withheld`, `not shown`.
    pub word: &'static str,
    /// Whether the visit asks for it.
    pub due: bool,
    /// Whether any test speaks of it.
    pub is_tested: bool,
    /// The visit of an earlier occasion that it rests on.
    pub earlier: Option<usize>,
}

/// The median of the sisters.
#[derive(Clone, Debug)]
pub struct Aside {
    pub value: Quantity,
    /// By how many per cent the value found is off it; `None` where a share says nothing.
    pub off: Option<f64>,
    /// How many values it is the median of.
    pub of: usize,
}

/// The same value at an earlier visit.
#[derive(Clone, Debug)]
pub struct Before {
    pub visit: usize,
    pub value: Phrase,
    /// From then to now; `None` where the two cannot be compared.
    pub change: Option<Change>,
    /// The unit that a difference of the two is shown in.
    pub unit: Unit,
}

/// What stands beside a value.
#[derive(Clone, Debug, Default)]
pub struct Asides {
    /// Of the maker's certificate.
    pub factory: Option<Before>,
    /// Of the last visit before.
    pub last: Option<Before>,
    pub sisters: Option<Aside>,
    pub drift: Option<Drift>,
}

impl Row {
    /// Whether it stands among what was asked for or tested. What a visit does not ask for, and what a test of
    /// another purpose does not show either, stands with all else of that kind.
    pub fn is_told(&self) -> bool {
        let missing = self.word == Standing::NotShown(Phrase::default()).word();
        self.due || self.is_tested && !missing
    }

    /// Its title, with what has to stand beside the values of several CTs.
    pub fn name(&self) -> Phrase {
        match tells(self.kind) {
            Tells::Everywhere => self.full_name(),
            Tells::Nothing | Tells::OnItsPage | Tells::AtEachValue => self.titled(),
        }
    }

    /// What was found, as it stands beside that of other CTs, which may have been tested otherwise.
    pub fn found_abreast(&self) -> Phrase {
        match tells(self.kind) {
            Tells::AtEachValue if !self.found.is_empty() => {
                self.found.clone().then(self.under.clone())
            }
            _ => self.found.clone(),
        }
    }

    /// The same with all its conditions.
    pub fn full_name(&self) -> Phrase {
        self.titled().then(self.under.clone())
    }

    fn titled(&self) -> Phrase {
        match self.core {
            Some(_) => self.title.clone(),
            None => say!("{} of {}", self.title.clone(), self.subject.clone()),
        }
    }
}

/// Where a kind of test tells the conditions of its values, which the requirement does not name.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Tells {
    /// The values say enough without.
    Nothing,
    /// On the page of a CT: they are its own.
    OnItsPage,
    /// There, and beside other CTs at the value of each: it says nothing without its voltage.
    AtEachValue,
    Everywhere,
}

fn tells(kind: TestKind) -> Tells {
    match kind {
        TestKind::Insulation
        | TestKind::Withstand
        | TestKind::DissipationFactor
        | TestKind::Continuity
        | TestKind::SingleEarth => Tells::OnItsPage,
        TestKind::InterTurn | TestKind::PartialDischarge => Tells::AtEachValue,
        TestKind::PrimaryResistance | TestKind::Resistance | TestKind::Demagnetisation => {
            Tells::Everywhere
        }
        _ => Tells::Nothing,
    }
}

/// The unit that a record's insulation is told in, its values below one another: the larger one as soon as
/// one of them is; `None` where nothing of it is told.
pub fn insulation_unit(claims: &Claims<'_>) -> Option<Unit> {
    let all = || claims.shown.iter().flat_map(|shown| &shown.evidence);
    let has = |unit: &Unit| all().any(|told| is_insulation(told) && told.unit == *unit);
    [unit::GIGAOHM, unit::MEGOHM].into_iter().find(has)
}

/// All rows of a CT: core by core, the unit as a whole behind them, in the order of a report; those of
/// insulation in a unit.
pub fn rows_in(subject: &Subject<'_>, insulation: Unit) -> Vec<Row> {
    let mut all: Vec<&Shown<'_>> = subject.claims.shown.iter().collect();
    let order = |one: &&Shown<'_>| {
        let required = &one.required;
        let at = ALL.iter().position(|of| *of == required.requirement);
        // The unit's own stand behind the last core's.
        (required.core.unwrap_or(usize::MAX), at)
    };
    all.sort_by_cached_key(order);
    all.into_iter()
        .map(|one| row(subject, one, insulation))
        .collect()
}

fn row(subject: &Subject<'_>, shown: &Shown<'_>, insulation: Unit) -> Row {
    let (record, required) = (subject.record, &shown.required);
    let proof = shown.proof();
    let told = proof.map(|proof| nearest(record, &subject.claims, proof).unwrap_or(proof));
    // What was only observed and decides nothing stands in the reason.
    let says = |told: &&Told<'_>| {
        let decided = !shown.standing.is_undecided();
        told.value().is_some() || !told.observed.is_empty() && decided
    };
    let told = told.filter(says).map(|told| in_unit(told, insulation));
    let told = told.as_deref();
    let against = told.and_then(|told| told.against.as_ref());
    let source = against.map(|against| words::cite(&against.cited));
    let w = &subject.assessment.workings;
    let number = told.and_then(|told| words::shown(w, subject.criteria, told));
    let beside = told.map(|told| asides(subject, told.visit, told, number.as_ref()));
    // Which of several points a class was held at is a part of what was found.
    let found = |told: &Told<'_>| {
        let found = words::found_as(told, number);
        let at = || {
            let at = told.conditions.iter().filter(|one| !is_class(one));
            Phrase::join(at.map(Condition::phrase), ", ")
        };
        match proof.is_some_and(|proof| proof.is_same(told)) {
            true if BY_CURRENT.contains(&told.rule) => say!("{} {}", found, at()),
            true => found,
            false => say!("{}: {} {}", told.rule.title, found, at()),
        }
    };
    let also = also(subject, shown, told);
    Row {
        key: key(record, required),
        core: required.core,
        pair: required.pair,
        whose: required.requirement.whose,
        kind: required.requirement.kind,
        title: title(required),
        under: told.map(|told| under(required, told)).unwrap_or_default(),
        subject: crate::judge::requirement::subject(record, shown),
        limit: told.map(|told| words::bound(told)).unwrap_or_default(),
        source: source.unwrap_or_default(),
        stated_at: against.and_then(|against| against.span),
        found: told.map(found).unwrap_or_default(),
        unit: told.map(|told| told.unit),
        step: told.and_then(|told| Some(told.value()?.step)),
        also,
        why: why(subject, shown, told),
        needs: shown.needs(),
        beside: beside.unwrap_or_default(),
        grade: shown.standing.grade(),
        word: shown.standing.word(),
        due: required.due,
        is_tested: !shown.evidence.is_empty(),
        earlier: shown.earlier,
    }
}

/// What is lacking or stands against it; of what is good, what a reader has to know beside the value.
fn why(subject: &Subject<'_>, shown: &Shown<'_>, told: Option<&Told<'_>>) -> Phrase {
    let w = &subject.assessment.workings;
    let beside = || match told? {
        told if shown.standing == Standing::Measured => told.shows_only,
        told => words::nearness(w, subject.criteria, told),
    };
    let why = shown.standing.why();
    why.or_else(|| beside().map(Phrase::from))
        .unwrap_or_default()
}

/// What else was found of the same thing: the charge at the other voltages, the capacitance that was read with a
/// dissipation factor, what may stay as it was seen, and beside a ratio what an interposing CT and the CT that feeds it are together.
fn also(subject: &Subject<'_>, shown: &Shown<'_>, told: Option<&Told<'_>>) -> Phrase {
    let all: Vec<&Told<'_>> = match shown.required.requirement.kind {
        TestKind::PartialDischarge => {
            let other = |one: &&Told<'_>| told.is_some_and(|told| !one.is_same(told));
            shown.evidence.iter().filter(other).collect()
        }
        TestKind::DissipationFactor => {
            let visit = told.map(|told| told.visit);
            let of_row = |one: &&Told<'_>| {
                one.rule == &rules::dissipation_factor::CAPACITANCE
                    && told.is_none_or(|told| one.conditions == told.conditions)
                    && visit.is_none_or(|visit| one.visit == visit)
            };
            subject.claims.told().filter(of_row).collect()
        }
        // What somebody answered for, beside the one in the row.
        TestKind::Inspection => {
            let other = |one: &&Told<'_>| told.is_some_and(|told| !one.is_same(told));
            let all = shown.evidence.iter().filter(other);
            all.filter(|one| one.headline).collect()
        }
        TestKind::Ratio if is_in_service(subject, &shown.required) => {
            let both = [
                &rules::ratio::OVERALL_RATIO,
                &rules::primary_resistance::BURDEN_ON_FEEDER,
            ];
            let core = shown.required.core;
            let of = |rule: &'static Rule| {
                let all = subject.claims.standing();
                all.filter(move |one| one.rule == rule && one.core == core)
            };
            both.into_iter().flat_map(of).collect()
        }
        _ => Vec::new(),
    };
    let lines = all.into_iter().filter_map(|one| line(subject, one));
    Phrase::join(lines, "; ")
}

/// Whether it asks for the ratio of the pair that serves.
fn is_in_service(subject: &Subject<'_>, required: &Required) -> bool {
    let of = required.requirement;
    let asks = of.evidence.contains(&&rules::ratio::TURNS_RATIO) && !of.is_of_links();
    let Some(pair) = required.pair.filter(|_| asks) else {
        return false;
    };
    let visits = subject.visits.iter();
    let visits = visits.filter_map(|index| subject.record.visits.get(*index));
    let visits: Vec<&Visit> = visits.collect();
    let serving = subject.record.pair_after(pair.core, &visits);
    serving.map(Pair::ascending) == Some(pair.ascending())
}

/// A value in a line, with what it was held against; nothing where there is none.
fn line(subject: &Subject<'_>, one: &Told<'_>) -> Option<Phrase> {
    let w = &subject.assessment.workings;
    let found = words::found(w, subject.criteria, one);
    // The windings stand in the row.
    let own = one.conditions.iter();
    let own = own.filter(|one| !matches!(one, Condition::Between(_)));
    let own: Vec<Condition> = own.cloned().collect();
    let said = say!("{}: {}", titled(one.rule.title, &own), found.clone());
    let bound = words::bound(one);
    let said = match bound.is_empty() {
        true => said,
        false => say!("{}, {}", said, bound),
    };
    let said = match one.verdict {
        Verdict::NoLimit | Verdict::Word(Word::Pass) | Verdict::Observed(Grade::Info) => said,
        _ => say!("{}, {}", said, words::verdict(&one.verdict)),
    };
    (!found.is_empty()).then_some(said)
}

/// Whether it is an insulation resistance of the unit; that of a circuit is another quantity, far below.
fn is_insulation(told: &Finding) -> bool {
    told.rule.kind == TestKind::Insulation && [unit::MEGOHM, unit::GIGAOHM].contains(&told.unit)
}

/// A finding, where it is a resistance of insulation in the unit of the others.
fn in_unit<'t, 'a>(told: &'t Told<'a>, insulation: Unit) -> Cow<'t, Told<'a>> {
    match is_insulation(told) && told.unit != insulation {
        true => Cow::Owned(told.shown_in(insulation)),
        false => Cow::Borrowed(told),
    }
}

fn key(record: &Record, required: &Required) -> Key {
    let core = required.core.and_then(|core| record.cores.get(core));
    let pair = required.pair.map(Pair::ascending);
    let conditions = required.conditions.iter().map(Condition::phrase);
    Key {
        id: required.requirement.id,
        core: core.map(|core| core.name.clone()),
        pair: pair.map(|pair| (pair.from, pair.to)),
        conditions: Phrase::join(conditions, ", ").to_string(),
    }
}

fn title(required: &Required) -> Phrase {
    let own = required.conditions.iter().filter(|one| !is_class(one));
    own.fold(required.requirement.title.into(), |said, one| {
        say!("{} {}", said, one.phrase())
    })
}

/// The conditions of a finding that its requirement does not name, where its value says nothing without.
fn under(required: &Required, told: &Finding) -> Phrase {
    let kind = required.requirement.kind;
    // A resistance at a temperature is named by it.
    let resistance = [TestKind::Resistance, TestKind::PrimaryResistance].contains(&kind);
    let named = resistance && title(required).to_string().contains(" at ");
    if named || tells(kind) == Tells::Nothing {
        return Phrase::default();
    }
    let own = told.conditions.iter().filter(|one| !is_class(one));
    let own = own.filter(|one| !required.conditions.contains(one));
    let own: Vec<Condition> = own.cloned().collect();
    titled("", &own)
}

fn is_class(condition: &&Condition) -> bool {
    matches!(condition, Condition::Class(_))
}

/// What a class is held at, current by current.
static BY_CURRENT: &[&Rule] = &[
    &rules::ratio::RATIO_ERROR,
    &rules::ratio::PHASE_DISPLACEMENT,
    &rules::ratio::RATIO_CORRECTION_FACTOR,
    &rules::ratio::TRANSFORMER_CORRECTION_FACTOR,
];

/// Of the points that a class as a whole was held at, the one that lies nearest to its limit or farthest
/// beyond.
fn nearest<'c, 'a>(
    record: &Record,
    claims: &'c Claims<'a>,
    whole: &Told<'_>,
) -> Option<&'c Told<'a>> {
    if whole.rule != &rules::ratio::CLASS_SHOWN {
        return None;
    }
    let pair = |one: &Finding| one.pair.map(Pair::ascending);
    let points = claims.told().filter(|one| {
        let together = are_together(record, one.visit, whole.visit);
        BY_CURRENT.contains(&one.rule) && together && pair(one) == pair(whole)
    });
    let used = points.filter_map(|one| Some((used(one)?, one)));
    used.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, one)| one)
}

/// Which share of the room that its limits leave a value takes.
fn used(finding: &Finding) -> Option<f64> {
    let (against, value) = (finding.against.as_ref()?, finding.value()?.si);
    let share = match (against.requirement.lower, against.requirement.upper) {
        (None, Some(upper)) => value.abs() / upper,
        (Some(lower), None) => lower / value,
        (Some(lower), Some(upper)) => {
            let middle = 0.5 * (lower + upper);
            (value - middle).abs() / (upper - middle)
        }
        (None, None) => return None,
    };
    share.is_finite().then_some(share)
}

/// What stands beside a finding of a visit, as finely as its own number is known.
pub(super) fn asides(
    subject: &Subject<'_>,
    visit: usize,
    finding: &Finding,
    own: Option<&Quantity>,
) -> Asides {
    let Subject {
        record,
        assessment,
        criteria,
        sisters,
        ..
    } = subject;
    let finely = |si: f64| {
        let value = own.and_then(|own| own.as_finely(si * finding.unit.per_si));
        value.unwrap_or_else(|| words::quantity(si, 4, finding.unit))
    };
    let before = |past: Past<'_>| {
        let number = past.finding.value().map(|value| finely(value.si));
        Before {
            visit: past.visit,
            value: words::found_as(past.finding, number),
            change: past.change,
            unit: finding.unit,
        }
    };
    let Beside { history, sisters } = beside(record, assessment, criteria, sisters, visit, finding);
    let History {
        factory,
        last,
        drift,
    } = history;
    Asides {
        factory: factory.map(before),
        last: last.map(before),
        sisters: sisters.map(|(median, of)| Aside {
            value: finely(median),
            off: off(finding, median),
            of,
        }),
        drift,
    }
}

/// By how many per cent a value is off another; nothing for errors and angles.
fn off(finding: &Finding, other: f64) -> Option<f64> {
    let value = finding.known().filter(|_| is_proportional(finding.unit))?;
    let share = 100.0 * (value.si / other - 1.0);
    (other != 0.0 && share.is_finite() && share.abs() <= 1e5).then_some(share)
}

/// Whether a deviation in per cent of the value says anything.
fn is_proportional(of: Unit) -> bool {
    use unit::{CENTIRADIAN, DEGREE, MINUTE_OF_ARC, PERCENT};
    ![PERCENT, MINUTE_OF_ARC, CENTIRADIAN, DEGREE].contains(&of)
}
