//! The decision rule: from a value, its uncertainty and a limit to one of four words.
//!
//! After ILAC-G8:09/2019, 4.2.1 (simple acceptance) and 4.2.3 (four words with a guard band), and
//! JCGM 106:2012 for the risk. The guide's intervals overlap at their ends;
//! here equality goes to the better word (own convention, printed by [`describe`]).

pub mod coverage;

use crate::record::criteria::{Criteria, DecisionRule};
use crate::standards::threshold;

/// The outcome of a rule, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Word {
    Pass,
    ConditionalPass,
    ConditionalFail,
    Fail,
}

impl Word {
    /// As printed.
    pub fn text(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional pass",
            Self::ConditionalFail => "conditional fail",
            Self::Fail => "fail",
        }
    }
}

/// One or two limits in the unit of the value. For an error that may go either way, judge its
/// absolute value against `upper` alone.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Requirement {
    pub lower: Option<f64>,
    pub upper: Option<f64>,
}

impl Requirement {
    pub fn at_most(upper: f64) -> Self {
        Self {
            lower: None,
            upper: Some(upper),
        }
    }

    pub fn at_least(lower: f64) -> Self {
        Self {
            lower: Some(lower),
            upper: None,
        }
    }

    pub fn between(lower: f64, upper: f64) -> Self {
        Self {
            lower: Some(lower),
            upper: Some(upper),
        }
    }

    fn usable(&self) -> bool {
        let finite = |t: Option<f64>| t.is_none_or(f64::is_finite);
        let ordered = match (self.lower, self.upper) {
            (None, None) => false,
            (Some(lower), Some(upper)) => lower <= upper,
            _ => true,
        };
        ordered && finite(self.lower) && finite(self.upper)
    }

    /// The size that a third is taken of: the limit itself, or half the width between two.
    pub(super) fn size(&self) -> Option<f64> {
        match (self.lower, self.upper) {
            (Some(lower), Some(upper)) => Some(0.5 * upper - 0.5 * lower),
            (Some(limit), None) | (None, Some(limit)) => Some(limit.abs()),
            (None, None) => None,
        }
    }
}

/// Why there is no word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyNot {
    /// The value is not a finite number.
    ValueUnusable,
    /// No limit, a limit that is not a finite number, or a lower limit above the upper one.
    LimitUnusable,
    /// The guard band factor is negative or not a finite number.
    RuleUnusable,
    /// This requirement is never judged without uncertainty, and none is known.
    UncertaintyMissing,
    /// The uncertainty is negative or not a finite number.
    UncertaintyUnusable,
    /// More than a third of the limit: the method cannot tell.
    UncertaintyTooLarge,
    /// More than the limit: whatever was read, it would lie within both.
    UncertaintyBeyondLimit,
    /// A part of it is known, and that part alone reaches past the limit.
    UncertaintyKnownInPart,
    /// The limit holds at one of two temperatures, the job does not say which, and they differ.
    TemperatureOfLimit,
    /// What is asked for follows from the highest voltage for equipment, and the plate gives none.
    HighestVoltageMissing,
    /// No test voltage is known for this plate.
    TestVoltageUnknown,
    /// The method reads on the low side, and an upper limit is not passed by that.
    ReadsLow,
    /// Neither the record nor the criteria state a limit, and without one it shows nothing.
    LimitUnstated,
}

impl WhyNot {
    /// The reason in words.
    pub fn text(self) -> &'static str {
        match self {
            Self::ValueUnusable => "the value is not a number",
            Self::LimitUnusable => "there is no usable limit",
            Self::RuleUnusable => "the guard band factor is not a number of 0 or more",
            Self::UncertaintyMissing => "the uncertainty of the value is not known",
            Self::UncertaintyUnusable => {
                "the uncertainty of the value is not a number of 0 or more"
            }
            Self::UncertaintyTooLarge => "the uncertainty is more than a third of the limit",
            Self::UncertaintyBeyondLimit => "the uncertainty is larger than the limit",
            Self::UncertaintyKnownInPart => {
                "the part of its uncertainty that is known is larger than its distance to the limit"
            }
            Self::TemperatureOfLimit => {
                "the job does not say whether its minimum holds as read or at 20 °C, and only one of the two meets it"
            }
            Self::HighestVoltageMissing => "the plate gives no highest voltage for equipment",
            Self::TestVoltageUnknown => "no test voltage is known for this rating plate",
            Self::LimitUnstated => "no limit is stated for it",
            Self::ReadsLow => {
                "read at a lower frequency, where it is on the low side; an upper limit is passed at rated frequency only"
            }
        }
    }
}

/// Relative width that counts as equal to a boundary, so that 0.1 + 0.2 is 0.3.
const EQUAL: f64 = 1e-12;

/// Decides `value` against `req` by `rule`: a word, or why there is none.
///
/// `expanded_u` is U (k = 2) in the unit of the value. `needs_u` marks requirements that are never
/// judged without it (measuring classes, the 0.25 % turns ratio of PX): then a missing U, or one
/// above a third of the limit (of half the width between two limits), gives no word. Where it is not
/// needed and not known, a guard band has no width, and simple acceptance takes its place.
pub fn decide(
    value: f64,
    expanded_u: Option<f64>,
    req: &Requirement,
    rule: DecisionRule,
    needs_u: bool,
) -> Result<Word, WhyNot> {
    if !value.is_finite() {
        return Err(WhyNot::ValueUnusable);
    }
    if !req.usable() {
        return Err(WhyNot::LimitUnusable);
    }
    let w = guard_band(expanded_u, req, rule, needs_u)?;
    let upper = req.upper.map_or(Word::Pass, |t| below(value, t, w));
    let lower = req.lower.map_or(Word::Pass, |t| below(-value, -t, w));
    Ok(upper.max(lower))
}

/// Decides `value` where only `part` of its uncertainty is known, a lower bound of U: a word where the
/// value clears the limit by the guard band of that part, else none.
pub fn decide_by_part(
    value: f64,
    part: f64,
    req: &Requirement,
    rule: DecisionRule,
) -> Result<Word, WhyNot> {
    match decide(value, Some(part), req, rule, false)? {
        Word::ConditionalPass | Word::ConditionalFail => Err(WhyNot::UncertaintyKnownInPart),
        word @ (Word::Pass | Word::Fail) => Ok(word),
    }
}

/// The width of the guard band; without one the four words are the two of simple acceptance.
fn guard_band(
    expanded_u: Option<f64>,
    req: &Requirement,
    rule: DecisionRule,
    needs_u: bool,
) -> Result<f64, WhyNot> {
    let usable = |x: f64| x.is_finite() && x >= 0.0;
    let factor = match rule {
        DecisionRule::SimpleAcceptance => 0.0,
        DecisionRule::GuardBand { factor } => factor,
    };
    if !usable(factor) {
        return Err(WhyNot::RuleUnusable);
    }
    let u = match expanded_u {
        None if needs_u => return Err(WhyNot::UncertaintyMissing),
        None => return Ok(0.0),
        Some(u) if !usable(u) => return Err(WhyNot::UncertaintyUnusable),
        Some(u) => u,
    };
    // The trade asks that an instrument be so many times better than what it judges.
    let times = threshold("uncertainty-of-limit").map(|row| row.limit);
    let most = req.size().zip(times).map(|(size, times)| size / times);
    if needs_u && most.is_none_or(|most| u > most * (1.0 + EQUAL)) {
        return Err(WhyNot::UncertaintyTooLarge);
    }
    Some(factor * u)
        .filter(|w| usable(*w))
        .ok_or(WhyNot::UncertaintyUnusable)
}

/// The word for an upper limit `t`; a lower limit is the same with both signs turned.
fn below(y: f64, t: f64, w: f64) -> Word {
    // The width depends on limit and band only, so that a worse value can never gain by it.
    let equal = EQUAL * t.abs() + EQUAL * w;
    if y <= t - w + equal {
        Word::Pass
    } else if y <= t + equal {
        Word::ConditionalPass
    } else if y <= t + w + equal {
        Word::ConditionalFail
    } else {
        Word::Fail
    }
}

/// The sentence that a report prints once: rule, convention at the boundaries, risk.
pub fn describe(criteria: &Criteria) -> String {
    let k = criteria.k;
    match criteria.rule {
        DecisionRule::SimpleAcceptance => {
            "Decision rule: simple acceptance (ILAC-G8:09/2019, 4.2.1): \
             a value on the allowed side of the limit T or equal to T passes, any other fails. \
             A value close to T is judged wrongly with a probability of up to 50 %."
                .to_owned()
        }
        DecisionRule::GuardBand { factor } => {
            let usable = Some(factor).filter(|f| *f >= 0.0);
            let Some(risk) = usable.and_then(|f| false_acceptance_risk(f, k)) else {
                return format!("Decision rule: none; {}.", WhyNot::RuleUnusable.text());
            };
            let risk = format!("{:.2} %", 100.0 * risk);
            format!(
                "Decision rule: guard band w = {factor} U with four words (ILAC-G8:09/2019, \
                 4.2.3), for an upper limit T: pass up to T - w, conditional pass up to T, \
                 conditional fail up to T + w, fail above; mirrored for a lower limit. A value \
                 equal to a boundary takes the better word (y = T - w pass, y = T conditional \
                 pass, y = T + w conditional fail). With a normal distribution and U at k = {k}, a \
                 pass is wrong in at most {risk} of cases, a fail likewise, a conditional word in \
                 up to 50 %."
            )
        }
    }
}

/// What k is, for the report: fixed by the job, or more than usual where few readings make up U.
pub fn describe_factor(criteria: &Criteria) -> String {
    let k = criteria.k;
    if criteria.k_fixed {
        return format!("k = {k}, as the job states");
    }
    format!(
        "k = {k}, and more where the scatter of few readings makes up most of U \
         (effective degrees of freedom, JCGM 100:2008, G.4)"
    )
}

/// The standard normal distribution function.
fn phi(z: f64) -> f64 {
    0.5 * libm::erfc(-z / core::f64::consts::SQRT_2)
}

/// Probability that a value exactly at the acceptance limit T - w, w = factor * U, does not
/// conform: normal distribution, U = k * u (JCGM 106:2012, 8.3). `None` unless both numbers are
/// finite and `k` is above zero.
pub fn false_acceptance_risk(factor: f64, k: f64) -> Option<f64> {
    (factor.is_finite() && k.is_finite() && k > 0.0).then(|| phi(-factor * k))
}

#[cfg(test)]
mod tests;
