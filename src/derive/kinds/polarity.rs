//! Polarity: by battery and meter, by comparison, by the phase of a ratio test.

use crate::derive::deriving::{Deriving, exact, written};
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::inputs::Fed;
use crate::record::kinds::Test;
use crate::record::kinds::polarity::{Deflection, Method, Outcome, Polarity, PolarityRow};
use crate::record::kinds::ratio::{On, RatioTest};
use crate::record::readings::Measure;
use crate::standards::threshold;
use crate::trade::{Pair, PrimaryMarks};

/// How a polarity was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// Battery on the primary, direct-current meter on the secondary.
    Kick,
    /// Against a known transformer.
    Comparison,
    /// By the phase of the ratio test.
    Phase,
}

/// What one pair showed.
#[derive(Clone, Debug)]
pub struct Shown {
    pub test: usize,
    pub pair: Pair,
    /// The input of a summation CT that it was read of.
    pub fed: Option<Fed>,
    pub by: By,
    /// `None` when what was written does not settle it.
    pub as_marked: Option<bool>,
    /// The phase it rests on, radian.
    pub phase: Option<Value>,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Shown> {
    let mut found = Vec::new();
    for (index, test) in d.visit.tests.iter().enumerate() {
        if let Some(body) = test.polarity() {
            let rows = body.rows.iter();
            found.extend(rows.filter_map(|row| by_hand(index, test, body, row)));
        } else if let Some(body) = test.ratio() {
            by_phase(d, (index, test, body), &mut found);
        }
    }
    found
}

fn by_hand(index: usize, test: &Test, body: &Polarity, row: &PolarityRow) -> Option<Shown> {
    let pair = row.on?.value.ascending();
    let by = match body.method.value() {
        Some(Method::Comparison) => By::Comparison,
        Some(Method::Kick) => By::Kick,
        Some(Method::Phase) => return None,
        None if row.result.get().is_some() => By::Comparison,
        None => By::Kick,
    };
    let (plus_on, deflection, result) = (&body.plus_on, &row.deflection, &row.result);
    // A row without its answer is no test.
    let blank = match by {
        By::Kick => deflection.is_missing(),
        By::Comparison | By::Phase => result.is_missing(),
    };
    if blank && test.doubtful.is_none() {
        return None;
    }
    let (as_marked, mut readings) = match by {
        By::Kick => (
            kick(plus_on.value().map(String::as_str), deflection.value()),
            written([deflection.span(), plus_on.span()]),
        ),
        By::Comparison | By::Phase => (
            result.value().map(|result| *result == Outcome::AsMarked),
            written([result.span()]),
        ),
    };
    if readings.is_empty() {
        readings.push(row.span);
    }
    let doubtful = test.doubtful.or(deflection.unreadable());
    Some(Shown {
        test: index,
        pair,
        fed: row.input,
        by,
        as_marked,
        phase: None,
        readings,
        doubtful: doubtful.or(result.unreadable()).or(plus_on.unreadable()),
    })
}

/// Plus on the first primary terminal and up on make is as marked (the meter's plus is on the lower
/// secondary terminal); each of the two turned round turns the answer.
fn kick(plus_on: Option<&str>, deflection: Option<&Deflection>) -> Option<bool> {
    let (_, first) = PrimaryMarks::of(plus_on?.trim_matches([' ', '\t']))?;
    Some(first == (*deflection? == Deflection::Up))
}

/// One entry per pair of a ratio test with a phase: near none it is as marked, near half a turn reversed, and between
/// the two it settles nothing.
/// Sections read against a driven secondary pair say nothing of the primary and are left out.
fn by_phase(
    d: &mut Deriving<'_>,
    (index, test, body): (usize, &Test, &RatioTest),
    found: &mut Vec<Shown>,
) {
    let driven = d.driven(test);
    let mut seen: Vec<(Pair, Option<Fed>)> = Vec::new();
    for row in &body.rows {
        let pair = match row.on.map(|on| on.value) {
            Some(On::Pair(pair)) => {
                Some(pair.ascending()).filter(|pair| driven.is_none_or(|driven| driven == *pair))
            }
            Some(On::Primary) => driven,
            None => None,
        };
        let (Some(pair), Some(phase)) = (pair, exact(&row.phase)) else {
            continue;
        };
        // Inputs in series tell of none of them, nor does a row that names none.
        let core = d.core(pair);
        let names = row.input != Some(Fed::All)
            && core.is_some_and(|core| core.input_factor(row.input).is_some());
        if !names || seen.contains(&(pair, row.input)) {
            continue;
        }
        seen.push((pair, row.input));
        let what = format!("phase of {}", d.record.pair_text(pair));
        let value = d.read(test, Measure::Phase, what, phase);
        let near = threshold("polarity-angle").map_or(0.0, |row| row.limit.to_radians());
        // What lies on the bound is within it.
        let least = libm::cos(near) - 1e-9;
        let cosine = Some(libm::cos(value.si)).filter(|cosine| cosine.abs() >= least);
        found.push(Shown {
            test: index,
            pair,
            fed: row.input,
            by: By::Phase,
            as_marked: cosine.map(|cosine| cosine > 0.0),
            phase: Some(value),
            readings: vec![phase.span],
            doubtful: test.doubtful,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::{Deflection, kick};

    #[test]
    fn both_ends_of_the_battery() {
        let (up, down) = (Deflection::Up, Deflection::Down);
        let cases = [
            ("P1", up, true),
            ("P1", down, false),
            ("P2", up, false),
            ("H2", down, true),
            ("H1", up, true),
        ];
        for (plus, way, expected) in cases {
            assert_eq!(
                kick(Some(plus), Some(&way)),
                Some(expected),
                "{plus} {way:?}"
            );
        }
        assert_eq!(kick(None, Some(&up)), None);
        assert_eq!(kick(Some("busbar"), Some(&up)), None);
    }
}
