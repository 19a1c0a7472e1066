//! The one place where a value meets a limit.

use super::assess::Judging;
use super::decision::{Requirement, WhyNot, Word, coverage, decide, decide_by_part};
use super::finding::{Against, Finding, Unit, Verdict};
use super::words;
use crate::derive::component::Component;
use crate::derive::outcome::{Outcome, Reason};
use crate::derive::workings::{Uncertainty, Value, Workings};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::record::criteria::Criteria;
use crate::standards::{Citation, Cited, Family};

/// Expanded uncertainty U = k u of a value, in its SI unit; `None` when a reading it rests on states none.
pub fn expanded(w: &Workings, value: Value, criteria: &Criteria) -> Option<f64> {
    let uncertainty = w.uncertainty(value);
    let u = coverage_factor(criteria, &uncertainty) * uncertainty.u;
    (uncertainty.known && u.is_finite()).then_some(u)
}

/// The part of the expanded uncertainty that is known. What is not known may bring more degrees of freedom, so
/// that the factor is the usual one.
pub(super) fn part(w: &Workings, value: Value, criteria: &Criteria) -> f64 {
    criteria.k * w.uncertainty(value).u
}

/// The coverage factor of an uncertainty: the job's where it states one, else the usual one with the
/// effective degrees of freedom taken into account.
pub fn coverage_factor(criteria: &Criteria, uncertainty: &Uncertainty) -> f64 {
    match criteria.k_fixed {
        true => criteria.k,
        false => coverage::factor(criteria.k, uncertainty.freedom),
    }
}

impl Judging<'_> {
    /// Expanded uncertainty of a value; see [`expanded`].
    pub fn expanded(&self, value: Value) -> Option<f64> {
        expanded(self.w, value, self.case.criteria)
    }

    /// A value with its uncertainty in words.
    pub fn number(&self, value: Value, unit: Unit) -> Quantity {
        words::number(self.w, self.case.criteria, value, unit)
    }

    /// A figure that the standards of one family state: for a plate of another one it is the program's
    /// own criterion.
    pub fn after(&self, family: Family, cited: &Cited) -> Cited {
        if self.case.record.plate.family() == family {
            return cited.clone();
        }
        let own = Citation {
            id: format!("own-{}", cited.id),
            source: format!("own criterion, after {}", cited.source),
            ..Citation::clone(cited)
        };
        own.into()
    }

    /// Holds a known value against a requirement.
    pub fn hold(&self, value: Value, against: &Against) -> Verdict {
        let shown = against.size(value.si);
        let (u, rule) = (self.expanded(value), self.case.criteria.rule);
        let part = || match against.no_wider {
            true => libm::hypot(self.part(value), self.rounding(value)),
            false => self.part(value),
        };
        let decided = if u.is_none() && !against.needs_u {
            decide_by_part(shown, part(), &against.requirement, rule)
        } else {
            decide(shown, u, &against.requirement, rule, against.needs_u)
        };
        let is_wide = || {
            let most = against.requirement.size().filter(|_| against.no_wider);
            most.is_some_and(|most| u.unwrap_or_else(part) > most)
        };
        match decided {
            Ok(word) if word != Word::Fail && is_wide() => {
                Verdict::NotDecided(WhyNot::UncertaintyBeyondLimit)
            }
            Err(WhyNot::UncertaintyKnownInPart) if is_wide() => {
                Verdict::NotDecided(WhyNot::UncertaintyBeyondLimit)
            }
            decided => decided.map_or_else(Verdict::NotDecided, Verdict::Word),
        }
    }

    /// What the last digits written alone make of the expanded uncertainty: each is a rounding (JCGM 100:2008, 4.3.7).
    fn rounding(&self, value: Value) -> f64 {
        self.case.criteria.k * self.w.digit(value).unwrap_or(0.0) / 12f64.sqrt()
    }

    fn part(&self, value: Value) -> f64 {
        part(self.w, value, self.case.criteria)
    }

    /// The known part in words, with what most of it is: `known of its uncertainty: ± 0.031 ohm, most of it
    /// temperature of the winding`.
    fn known_part(&self, value: Value, unit: Unit) -> Phrase {
        let part = words::quantity(self.part(value), 2, unit);
        let budget = self.w.budget(value).into_iter();
        let most = budget.max_by(|a, b| a.contribution.abs().total_cmp(&b.contribution.abs()));
        let most = match most.map(|row| row.component) {
            Some(Component::Range {
                instrument,
                measure,
                ..
            }) => {
                say!(", most of it {} {}", instrument, measure.word())
            }
            Some(component) => say!(", most of it {}", words::component(&component)),
            None => Phrase::default(),
        };
        say!("known of its uncertainty: ± {}{}", part, most)
    }

    /// Holds an outcome against a limit on one side. A value past the readings can only break an upper
    /// limit and keep a lower one, one before them the other way round; all else is `beyond` or `before`.
    pub fn one_sided(
        &self,
        outcome: &Outcome,
        against: &Against,
        beyond: Verdict,
        before: Verdict,
    ) -> Verdict {
        let (value, at_least, open) = match outcome {
            Outcome::Known(value) => return self.hold(*value, against),
            Outcome::AtLeast(value) | Outcome::NotReached { beyond: value } => {
                (value, true, beyond)
            }
            Outcome::AtMost(value) => (value, false, before),
            Outcome::Lacking(why) => return not_judged(reason(*why)),
        };
        let can_break = at_least == against.requirement.upper.is_some();
        match self.hold(*value, against) {
            Verdict::Word(Word::Fail) if can_break => Verdict::NotMet,
            pass @ Verdict::Word(Word::Pass) if !can_break => pass,
            _ => open,
        }
    }
}

pub(super) fn not_judged(why: &'static str) -> Verdict {
    Verdict::NotJudged(why.into())
}

/// Why a curve gives no answer, in words.
pub(super) fn reason(reason: Reason) -> &'static str {
    match reason {
        Reason::TooFewPoints => "too few readings",
        Reason::NotRising => "the current does not rise with the voltage",
        Reason::NoCrossing => "the curve has no knee by this rule within its readings",
        Reason::BelowFirstReading => "it lies below the first reading",
        Reason::OutOfDomain => "the values do not allow it",
        Reason::TooLong => "the calculation would take too long",
        Reason::Crest => "the voltmeter showed the crest, which gives no knee",
    }
}

/// Why nothing of a section with a stray line is judged: it is shown only.
pub(super) const NOT_UNDERSTOOD: &str = "a line of this section is not understood";

impl Finding {
    /// Holds the finding's known value against a limit; one-sided values need their own judgement.
    #[must_use]
    pub(super) fn against(self, j: &Judging<'_>, against: Against) -> Self {
        let verdict = match self.known() {
            Some(value) => j.hold(value, &against),
            None => self.verdict.clone(),
        };
        let in_part = verdict == Verdict::NotDecided(WhyNot::UncertaintyKnownInPart);
        let is_wide = verdict == Verdict::NotDecided(WhyNot::UncertaintyBeyondLimit);
        let by_digits = against.no_wider && (in_part || is_wide);
        let known = self.known().filter(|_| in_part || is_wide);
        let part = known.and_then(|value| match j.rounding(value) {
            // Of a reading that was written short nothing else needs to be told.
            digits if by_digits && digits > j.part(value) / 2.0 => Some(say!(
                "the last digits written make ± {} of it: write all that was shown, or read with more",
                words::quantity(digits, 2, self.unit)
            )),
            _ => in_part.then(|| j.known_part(value, self.unit)),
        });
        let mut held = self.held(against, verdict);
        held.remarks.extend(part);
        held
    }

    /// Puts a limit on it with the verdict that was found elsewhere.
    #[must_use]
    pub(super) fn held(mut self, against: Against, verdict: Verdict) -> Self {
        self.points_at.extend(against.span);
        self.against = Some(against);
        self.verdict(verdict)
    }

    /// Shows a limit that calls for a look, and is no requirement.
    #[must_use]
    pub(super) fn beyond(self, against: Against) -> Self {
        self.held(against, Verdict::Observed(Grade::Review))
    }

    /// Withholds the verdict where it rests on a section or reading not understood; a limit is shown
    /// all the same.
    #[must_use]
    pub(super) fn withheld(mut self, doubtful: Option<Span>) -> Self {
        let Some(span) = doubtful else { return self };
        self.points_at.push(span);
        self.verdict(not_judged(NOT_UNDERSTOOD))
            .next("ask who tested what the line was to say, and have the record corrected; where nobody knows, test again")
    }
}

impl Against {
    /// What of a value is held against the limits: it, or its magnitude.
    pub(super) fn size(&self, value: f64) -> f64 {
        match self.magnitude {
            true => value.abs(),
            false => value,
        }
    }

    fn new(requirement: Requirement, cited: &Cited) -> Self {
        Self {
            requirement,
            magnitude: false,
            cited: cited.clone(),
            span: None,
            needs_u: false,
            no_wider: false,
        }
    }

    pub(super) fn at_most(upper: f64, cited: &Cited) -> Self {
        Self::new(Requirement::at_most(upper), cited)
    }

    pub(super) fn at_least(lower: f64, cited: &Cited) -> Self {
        Self::new(Requirement::at_least(lower), cited)
    }

    pub(super) fn between(lower: f64, upper: f64, cited: &Cited) -> Self {
        Self::new(Requirement::between(lower, upper), cited)
    }

    /// Either way from zero by this much.
    pub(super) fn within(limit: f64, cited: &Cited) -> Self {
        Self {
            magnitude: true,
            ..Self::at_most(limit, cited)
        }
    }

    /// Plate or duty state it there.
    #[must_use]
    pub(super) fn stated_at(self, span: Span) -> Self {
        Self {
            span: Some(span),
            ..self
        }
    }

    /// Nothing passes by an uncertainty that is larger than the limit.
    #[must_use]
    pub(super) fn no_wider(self) -> Self {
        Self {
            no_wider: true,
            ..self
        }
    }

    /// A verdict needs an uncertainty.
    #[must_use]
    pub(super) fn needs_u(self) -> Self {
        Self {
            needs_u: true,
            ..self
        }
    }
}

/// A limit of the rating plate.
pub(super) fn plate(what: &str) -> Cited {
    let id = format!("plate-{}", what.replace(' ', "-"));
    Cited::stated(id, format!("rating plate, {what}"))
}
