//! A finding in words and numbers, for terminal, report and JSON alike.

use super::finding::{Finding, Found, Unit, Verdict, Weight};
use super::verdict::expanded;
use crate::derive::workings::{Value, Workings};
use crate::record::Record;
use crate::record::criteria::Criteria;

/// A number rounded for people, in the unit of its finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Number {
    /// `317.3`, `> 460`, `at least 25.8`.
    pub value: String,
    /// Expanded uncertainty with two significant digits; `None` when it is not known.
    pub u: Option<String>,
    pub unit: String,
}

impl Number {
    /// `317.3 ± 0.7 V`.
    pub fn text(&self) -> String {
        let u = self
            .u
            .as_ref()
            .map(|u| format!(" ± {u}"))
            .unwrap_or_default();
        let unit = if self.unit.is_empty() {
            String::new()
        } else {
            format!(" {}", self.unit)
        };
        format!("{}{u}{unit}", self.value)
    }
}

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

/// A value with its expanded uncertainty: U to two significant digits, the value to the same place
/// (JCGM 100:2008, 7.2.6); without U four significant digits.
pub fn number(w: &Workings, criteria: &Criteria, value: Value, unit: Unit) -> Number {
    let shown = value.si * unit.per_si;
    let u = expanded(w, value, criteria)
        .map(|u| u * unit.per_si)
        .filter(|u| *u > 0.0 && u.is_finite());
    match u {
        Some(u) if (1e-6..1e9).contains(&u) && shown.abs() < 1e9 => {
            // Rounding up may add a digit (0.0996 to 0.10): settle the places on the rounded U.
            let places = decimals(format!("{u:.*e}", 1).parse().unwrap_or(u), 2);
            Number {
                value: format!("{shown:.places$}"),
                u: Some(format!("{u:.places$}")),
                unit: unit.word.to_owned(),
            }
        }
        _ => Number {
            value: rounded(shown, 4),
            u: None,
            unit: unit.word.to_owned(),
        },
    }
}

/// What was found, as text: `316.8 ± 2.1 V`, `at least 25.8`, `not reached, above 460 V`.
pub fn found(w: &Workings, criteria: &Criteria, finding: &Finding) -> String {
    let text = |value: Value| number(w, criteria, value, finding.unit).text();
    match finding.found {
        Found::Known(value) => text(value),
        Found::AtLeast(value) => format!("at least {}", text(value)),
        Found::AtMost(value) => format!("at most {}", text(value)),
        Found::NotReached { beyond } => format!("not reached, above {}", text(beyond)),
        Found::Nothing => String::new(),
    }
}

/// The limit as text: `at most 30 mA`, `at least 300 V`, `200 to 220 V`; empty when there is none.
pub fn limit(finding: &Finding) -> String {
    let Some(against) = &finding.against else {
        return String::new();
    };
    let shown = |si: f64| {
        let text = rounded(si * finding.unit.per_si, 6);
        let text = if text.contains('.') && !text.contains('e') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text
        };
        if finding.unit.word.is_empty() {
            text
        } else {
            format!("{text} {}", finding.unit.word)
        }
    };
    match (against.requirement.lower, against.requirement.upper) {
        (Some(lower), Some(upper)) => format!("{} to {}", shown(lower), shown(upper)),
        (Some(lower), None) => format!("at least {}", shown(lower)),
        (None, Some(upper)) if against.magnitude => format!("within ± {}", shown(upper)),
        (None, Some(upper)) => format!("at most {}", shown(upper)),
        (None, None) => String::new(),
    }
}

/// The verdict's word.
pub fn verdict(verdict: &Verdict) -> String {
    match verdict {
        Verdict::Word(word) => word.text().to_owned(),
        Verdict::NotMet => "not met".to_owned(),
        Verdict::NotShown(needs) => format!("not shown; {needs}"),
        Verdict::NotDecided(why) => format!("not decided by this method: {}", why.text()),
        Verdict::NoLimit => "no limit, no verdict".to_owned(),
        Verdict::NotJudged(why) => format!("not judged, {why}"),
        Verdict::Observed(Weight::Information) => "for information".to_owned(),
        Verdict::Observed(Weight::Doubt) => "deserves a look".to_owned(),
        Verdict::Observed(Weight::Defect) => "defect".to_owned(),
    }
}

/// Where a finding stands: `1S, 1S1-1S2`.
pub fn subject(record: &Record, finding: &Finding) -> String {
    let core = finding.core.and_then(|core| record.cores.get(core));
    match (core, finding.pair) {
        (Some(core), Some(pair)) => format!("{} {}", core.name, core.pair_text(pair.from, pair.to)),
        (Some(core), None) => core.name.clone(),
        _ => record.plate.id_text().to_owned(),
    }
}

/// One line: `2S 2S1-2S2: exciting current at 300 V: 69.9 ± 0.2 mA, at most 30 mA (rating plate, …): fail`.
pub fn sentence(record: &Record, w: &Workings, criteria: &Criteria, finding: &Finding) -> String {
    let mut text = format!("{}: {}", subject(record, finding), finding.what);
    let value = found(w, criteria, finding);
    if !value.is_empty() {
        text.push_str(&format!(": {value}"));
    }
    let limit = limit(finding);
    if let (false, Some(against)) = (limit.is_empty(), &finding.against) {
        text.push_str(&format!(", {limit} ({})", against.cited.source));
    }
    format!("{text}: {}", verdict(&finding.verdict))
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
