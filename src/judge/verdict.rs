//! The one place where a value meets a limit.

use super::decision::{Decision, Requirement, Rule, decide};
use super::finding::{Against, Finding, Found, Verdict};
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::record::criteria::{Criteria, DecisionRule};
use crate::standards::Cited;

/// The rule of the job in the judge's terms.
pub fn rule(criteria: &Criteria) -> Rule {
    match criteria.rule {
        DecisionRule::SimpleAcceptance => Rule::SimpleAcceptance,
        DecisionRule::GuardBand { factor } => Rule::GuardBand { factor },
    }
}

/// Expanded uncertainty U = k u of a value, in its SI unit; `None` when a reading it rests on states none.
pub fn expanded(w: &Workings, value: Value, criteria: &Criteria) -> Option<f64> {
    let uncertainty = w.uncertainty(value);
    let u = criteria.k * uncertainty.u;
    (uncertainty.known && u.is_finite()).then_some(u)
}

/// Holds a known value against a requirement.
pub fn judge(w: &Workings, criteria: &Criteria, value: Value, against: &Against) -> Verdict {
    let shown = if against.magnitude {
        value.si.abs()
    } else {
        value.si
    };
    match decide(
        shown,
        expanded(w, value, criteria),
        &against.requirement,
        rule(criteria),
        against.needs_u,
    ) {
        Decision::Word(word) => Verdict::Word(word),
        Decision::NotDecided(why) => Verdict::NotDecided(why),
    }
}

impl Finding {
    /// Holds the finding's known value against a limit; one-sided values need their own judgement.
    #[must_use]
    pub fn against(self, w: &Workings, criteria: &Criteria, against: Against) -> Self {
        let verdict = match self.found {
            Found::Known(value) => judge(w, criteria, value, &against),
            _ => self.verdict.clone(),
        };
        self.held(against, verdict)
    }

    /// Puts a limit on it with the verdict that was found elsewhere.
    #[must_use]
    pub fn held(mut self, against: Against, verdict: Verdict) -> Self {
        self.verdict = verdict;
        self.points_at.extend(against.span);
        self.against = Some(against);
        self
    }
}

/// A limit of the rating plate.
pub fn plate_limit(requirement: Requirement, what: &str, span: Span) -> Against {
    let cited = Cited {
        id: format!("plate-{}", what.replace(' ', "-")),
        source: format!("rating plate, {what}"),
        provenance: crate::standards::Provenance::Seen,
        note: None,
    };
    Against {
        requirement,
        magnitude: false,
        cited,
        span: Some(span),
        needs_u: false,
    }
}

/// A limit of a standard or profile.
pub fn cited_limit(requirement: Requirement, cited: &Cited) -> Against {
    Against {
        requirement,
        magnitude: false,
        cited: cited.clone(),
        span: None,
        needs_u: false,
    }
}

impl Against {
    /// The value's magnitude is judged.
    #[must_use]
    pub fn magnitude(mut self) -> Self {
        self.magnitude = true;
        self
    }

    /// A verdict needs an uncertainty.
    #[must_use]
    pub fn needs_u(mut self) -> Self {
        self.needs_u = true;
        self
    }
}
