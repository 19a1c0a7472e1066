//! Findings: one value of one test with what it is held against and what came of it.

use super::condition::Condition;
use super::decision::{Requirement, WhyNot, Word};
use super::rules::Rule;
use crate::derive::kinds::excitation::CurveAt;
use crate::derive::outcome::Outcome;
use crate::derive::workings::Value;
use crate::document::{Grade, Phrase};
use crate::ground::span::Span;
use crate::standards::Cited;
use crate::trade::Pair;

/// What the start of a demagnetisation by primary current is told in multiples of.
pub(super) const RATED_PRIMARY_CURRENT: &str = "rated primary current";

/// The words of the report. Only the first four lie on one line; the others say why there is none.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    Word(Word),
    /// One-sided: the method can show that a requirement is not met, and it is not.
    NotMet,
    /// The readings end before the answer; neither pass nor fail. Says what readings are needed.
    NotShown(Phrase),
    /// No word by this method, and why.
    NotDecided(WhyNot),
    /// Reported without a verdict: no limit is known.
    NoLimit,
    /// Reported without a verdict: the section or a value it needs was not understood or is missing.
    NotJudged(Phrase),
    /// An observation without a limit, and how much it weighs.
    Observed(Grade),
}

/// The unit that a value is shown in: its word, and how many of it make one SI unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    pub word: &'static str,
    pub per_si: f64,
}

impl Unit {
    const fn new(word: &'static str, per_si: f64) -> Self {
        Self { word, per_si }
    }
}

/// Units of findings. Angles are kept in radian, percentages in per cent.
pub mod unit {
    use super::Unit;
    pub const VOLT: Unit = Unit::new("V", 1.0);
    pub const KILOVOLT: Unit = Unit::new("kV", 1e-3);
    pub const MILLIVOLT: Unit = Unit::new("mV", 1e3);
    pub const AMPERE: Unit = Unit::new("A", 1.0);
    pub const MILLIAMPERE: Unit = Unit::new("mA", 1e3);
    pub const OHM: Unit = Unit::new("ohm", 1.0);
    pub const MILLIOHM: Unit = Unit::new("mohm", 1e3);
    pub const MEGOHM: Unit = Unit::new("Mohm", 1e-6);
    pub const GIGAOHM: Unit = Unit::new("Gohm", 1e-9);
    pub const PERCENT: Unit = Unit::new("%", 1.0);
    pub const MINUTE_OF_ARC: Unit = Unit::new("arcmin", 10_800.0 / std::f64::consts::PI);
    pub const CENTIRADIAN: Unit = Unit::new("crad", 100.0);
    pub const DEGREE: Unit = Unit::new("deg", 180.0 / std::f64::consts::PI);
    pub const VOLT_AMPERE: Unit = Unit::new("VA", 1.0);
    pub const SECOND: Unit = Unit::new("s", 1.0);
    pub const MILLISECOND: Unit = Unit::new("ms", 1e3);
    pub const HERTZ: Unit = Unit::new("Hz", 1.0);
    pub const PICOFARAD: Unit = Unit::new("pF", 1e12);
    pub const PICOCOULOMB: Unit = Unit::new("pC", 1e12);
    pub const ONE: Unit = Unit::new("", 1.0);

    /// Volt or kilovolt, as plates and tables write a voltage that was chosen.
    pub fn voltage(si: f64) -> Unit {
        if si.abs() < 1e4 { VOLT } else { KILOVOLT }
    }

    /// Ampere or milliampere, whichever reads better.
    pub fn current(si: f64) -> Unit {
        if si.abs() < 1.0 { MILLIAMPERE } else { AMPERE }
    }
}

/// What a value is held against.
#[derive(Clone, Debug)]
pub struct Against {
    /// In the SI unit of the value. For an error that may go either way: `upper` of its magnitude.
    pub requirement: Requirement,
    /// The value's magnitude is judged, not the signed value.
    pub magnitude: bool,
    pub cited: Cited,
    /// Where the plate or the duty states it.
    pub span: Option<Span>,
    /// A verdict needs an uncertainty (measuring classes, the turns ratio of PX).
    pub needs_u: bool,
    /// An uncertainty larger than the limit lets nothing pass, and what is not known of it counts at least to the last
    /// digits written. Common practice, no source: a reading that cannot tell zero from its limit shows nothing.
    pub no_wider: bool,
}

/// What stands behind a finding that names a cause.
#[derive(Clone, Debug)]
pub struct Because {
    /// Natural logarithm of how much likelier it is than that nothing is wrong.
    pub gain: f64,
    /// The next likeliest cause, and the natural logarithm of the odds against it.
    pub next: Option<(&'static Rule, f64)>,
    /// What speaks for it, the weightiest first, and what speaks against it.
    pub speaks_for: Vec<Phrase>,
    pub speaks_against: Vec<Phrase>,
    /// The reading that would decide.
    pub decide: Option<Phrase>,
    /// Which of the causes of its record it is; what it explains bears the same number.
    pub number: usize,
    /// The pairs whose readings it explains.
    pub behind: Vec<Behind>,
    /// What alone rests on it, where that is less than on others of its rule.
    pub of: Option<Resting>,
}

/// The rules of findings that rest on something.
pub type Resting = &'static [&'static [&'static Rule]];

/// A pair whose readings a cause explains.
#[derive(Clone, Copy, Debug)]
pub struct Behind {
    pub pair: Pair,
    /// What it adds to ln of its resistance; zero where it moves something else.
    pub resistance: f64,
}

impl Because {
    /// To one against the next likeliest, or where there is none against that nothing is wrong. No odds are told
    /// beyond a thousand: what nobody thought of is not among the causes.
    pub fn odds(&self) -> f64 {
        let lead = self.next.map_or(self.gain, |(_, lead)| lead);
        libm::exp(lead).min(1000.0)
    }
}

/// One finding.
#[derive(Clone, Debug)]
pub struct Finding {
    pub rule: &'static Rule,
    /// Index of the test section in the visit; `None` for what no section holds (a duty).
    pub section: Option<usize>,
    /// What it was read with.
    pub instrument: Option<String>,
    /// The earlier visit whose curve it rests on.
    pub rests_on: Option<usize>,
    /// The verdict that a doubt withholds, and the rule of the doubt.
    pub withheld: Option<(Box<Verdict>, &'static Rule)>,
    pub core: Option<usize>,
    pub pair: Option<Pair>,
    /// Under which conditions: with rule, core and pair they tell a finding from all others.
    pub conditions: Vec<Condition>,
    /// What was observed, where it is no number.
    pub observed: Phrase,
    /// None where there is no number.
    pub found: Option<Outcome>,
    pub unit: Unit,
    pub against: Option<Against>,
    pub verdict: Verdict,
    /// Remarks that belong beside the value: bias, method, the other sum.
    pub remarks: Vec<Phrase>,
    /// What to do next, where it is not the rule's own action.
    pub next: Option<Phrase>,
    /// Readings and plate values it speaks of, the reading first.
    pub points_at: Vec<Span>,
    /// All that a value without a limit shows of its requirement, where that is less than the whole of it.
    pub shows_only: Option<&'static str>,
    /// Whether it heads the matrix and the summary of its test.
    pub headline: bool,
    /// Share of rated current that it was read at, per cent, where what fails is answered at about as much only.
    pub at_current: Option<f64>,
    /// Where it names a cause: what stands behind it.
    pub because: Option<Box<Because>>,
    /// The number of the cause that explains it.
    pub explained: Option<usize>,
}

impl Finding {
    /// A finding without limit; the judge of the test fills in the rest.
    pub fn new(rule: &'static Rule, found: impl Into<Option<Outcome>>, unit: Unit) -> Self {
        Self {
            rule,
            section: None,
            instrument: None,
            rests_on: None,
            withheld: None,
            core: None,
            pair: None,
            conditions: Vec::new(),
            observed: Phrase::default(),
            found: found.into(),
            unit,
            against: None,
            verdict: Verdict::NoLimit,
            remarks: Vec::new(),
            next: None,
            points_at: Vec::new(),
            shows_only: None,
            headline: false,
            at_current: None,
            because: None,
            explained: None,
        }
    }

    /// A finding that has no number.
    pub fn without(rule: &'static Rule, unit: Unit) -> Self {
        Self::new(rule, None::<Outcome>, unit)
    }

    /// An observation: no number, no limit.
    pub fn observation(rule: &'static Rule, observed: impl Into<Phrase>, grade: Grade) -> Self {
        let finding = Self::without(rule, unit::ONE).observed(observed);
        finding.graded(grade)
    }

    #[must_use]
    pub fn at(mut self, section: usize, pair: Pair, points_at: Vec<Span>) -> Self {
        self.section = Some(section);
        self.of(pair, points_at)
    }

    /// By a curve, of the visit itself or of an earlier one.
    #[must_use]
    pub fn by_curve(mut self, at: CurveAt, pair: Pair, points_at: Vec<Span>) -> Self {
        match at {
            CurveAt::Section(section) => self.section = Some(section),
            CurveAt::Visit(visit) => self.rests_on = Some(visit),
        }
        self.of(pair, points_at)
    }

    /// Of a pair, where no section holds it.
    #[must_use]
    pub fn of(mut self, pair: Pair, points_at: Vec<Span>) -> Self {
        self.core = Some(pair.core);
        self.pair = Some(pair);
        self.points_at = points_at;
        self
    }

    /// In a section, where it is not one pair's: of a core, or of the whole unit.
    #[must_use]
    pub fn within(mut self, section: usize, core: Option<usize>, at: Span) -> Self {
        self.section = Some(section);
        self.core = core;
        self.points_at.push(at);
        self
    }

    /// Under one more condition.
    #[must_use]
    pub fn under(mut self, condition: impl Into<Option<Condition>>) -> Self {
        self.conditions.extend(condition.into());
        self
    }

    #[must_use]
    pub fn observed(mut self, observed: impl Into<Phrase>) -> Self {
        self.observed = observed.into();
        self
    }

    #[must_use]
    pub fn verdict(mut self, verdict: Verdict) -> Self {
        self.verdict = verdict;
        self
    }

    /// Observed without a limit, and how much it weighs.
    #[must_use]
    pub fn graded(self, grade: Grade) -> Self {
        self.verdict(Verdict::Observed(grade))
    }

    #[must_use]
    pub fn remark(mut self, remark: impl Into<Phrase>) -> Self {
        self.remarks.push(remark.into());
        self
    }

    #[must_use]
    pub fn next(mut self, next: impl Into<Phrase>) -> Self {
        self.next = Some(next.into());
        self
    }

    #[must_use]
    pub fn headline(mut self) -> Self {
        self.headline = true;
        self
    }

    /// The number, whichever side of the truth it is.
    pub fn value(&self) -> Option<Value> {
        self.found.and_then(|found| found.value())
    }

    /// The number when it is known on both sides.
    pub fn known(&self) -> Option<Value> {
        self.found.and_then(|found| found.known())
    }

    /// Whether it is a demagnetisation by primary current: no curve goes into it.
    pub(super) fn is_by_primary_current(&self) -> bool {
        let mut all = self.conditions.iter();
        all.any(|one| matches!(one, Condition::InTimesOf(RATED_PRIMARY_CURRENT)))
    }

    /// What to do: its own next step, else the rule's action where it is not good.
    pub fn action(&self) -> Option<Phrase> {
        let of_rule = (self.grade() >= Grade::Review && !self.rule.action.is_empty())
            .then(|| Phrase::from(self.rule.action));
        self.next.clone().or(of_rule)
    }

    /// Whether two findings of one record speak of the same value: rule, core, pair and conditions.
    pub fn is_same(&self, other: &Self) -> bool {
        self.is_same_on(self.core, other)
    }

    /// The same with a finding of another record, in which this one's core is `core`.
    pub fn is_same_on(&self, core: Option<usize>, other: &Self) -> bool {
        let terminals = |finding: &Self| finding.pair.map(|pair| (pair.from, pair.to));
        let placed = other.core == core && terminals(self) == terminals(other);
        placed && self.rule == other.rule && self.shares(other, |_, _| true)
    }

    /// Whether the conditions that count are the same.
    pub(super) fn shares(&self, other: &Self, counts: fn(&Rule, &Condition) -> bool) -> bool {
        let mut mine = self.conditions.iter().filter(|one| counts(self.rule, one));
        let mut theirs = other
            .conditions
            .iter()
            .filter(|one| counts(other.rule, one));
        let all = mine.all(|one| theirs.next().is_some_and(|other| one.is_same(other)));
        all && theirs.next().is_none()
    }

    /// Whether it is a cause that explains another finding of the same visit.
    pub fn explains(&self, other: &Self) -> bool {
        let number = self.because.as_ref().map(|because| because.number);
        number.is_some() && other.explained == number
    }

    /// What it comes to, for summaries.
    pub fn grade(&self) -> Grade {
        match &self.verdict {
            Verdict::Word(Word::Pass | Word::ConditionalPass) => Grade::Pass,
            Verdict::Word(Word::ConditionalFail) => Grade::Review,
            Verdict::Word(Word::Fail) | Verdict::NotMet => Grade::Fails,
            Verdict::NotShown(_) | Verdict::NotDecided(_) | Verdict::NotJudged(_) => Grade::Open,
            Verdict::NoLimit => Grade::Info,
            Verdict::Observed(grade) => *grade,
        }
    }
}
