//! Findings in words: the one place where a finding becomes a phrase, for terminal, report and JSON
//! alike.

use super::condition::titled;
use super::finding::{Finding, Unit, Verdict};
use super::verdict::expanded;
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Value, Workings};
use crate::document::{Phrase, Quantity, say};
use crate::record::Record;
use crate::record::criteria::Criteria;

/// Digits behind the point so that `x` shows `digits` significant ones.
fn decimals(x: f64, digits: i32) -> usize {
    if x == 0.0 || !x.is_finite() {
        return 0;
    }
    let exponent = libm::floor(libm::log10(x.abs())) as i32;
    usize::try_from((digits - 1 - exponent).clamp(0, 12)).unwrap_or(0)
}

/// A plain number with `digits` significant digits, without an exponent where that stays readable.
pub fn rounded(x: f64, digits: i32) -> String {
    if !x.is_finite() {
        return "-".to_owned();
    }
    if x != 0.0 && !(1e-6..1e9).contains(&x.abs()) {
        return format!("{x:.*e}", usize::try_from(digits - 1).unwrap_or(0));
    }
    format!("{x:.*}", decimals(x, digits))
}

/// A number of at most four significant digits, without zeros at its end: `10`, `0.25`.
pub fn short(x: f64) -> String {
    trimmed(rounded(x, 4))
}

/// Such a [`short`] number as it is, in a unit.
pub fn brief(x: f64, unit: &'static str) -> Quantity {
    Quantity::new(short(x), unit)
}

fn trimmed(text: String) -> String {
    if !text.contains('.') || text.contains('e') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A value in SI with `digits` significant ones, in a unit.
pub fn quantity(si: f64, digits: i32, unit: Unit) -> Quantity {
    Quantity::new(rounded(si * unit.per_si, digits), unit.word)
}

/// A value with its expanded uncertainty: U to two significant digits, the value to the same place
/// (JCGM 100:2008, 7.2.6); without U four significant digits.
pub fn number(w: &Workings, criteria: &Criteria, value: Value, unit: Unit) -> Quantity {
    let shown = value.si * unit.per_si;
    let u = expanded(w, value, criteria)
        .map(|u| u * unit.per_si)
        .filter(|u| *u > 0.0 && u.is_finite());
    match u {
        Some(u) if (1e-6..1e9).contains(&u) && shown.abs() < 1e9 => {
            // Rounding up may add a digit (0.0996 to 0.10): settle the places on the rounded U.
            let places = decimals(format!("{u:.*e}", 1).parse().unwrap_or(u), 2);
            Quantity {
                number: format!("{shown:.places$}"),
                u: Some(format!("{u:.places$}")),
                unit: unit.word,
            }
        }
        _ => quantity(value.si, 4, unit),
    }
}

/// What it is about: the rule's title and the conditions.
pub fn what(finding: &Finding) -> Phrase {
    titled(finding.rule.title, &finding.conditions)
}

/// What was found: `316.8 ± 2.1 V`, `at least 25.8`, `not reached, above 460 V`, `reversed`.
pub fn found(w: &Workings, criteria: &Criteria, finding: &Finding) -> Phrase {
    let text = |value: Value| number(w, criteria, value, finding.unit);
    let number = match finding.found {
        Some(Outcome::Known(value)) => text(value).into(),
        Some(Outcome::AtLeast(value)) => say!("at least {}", text(value)),
        Some(Outcome::AtMost(value)) => say!("at most {}", text(value)),
        Some(Outcome::NotReached { beyond }) => say!("not reached, above {}", text(beyond)),
        Some(Outcome::Lacking(_)) | None => Phrase::default(),
    };
    if number.is_empty() || finding.observed.is_empty() {
        return number.then(finding.observed.clone());
    }
    say!("{}, {}", finding.observed.clone(), number)
}

/// The limit: `at most 30 mA`, `at least 300 V`, `200 to 220 V`; empty when there is none.
pub fn limit(finding: &Finding) -> Phrase {
    let Some(against) = &finding.against else {
        return Phrase::default();
    };
    let number = |si: f64| trimmed(rounded(si * finding.unit.per_si, 6));
    let shown = |si: f64| Quantity::new(number(si), finding.unit.word);
    match (against.requirement.lower, against.requirement.upper) {
        (Some(lower), Some(upper)) => {
            say!("{} to {}", Quantity::new(number(lower), ""), shown(upper))
        }
        (Some(lower), None) => say!("at least {}", shown(lower)),
        (None, Some(upper)) if against.magnitude => say!("within ± {}", shown(upper)),
        (None, Some(upper)) => say!("at most {}", shown(upper)),
        (None, None) => Phrase::default(),
    }
}

/// The verdict's word without its reason.
pub fn verdict(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Word(word) => word.text(),
        Verdict::NotMet => "not met",
        Verdict::NotShown(_) => "not shown",
        Verdict::NotDecided(_) => "not decided",
        Verdict::NotJudged(_) => "not judged",
        Verdict::NoLimit => "no limit",
        Verdict::Observed(grade) => grade.word(),
    }
}

/// Why a verdict has no word of the decision rule.
pub fn reason(verdict: &Verdict) -> Option<Phrase> {
    match verdict {
        Verdict::NotShown(needs) => Some(needs.clone()),
        Verdict::NotDecided(why) => Some(why.text().into()),
        Verdict::NotJudged(why) => Some(why.clone()),
        Verdict::Word(_) | Verdict::NotMet | Verdict::NoLimit | Verdict::Observed(_) => None,
    }
}

/// The word and its reason: `not shown: needs readings up to 833 V`.
pub fn reasoned(verdict: &Verdict) -> Phrase {
    let word = Phrase::from(self::verdict(verdict));
    match reason(verdict) {
        Some(reason) if !reason.is_empty() => say!("{}: {}", word, reason),
        _ => word,
    }
}

/// Whose value it is: `1S 1S1-1S2`, `1S`, the unit's id.
pub fn subject(record: &Record, finding: &Finding) -> Phrase {
    let core = finding.core.and_then(|core| record.cores.get(core));
    match (core, finding.pair) {
        (Some(core), Some(pair)) => {
            let pair = Phrase::terminals(core.pair_text(pair.from, pair.to));
            say!("{} {}", core.name.clone(), pair)
        }
        (Some(core), None) => core.name.clone().into(),
        _ => record.plate.id_text().to_owned().into(),
    }
}

/// One line: `2S 2S1-2S2: exciting current at 300 V: 69.9 ± 0.2 mA, at most 30 mA (rating plate, …): fail`.
pub fn sentence(record: &Record, w: &Workings, criteria: &Criteria, finding: &Finding) -> Phrase {
    say!(
        "{}: {}",
        subject(record, finding),
        statement(w, criteria, finding)
    )
}

/// The same without the core and pair that it is about.
pub fn statement(w: &Workings, criteria: &Criteria, finding: &Finding) -> Phrase {
    let mut said = what(finding);
    let value = found(w, criteria, finding);
    if !value.is_empty() {
        said = say!("{}: {}", said, value);
    }
    if let (false, Some(against)) = (limit(finding).is_empty(), &finding.against) {
        let source = against.cited.source.clone();
        said = say!("{}, {} ({})", said, limit(finding), source);
    }
    // The grade of an observation is told beside the sentence, by every surface.
    match finding.verdict {
        Verdict::Observed(_) => said,
        _ => say!("{}: {}", said, reasoned(&finding.verdict)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_uncertainty() {
        assert_eq!(rounded(0.002_84, 4), "0.002840");
        assert_eq!(rounded(316.84, 4), "316.8");
        assert_eq!(rounded(12_345.6, 4), "12346");
        assert_eq!(rounded(0.0, 4), "0");
        assert_eq!(rounded(f64::NAN, 4), "-");
        assert_eq!(rounded(1.0e300, 3), "1.00e300");
    }
}
