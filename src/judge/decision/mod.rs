//! The decision rule: from a value, its uncertainty and a limit to one of four words.
//!
//! After ILAC-G8:09/2019, 4.2.1 (simple acceptance) and 4.2.3 (four words with a guard band), and
//! JCGM 106:2012 for the probability of conformity. The guide's intervals overlap at their ends;
//! here equality goes to the better word (own convention, printed by [`describe`]).

/// The outcome of a rule. There is no order on purpose: "not decided" is not on this line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    Pass,
    ConditionalPass,
    ConditionalFail,
    Fail,
}

impl Word {
    /// As printed.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional pass",
            Self::ConditionalFail => "conditional fail",
            Self::Fail => "fail",
        }
    }
}

/// A rule agreed before measuring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rule {
    /// ILAC-G8:09/2019, 4.2.1: on the allowed side or on the limit, pass; else fail.
    SimpleAcceptance,
    /// ILAC-G8:09/2019, 4.2.3: guard band w = factor * U, four words. `factor` is at least 0.
    GuardBand { factor: f64 },
}

/// One or two limits in the unit of the value. For an error that may go either way, judge its
/// absolute value against `upper` alone.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Requirement {
    pub lower: Option<f64>,
    pub upper: Option<f64>,
}

impl Requirement {
    #[must_use]
    pub fn at_most(upper: f64) -> Self {
        Self {
            lower: None,
            upper: Some(upper),
        }
    }

    #[must_use]
    pub fn at_least(lower: f64) -> Self {
        Self {
            lower: Some(lower),
            upper: None,
        }
    }

    #[must_use]
    pub fn between(lower: f64, upper: f64) -> Self {
        Self {
            lower: Some(lower),
            upper: Some(upper),
        }
    }

    fn usable(&self) -> bool {
        let finite = |t: Option<f64>| t.is_none_or(f64::is_finite);
        match (self.lower, self.upper) {
            (None, None) => false,
            (Some(lower), Some(upper)) => {
                finite(self.lower) && finite(self.upper) && lower <= upper
            }
            _ => finite(self.lower) && finite(self.upper),
        }
    }

    /// The size that a third is taken of: the limit itself, or half the width between two.
    fn size(&self) -> Option<f64> {
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
}

impl WhyNot {
    /// The reason in words.
    #[must_use]
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
        }
    }
}

/// A word, or "not decided by this method" with the reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decision {
    Word(Word),
    NotDecided(WhyNot),
}

/// The share of the limit that the uncertainty may reach where one is needed. Common practice, no
/// source (the trade asks that an instrument be three times better than what it judges).
pub const LARGEST_SHARE: f64 = 1.0 / 3.0;

/// Relative width that counts as equal to a boundary, so that 0.1 + 0.2 is 0.3.
const EQUAL: f64 = 1e-12;

/// Decides `value` against `req` by `rule`.
///
/// `expanded_u` is U (k = 2) in the unit of the value. `needs_u` marks requirements that are never
/// judged without it (measuring classes, the 0.25 % turns ratio of PX): then a missing U, or one
/// above a third of the limit (of half the width between two limits), gives `NotDecided`. Where it
/// is not needed and not known, simple acceptance is used: see [`applied`].
#[must_use]
pub fn decide(
    value: f64,
    expanded_u: Option<f64>,
    req: &Requirement,
    rule: Rule,
    needs_u: bool,
) -> Decision {
    match guard_band(value, expanded_u, req, rule, needs_u) {
        Ok(None) => Decision::Word(simple(value, req)),
        Ok(Some(w)) => Decision::Word(guarded(value, w, req)),
        Err(why) => Decision::NotDecided(why),
    }
}

/// The rule that [`decide`] really follows: without a known U a guard band has no width, and simple
/// acceptance takes its place. The report prints this one.
#[must_use]
pub fn applied(rule: Rule, expanded_u: Option<f64>) -> Rule {
    match expanded_u {
        None => Rule::SimpleAcceptance,
        Some(_) => rule,
    }
}

/// The width of the guard band, `None` for simple acceptance.
fn guard_band(
    value: f64,
    expanded_u: Option<f64>,
    req: &Requirement,
    rule: Rule,
    needs_u: bool,
) -> Result<Option<f64>, WhyNot> {
    if !value.is_finite() {
        return Err(WhyNot::ValueUnusable);
    }
    if !req.usable() {
        return Err(WhyNot::LimitUnusable);
    }
    if let Rule::GuardBand { factor } = rule
        && !(factor.is_finite() && factor >= 0.0)
    {
        return Err(WhyNot::RuleUnusable);
    }
    let Some(u) = expanded_u else {
        return if needs_u {
            Err(WhyNot::UncertaintyMissing)
        } else {
            Ok(None)
        };
    };
    if !(u.is_finite() && u >= 0.0) {
        return Err(WhyNot::UncertaintyUnusable);
    }
    if needs_u
        && req
            .size()
            .is_none_or(|size| u > size * LARGEST_SHARE * (1.0 + EQUAL))
    {
        return Err(WhyNot::UncertaintyTooLarge);
    }
    match rule {
        Rule::SimpleAcceptance => Ok(None),
        Rule::GuardBand { factor } => {
            let w = factor * u;
            if w.is_finite() {
                Ok(Some(w))
            } else {
                Err(WhyNot::UncertaintyUnusable)
            }
        }
    }
}

fn simple(value: f64, req: &Requirement) -> Word {
    let inside = |y: f64, t: f64| y <= t + EQUAL * t.abs();
    let upper = req.upper.is_none_or(|t| inside(value, t));
    let lower = req.lower.is_none_or(|t| inside(-value, -t));
    if upper && lower {
        Word::Pass
    } else {
        Word::Fail
    }
}

fn guarded(value: f64, w: f64, req: &Requirement) -> Word {
    let upper = req.upper.map_or(Word::Pass, |t| below(value, t, w));
    let lower = req.lower.map_or(Word::Pass, |t| below(-value, -t, w));
    worse(upper, lower)
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

fn worse(a: Word, b: Word) -> Word {
    let step = |word: Word| match word {
        Word::Pass => 0,
        Word::ConditionalPass => 1,
        Word::ConditionalFail => 2,
        Word::Fail => 3,
    };
    if step(b) > step(a) { b } else { a }
}

/// The sentence that a report prints once: rule, convention at the boundaries, risk.
#[must_use]
pub fn describe(rule: Rule) -> String {
    match rule {
        Rule::SimpleAcceptance => "Decision rule: simple acceptance (ILAC-G8:09/2019, 4.2.1): \
             a value on the allowed side of the limit T or equal to T passes, any other fails. \
             A value close to T is judged wrongly with a probability of up to 50 %."
            .to_owned(),
        Rule::GuardBand { factor } => {
            let usable = Some(factor).filter(|f| *f >= 0.0);
            let Some(risk) = usable.and_then(|f| false_acceptance_risk(f, 2.0)) else {
                return format!("Decision rule: none; {}.", WhyNot::RuleUnusable.text());
            };
            let risk = format!("{:.2} %", 100.0 * risk);
            format!(
                "Decision rule: guard band w = {factor} U with four words (ILAC-G8:09/2019, \
                 4.2.3), for an upper limit T: pass up to T - w, conditional pass up to T, \
                 conditional fail up to T + w, fail above; mirrored for a lower limit. A value \
                 equal to a boundary takes the better word (y = T - w pass, y = T conditional \
                 pass, y = T + w conditional fail). With a normal distribution and U at k = 2, a \
                 pass is wrong in at most {risk} of cases, a fail likewise, a conditional word in \
                 up to 50 %."
            )
        }
    }
}

/// The standard normal distribution function.
fn phi(z: f64) -> f64 {
    0.5 * libm::erfc(-z / core::f64::consts::SQRT_2)
}

/// Probability that a value exactly at the acceptance limit T - w, w = factor * U, does not
/// conform: normal distribution, U = k * u (JCGM 106:2012, 8.3). `None` unless both numbers are
/// finite and `k` is above zero.
#[must_use]
pub fn false_acceptance_risk(factor: f64, k: f64) -> Option<f64> {
    (factor.is_finite() && k.is_finite() && k > 0.0).then(|| phi(-factor * k))
}

/// Probability that the measurand conforms, given the value and its standard uncertainty `u` (not
/// U), normal distribution (JCGM 106:2012, 7.3 and 7.4). `None` when a number is not finite, `u` is
/// not above zero, or the requirement is unusable.
#[must_use]
pub fn conformance_probability(value: f64, standard_u: f64, req: &Requirement) -> Option<f64> {
    let u_usable = standard_u.is_finite() && standard_u > 0.0;
    if !value.is_finite() || !u_usable || !req.usable() {
        return None;
    }
    let z = |limit: f64| (limit - value) / standard_u;
    let p = match (req.lower, req.upper) {
        (None, Some(upper)) => phi(z(upper)),
        (Some(lower), None) => phi(-z(lower)),
        (Some(lower), Some(upper)) => phi(z(upper)) - phi(z(lower)),
        (None, None) => return None,
    };
    // Overflow of a difference gives a NaN only through infinity minus infinity.
    p.is_finite().then(|| p.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests;
