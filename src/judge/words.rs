//! Findings in words: the one place where a finding becomes a phrase, for terminal, report and JSON
//! alike.

use super::condition::titled;
use super::decision::Word;
use super::finding::{Against, Finding, Unit, Verdict, unit};
use super::verdict::{expanded, part};
use crate::derive::component::Component;
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Origin, Value, Workings};
use crate::document::{Part, Phrase, Quantity, say};
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::readings::Measure;
use crate::record::schema::FoundBy;
use crate::standards::Cited;

/// Digits behind the point so that `x` shows `digits` significant ones.
fn decimals(x: f64, digits: i32) -> usize {
    if x == 0.0 || !x.is_finite() {
        return 0;
    }
    let exponent = libm::floor(libm::log10(x.abs())) as i32;
    places_of(digits, exponent)
}

/// Digits behind the point of a number of this decimal exponent that shows `digits` significant ones.
fn places_of(digits: i32, exponent: i32) -> usize {
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

/// What stands behind a cause, each under its word: what speaks for it and against it, the next likeliest, and the
/// reading that would decide.
pub fn reasons(finding: &Finding) -> Vec<(&'static str, Vec<Phrase>)> {
    let Some(because) = &finding.because else {
        return Vec::new();
    };
    let odds = because.odds();
    let (word, next) = match because.next {
        Some((rule, _)) if odds < AS_LIKELY => ("as likely", Some(rule.title.into())),
        Some((rule, _)) => {
            let odds = Quantity::new(short(odds.round()), "");
            (
                "next likeliest",
                Some(say!("{}, {} to 1", rule.title, odds)),
            )
        }
        None => ("", None),
    };
    let all = [
        ("for", because.speaks_for.clone()),
        ("against", because.speaks_against.clone()),
        (word, next.into_iter().collect()),
        ("decides", because.decide.iter().cloned().collect()),
    ];
    all.into_iter()
        .filter(|(_, said)| !said.is_empty())
        .collect()
}

/// The same in a line for each.
pub fn behind(finding: &Finding) -> Vec<Phrase> {
    let line =
        |(word, all): (&'static str, Vec<Phrase>)| say!("{}: {}", word, Phrase::join(all, "; "));
    reasons(finding).into_iter().map(line).collect()
}

/// Odds below which two causes are as likely as each other.
const AS_LIKELY: f64 = 3.0;

/// A value in SI with `digits` significant ones, in a unit.
pub fn quantity(si: f64, digits: i32, unit: Unit) -> Quantity {
    Quantity::new(rounded(si * unit.per_si, digits), unit.word)
}

/// A value with its expanded uncertainty: U to two significant digits, the value to the same place
/// (JCGM 100:2008, 7.2.6); without U four significant digits, and none past what the last digits of the
/// readings support.
pub fn number(w: &Workings, criteria: &Criteria, value: Value, unit: Unit) -> Quantity {
    let number = Rounding::of(w, criteria, value, unit);
    number.to(number.places_written())
}

/// A value on its way to its digits.
struct Rounding<'w> {
    w: &'w Workings,
    value: Value,
    unit: Unit,
    /// Expanded uncertainty, in SI; where it is known.
    u: Option<f64>,
}

impl<'w> Rounding<'w> {
    fn of(w: &'w Workings, criteria: &Criteria, value: Value, unit: Unit) -> Self {
        let u = expanded(w, value, criteria);
        Self { w, value, unit, u }
    }

    /// To `most` places at most.
    fn to(&self, most: usize) -> Quantity {
        let (si, unit) = (self.value.si, self.unit);
        let shown = si * unit.per_si;
        let u = self.u.map(|u| u * unit.per_si);
        let told = u.and_then(|u| with_u(shown, u, most, unit.word));
        match told {
            Some(told) => told,
            None if shown == 0.0 || !(1e-6..1e9).contains(&shown.abs()) => quantity(si, 4, unit),
            None => {
                let places = decimals(shown, 4).min(most);
                Quantity::new(format!("{shown:.places$}"), unit.word)
            }
        }
    }

    /// What holds on one side only, its uncertainty taken off. Where that would take it across its limit or
    /// past zero, the uncertainty stands beside it.
    fn bound(&self, end: End, places: usize, against: Option<&Against>) -> Quantity {
        let told = self.to(places);
        let Some(u) = self.u.filter(|_| told.u.is_some()) else {
            return told;
        };
        let at = self.value.si;
        let edge = match end {
            End::Lower => at - u,
            End::Upper => at + u,
        };
        let of_limits =
            against.map(|against| [against.requirement.lower, against.requirement.upper]);
        let mut steps = of_limits.into_iter().flatten().flatten().chain([0.0]);
        if steps.any(|step| (at >= step) != (edge >= step)) {
            return told;
        }
        let places = told
            .number
            .split_once('.')
            .map_or(0, |(_, behind)| behind.len());
        let edge = outward(edge * self.unit.per_si, places, end);
        Quantity::new(format!("{edge:.places$}"), self.unit.word)
    }

    fn is_reading(&self) -> bool {
        let step = self.w.step_at(self.value.step);
        step.is_some_and(|step| matches!(step.origin, Origin::Reading { .. }))
    }

    /// The places that the readings support: of a reading its own last digit, of what is computed from
    /// readings what their last digits make of it, three significant digits at least. A known U tells
    /// more than the digits, which are a part of it.
    fn places_written(&self) -> usize {
        if self.u.is_some() {
            return usize::MAX;
        }
        let Some(digit) = self.w.digit(self.value) else {
            return usize::MAX;
        };
        let per_si = self.unit.per_si;
        // A step of 0.1 may come out of its unit as 0.0999…; that is no place more.
        let places = decimals(digit * per_si * (1.0 + 1e-9), 1);
        match self.is_reading() {
            true => places,
            false => places.max(decimals(self.value.si * per_si, 3)),
        }
    }

    /// The places beside a limit. Near it a value keeps them all; a tenth of the limit away from it a
    /// thousandth of the limit is enough.
    fn places(&self, against: Option<&Against>) -> usize {
        let written = self.places_written();
        let Some(against) = against else {
            return written;
        };
        let si = self.value.si;
        let size = against.size(si);
        let limits = [against.requirement.lower, against.requirement.upper];
        let limits = || limits.into_iter().flatten();
        let least = limits().map(f64::abs).fold(f64::INFINITY, f64::min);
        let far = |limit: f64| (size - limit).abs() >= 0.1 * limit.abs();
        if !limits().all(far) {
            return if self.is_reading() {
                written
            } else {
                usize::MAX
            };
        }
        let per_si = self.unit.per_si;
        let enough = || decimals(least * per_si / 1000.0, 1).max(decimals(si * per_si, 2));
        match least > 0.0 && least.is_finite() {
            true => written.min(enough()),
            false => written,
        }
    }
}

/// A number and its U of two significant digits, to so many places at most; `None` where one of them cannot
/// be written so.
fn with_u(shown: f64, u: f64, most: usize, unit: &'static str) -> Option<Quantity> {
    if !((1e-6..1e9).contains(&u) && shown.abs() < 1e9) {
        return None;
    }
    let own = decimals_of_two(u);
    let places = own.min(most);
    // A U that loses digits becomes no smaller by it.
    let u = match places < own {
        true => outward(u, places, End::Upper),
        false => u,
    };
    Some(Quantity {
        number: format!("{shown:.places$}"),
        u: Some(format!("{u:.places$}")),
        unit,
    })
}

/// A change with its sign, in the unit that it is shown in, and its U where it is known: `+2.1 ± 0.5 %`.
pub fn signed(shown: f64, u: Option<f64>, unit: &'static str) -> Quantity {
    let told = u.and_then(|u| with_u(shown, u, usize::MAX, unit));
    let mut told = told.unwrap_or_else(|| Quantity::new(rounded(shown, 2), unit));
    let nothing = told.number.bytes().all(|b| matches!(b, b'-' | b'.' | b'0'));
    if nothing {
        told.number = told.number.replace('-', "");
    } else if shown > 0.0 {
        told.number.insert(0, '+');
    }
    told
}

/// The places of a U of two significant digits. Rounding up may add one before them (0.0996 is 0.10), so
/// that they are those of the rounded U.
fn decimals_of_two(u: f64) -> usize {
    let rounded = format!("{u:.1e}");
    let exponent = rounded.split_once('e').and_then(|(_, e)| e.parse().ok());
    exponent.map_or(0, |exponent: i32| places_of(2, exponent))
}

/// The end at which a number may be cut.
#[derive(Clone, Copy)]
enum End {
    Lower,
    Upper,
}

/// Cut to so many places, away from the number at its end.
fn outward(x: f64, places: usize, end: End) -> f64 {
    let scale = libm::pow(10.0, places as f64);
    let scaled = x * scale;
    let dust = 1e-9 * scaled.abs();
    let cut = match end {
        End::Lower => libm::floor(scaled + dust),
        End::Upper => libm::ceil(scaled - dust),
    };
    cut / scale
}

/// The source of a row of the tables, by its clause.
pub fn cite(cited: &Cited) -> Phrase {
    let (row, source) = (cited.id.clone(), cited.source.clone());
    Part::Cited { row, source }.into()
}

/// What a part of an uncertainty belongs to: `M1 voltage, range up to 100 V`, `last digit of …`.
pub fn component(component: &Component) -> Phrase {
    match component {
        Component::Range {
            instrument,
            measure,
            up_to,
            circuit,
        } => {
            let what = format!("{instrument} {}", measure.word());
            let behind = if circuit.is_empty() { "" } else { ", " };
            say!(
                "{}, range up to {}{}{}",
                what,
                end_of(*measure, *up_to),
                behind,
                *circuit
            )
        }
        Component::Standard {
            instrument,
            measure,
        } => format!("{instrument} {}", measure.word()).into(),
        Component::UnreadAngle { section } => {
            format!("angle of the exciting current, not read, {section}").into()
        }
        Component::LastDigit { of, .. } => format!("last digit of {of}").into(),
        Component::Stated { of, .. } => of.to_string().into(),
        Component::Scatter { of, .. } => format!("scatter of the readings of {of}").into(),
        Component::Law { of } => (*of).into(),
        Component::Spacing { of } => format!("spacing of the readings, {of}").into(),
        Component::RatioAngle => "angle of the exciting current in the ratio test".into(),
        Component::OtherSetting => "current and range that differ between the readings".into(),
    }
}

/// Whose temperature was taken for that of the winding or the insulation, where it is not its own.
pub(super) fn temperature_by(by: Option<FoundBy>, whose: &'static str) -> Option<Phrase> {
    let of =
        |other: &'static str| say!("the {}'s temperature was taken for the {}'s", other, whose);
    match by? {
        FoundBy::Contact => None,
        FoundBy::Oil => Some(of("oil")),
        FoundBy::Tank => Some(of("tank")),
        FoundBy::Air => Some(of("air")),
        FoundBy::Estimated => Some(say!("the temperature of the {} is an estimate", whose)),
    }
}

/// The upper end of an instrument's range, in a unit that reads well.
fn end_of(measure: Measure, si: f64) -> Quantity {
    let fits = match measure {
        Measure::Voltage => unit::VOLT,
        Measure::Current => unit::current(si),
        Measure::Resistance if si < 1.0 => unit::MILLIOHM,
        Measure::Resistance | Measure::Insulation if si < 1e6 => unit::OHM,
        Measure::Resistance | Measure::Insulation if si < 1e9 => unit::MEGOHM,
        Measure::Resistance | Measure::Insulation => unit::GIGAOHM,
        Measure::Angle => unit::DEGREE,
        Measure::Phase => unit::MINUTE_OF_ARC,
        Measure::RatioError | Measure::Ratio | Measure::Humidity | Measure::DissipationFactor => {
            unit::PERCENT
        }
        Measure::Temperature => return brief(si, "°C"),
        Measure::Frequency => unit::HERTZ,
        Measure::Time => unit::SECOND,
        Measure::Charge => unit::PICOCOULOMB,
        Measure::Capacitance => unit::PICOFARAD,
    };
    brief(si * fits.per_si, fits.word)
}

/// What it is about: the rule's title and the conditions.
pub fn what(finding: &Finding) -> Phrase {
    titled(finding.rule.title, &finding.conditions)
}

/// The number of a finding, as finely as it is printed.
pub fn shown(w: &Workings, criteria: &Criteria, finding: &Finding) -> Option<Quantity> {
    let number = Rounding::of(w, criteria, finding.value()?, finding.unit);
    let against = finding.against.as_ref();
    let places = number.places(against);
    let end = match finding.found? {
        Outcome::AtLeast(_) | Outcome::NotReached { .. } => End::Lower,
        Outcome::AtMost(_) => End::Upper,
        Outcome::Known(_) | Outcome::Lacking(_) => return Some(number.to(places)),
    };
    Some(number.bound(end, places, against))
}

/// What was found: `316.8 ± 2.1 V`, `at least 25.8`, `not reached, above 460 V`, `reversed`.
pub fn found(w: &Workings, criteria: &Criteria, finding: &Finding) -> Phrase {
    found_as(finding, shown(w, criteria, finding))
}

/// The same, where its number is at hand.
pub fn found_as(finding: &Finding, number: Option<Quantity>) -> Phrase {
    let number = match (number, finding.found) {
        (Some(number), Some(Outcome::Known(_))) => number.into(),
        (Some(number), Some(Outcome::AtLeast(_))) => say!("at least {}", number),
        (Some(number), Some(Outcome::AtMost(_))) => say!("at most {}", number),
        (Some(number), Some(Outcome::NotReached { .. })) => say!("not reached, above {}", number),
        _ => Phrase::default(),
    };
    if number.is_empty() || finding.observed.is_empty() {
        return number.then(finding.observed.clone());
    }
    say!("{}, {}", finding.observed.clone(), number)
}

/// The limit: `at most 30 mA`, `at least 300 V`, `200 to 220 V`; empty when there is none.
pub fn limit(finding: &Finding) -> Phrase {
    held(finding, ["at least ", "at most ", "within ± "])
}

/// The same in signs, for a column of limits: `≤ 30 mA`, `≥ 300 V`, `± 0.25 %`.
pub fn bound(finding: &Finding) -> Phrase {
    held(finding, ["≥\u{a0}", "≤\u{a0}", "±\u{a0}"])
}

fn held(finding: &Finding, [least, most, within]: [&'static str; 3]) -> Phrase {
    let Some(against) = &finding.against else {
        return Phrase::default();
    };
    let number = |si: f64| limit_digits(finding, against, si);
    let shown = |si: f64| Quantity::new(number(si), finding.unit.word);
    match (against.requirement.lower, against.requirement.upper) {
        (Some(lower), Some(upper)) => {
            say!("{} to {}", Quantity::new(number(lower), ""), shown(upper))
        }
        (Some(lower), None) => Phrase::from(least).then(shown(lower)),
        (None, Some(upper)) if against.magnitude => Phrase::from(within).then(shown(upper)),
        (None, Some(upper)) => Phrase::from(most).then(shown(upper)),
        (None, None) => Phrase::default(),
    }
}

/// A limit as it was stated. One that was worked out goes on behind the digits that anybody states, and has
/// as many as a value; more where the value would come to lie on its other side.
fn limit_digits(finding: &Finding, against: &Against, si: f64) -> String {
    let limit = si * finding.unit.per_si;
    let to = |digits: i32| rounded(limit, digits);
    let read = |text: &str| text.parse::<f64>().unwrap_or(limit);
    let is = |text: &str| (read(text) - limit).abs() <= 1e-9 * limit.abs();
    if against.span.is_some() || is(&to(5)) {
        return trimmed(to(6));
    }
    let value = finding.value();
    let value = value.map(|value| against.size(value.si * finding.unit.per_si));
    let keeps = |text: &String| {
        let side = |of: f64| value.map(|value| value.total_cmp(&of));
        side(read(text)) == side(limit)
    };
    let told = (4..6).map(to).find(keeps);
    trimmed(told.unwrap_or_else(|| to(6)))
}

/// What a reader has to know of a value that holds on one side only.
pub const OF_A_BOUND: &str = "A value after “at least”, “at most” or “above” already allows for its U, unless ± stands beside it.";

/// What the uncertainty of a value that passes may undo: its limit lies within it.
pub fn nearness(w: &Workings, criteria: &Criteria, finding: &Finding) -> Option<&'static str> {
    let against = finding.against.as_ref()?;
    let value = match finding.verdict {
        Verdict::Word(Word::Pass | Word::ConditionalPass) => finding.value()?,
        _ => return None,
    };
    let u = expanded(w, value, criteria).unwrap_or_else(|| part(w, value, criteria));
    let size = against.size(value.si);
    let limits = [against.requirement.lower, against.requirement.upper];
    let mut limits = limits.into_iter().flatten();
    limits
        .any(|limit| (size - limit).abs() < u * (1.0 - 1e-9))
        .then_some("within its uncertainty of the limit")
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
    let limit = limit(finding);
    if let (false, Some(against)) = (limit.is_empty(), &finding.against) {
        said = say!("{}, {} ({})", said, limit, cite(&against.cited));
    }
    // The grade of an observation is told beside the sentence, by every surface.
    match finding.verdict {
        Verdict::Observed(_) => said,
        _ => {
            let near = nearness(w, criteria, finding);
            let word = reasoned(&finding.verdict);
            let word = near.map_or_else(|| word.clone(), |near| say!("{}, {}", word.clone(), near));
            say!("{}: {}", said, word)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::component::Component;
    use crate::ground::span::Span;
    use crate::judge::finding::unit;

    #[test]
    fn digits_follow_the_uncertainty() {
        assert_eq!(rounded(0.002_84, 4), "0.002840");
        assert_eq!(rounded(316.84, 4), "316.8");
        assert_eq!(rounded(12_345.6, 4), "12346");
        assert_eq!(rounded(0.0, 4), "0");
        assert_eq!(rounded(f64::NAN, 4), "-");
        assert_eq!(rounded(1.0e300, 3), "1.00e300");
    }

    #[test]
    fn a_u_is_rounded_before_its_places_are_counted() {
        for (u, places) in [
            (0.0996, 2),
            (0.0994, 3),
            (0.001, 4),
            (1.0, 1),
            (9.96, 0),
            (123.0, 0),
            (1e-6, 7),
        ] {
            assert_eq!(decimals_of_two(u), places, "{u}");
        }
        for exponent in -6..9 {
            let power: f64 = format!("1e{exponent}").parse().unwrap();
            assert_eq!(decimals_of_two(power), decimals(power, 2), "{power}");
        }
    }

    #[test]
    fn no_digit_more_than_was_read() {
        let bare = Criteria::default();
        let mut w = Workings::new();
        let read = |w: &mut Workings, si: f64, digit: f64| {
            let span = Span::default();
            let value = w.enter("x", "V", si, Origin::Reading { span });
            w.written_to(value, digit);
            value
        };
        let said = |w: &Workings, value: Value, unit: Unit| number(w, &bare, value, unit).number;
        let short = read(&mut w, 5.8, 0.1);
        assert_eq!(said(&w, short, unit::VOLT), "5.8");
        let milli = read(&mut w, 0.0074, 0.0001);
        assert_eq!(said(&w, milli, unit::MILLIVOLT), "7.4");
        // Ten times a reading to 0.1 is known to one; what is computed keeps three digits.
        let tenfold = w.many("y", "V", "", "", 58.0, &[(short, 10.0)]);
        assert_eq!(said(&w, tenfold.unwrap(), unit::VOLT), "58.0");
        let plate = w.number("p", "V", 5.8, Span::default());
        assert_eq!(said(&w, plate, unit::VOLT), "5.800");
        // A known U tells more than the digits, which are a part of it.
        let last = Component::LastDigit {
            of: "x".into(),
            at: Span::default(),
        };
        w.add_part(short, last, 0.021);
        let shown = number(&w, &bare, short, unit::VOLT);
        assert_eq!(shown.number, "5.800");
        assert_eq!(shown.u.as_deref(), Some("0.042"));
    }

    /// A finding of a value that was read with an uncertainty, held against at least so much.
    fn held_with(
        u: f64,
        made: fn(Value) -> Outcome,
        si: f64,
        least: f64,
        word: Word,
    ) -> (Workings, Finding) {
        let mut w = Workings::new();
        let span = Span::default();
        let value = w.enter("x", "V", si, Origin::Reading { span });
        let of = Component::Stated {
            of: "x".into(),
            at: span,
        };
        w.add_part(value, of, u / 2.0);
        let cited = Cited::stated("limit".to_owned(), "test".to_owned());
        let rule = &crate::judge::rules::protection::KNEE_EMF;
        let finding = Finding::new(rule, made(value), unit::VOLT);
        let finding = finding.held(Against::at_least(least, &cited), Verdict::Word(word));
        (w, finding)
    }

    #[test]
    fn a_pass_that_its_uncertainty_may_undo_says_so() {
        let told = |si: f64, word| {
            let (w, finding) = held_with(0.006, Outcome::Known, si, 1.2, word);
            statement(&w, &Criteria::default(), &finding).to_string()
        };
        let near = "within its uncertainty of the limit";
        assert!(told(1.2, Word::Pass).ends_with(&format!(": pass, {near}")));
        assert!(
            told(1.205, Word::ConditionalPass).ends_with(&format!(": conditional pass, {near}"))
        );
        assert!(told(1.206, Word::Pass).ends_with(": pass"));
        assert!(!told(1.199, Word::ConditionalFail).contains(near));
    }

    #[test]
    fn a_bound_has_its_uncertainty_taken_off() {
        let told = |made: fn(Value) -> Outcome, least: f64| {
            let (w, finding) = held_with(0.34, made, 9.7, least, Word::Pass);
            found(&w, &Criteria::default(), &finding).to_string()
        };
        assert_eq!(told(Outcome::AtLeast, 5.0), "at least 9.36 V");
        assert_eq!(told(Outcome::AtMost, 5.0), "at most 10.04 V");
        let beyond = |beyond| Outcome::NotReached { beyond };
        assert_eq!(told(beyond, 5.0), "not reached, above 9.36 V");
        // Across its limit it would say what the verdict does not.
        assert_eq!(told(Outcome::AtLeast, 9.5), "at least 9.70 ± 0.34 V");
        assert_eq!(told(Outcome::AtMost, 10.0), "at most 9.70 ± 0.34 V");
        assert_eq!(told(Outcome::Known, 5.0), "9.70 ± 0.34 V");
    }

    #[test]
    fn a_limit_that_was_worked_out_has_the_digits_of_a_value() {
        let told = |si: f64, most: f64, stated: bool| {
            let mut w = Workings::new();
            let value = w.number("x", "V", si, Span::default());
            let cited = Cited::stated("limit".to_owned(), "test".to_owned());
            let against = Against::at_most(most, &cited);
            let against = match stated {
                true => against.stated_at(Span::default()),
                false => against,
            };
            let rule = &crate::judge::rules::protection::KNEE_EMF;
            let finding = Finding::new(rule, Outcome::Known(value), unit::VOLT).beyond(against);
            limit(&finding).to_string()
        };
        assert_eq!(told(650.0, 848.528, false), "at most 848.5 V");
        assert_eq!(told(650.0, 848.528, true), "at most 848.528 V");
        assert_eq!(told(650.0, 28_000.0, false), "at most 28000 V");
        assert_eq!(told(650.0, 312.75, false), "at most 312.75 V");
        // 848.51 is below 848.528 and above 848.5.
        assert_eq!(told(848.51, 848.528, false), "at most 848.53 V");
    }

    #[test]
    fn far_from_its_limit_a_thousandth_of_it_is_enough() {
        let cited = Cited::stated("limit".to_owned(), "test".to_owned());
        let said = |si: f64, limit: f64| {
            let mut w = Workings::new();
            let value = w.number("x", "%", si, Span::default());
            let rule = &crate::judge::rules::protection::COMPOSITE_ERROR;
            let finding = Finding::new(rule, Outcome::Known(value), unit::PERCENT);
            let finding = finding.beyond(Against::at_most(limit, &cited));
            found(&w, &Criteria::default(), &finding).plain(|_| 0)
        };
        assert_eq!(said(0.072_96, 5.0), "0.073 %");
        assert_eq!(said(0.000_421, 5.0), "0.00042 %");
        assert_eq!(said(4.987, 5.0), "4.987 %");
        assert_eq!(said(0.0, 5.0), "0 %");
        // A U that loses digits becomes no smaller by it.
        assert_eq!(outward(0.0011, 3, End::Upper), 0.002);
        assert_eq!(outward(0.000_04, 3, End::Upper), 0.001);
        assert_eq!(outward(0.002, 3, End::Upper), 0.002);
        assert_eq!(outward(24.6359, 3, End::Lower), 24.635);
    }
}
