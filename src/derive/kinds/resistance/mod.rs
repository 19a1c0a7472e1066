//! Winding resistance: mean of the readings, leads off, to 75 °C.

use super::Derived;
use crate::derive::case::Case;
use crate::derive::conductor;
use crate::derive::formula::formulas;
use crate::derive::formula::{Symbol, symbol};
use crate::derive::input;
use crate::derive::workings::{Part, Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::record::kinds::Test;
use crate::record::kinds::resistance::{Resistance, ResistanceRow};
use crate::record::readings::Measure;
use crate::trade::Pair;

pub(in crate::derive) mod from;
pub use from::{From, Plated, at_75, chain};

const MEASURED: &str = "Ohm's law, direct current";
const R: Symbol = symbol("R", "ohm", "resistance");

formulas! {
    static BY_OHM = "winding-resistance", "winding resistance":
        "U/I" ("ohm")
        of [symbol("U", "V", "voltage across the pair"), symbol("I", "A", "direct current")],
        |[u, i]| u / i, MEASURED;

    static LEADS_OFF = "winding-resistance-without-leads", "winding resistance without the leads":
        "R - l" ("ohm") of [R, symbol("l", "ohm", "resistance of the leads by the self-check")],
        |[r, l]| r - l, MEASURED;

    static TO_75 = "winding-resistance-75", "winding resistance at 75 °C":
        "R*(T + k)/(t + k)" ("ohm") of [
            R,
            symbol("t", "C", "temperature of the winding"),
            symbol("k", "C", "constant of the conductor"),
            symbol("T", "C", "reference temperature"),
        ], |[r, t, k, reference]| r * (reference + k) / (t + k),
        "IEC 60076-1 and IEEE C57.12.90 (from memory)";
}

/// How the leads are in the reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wires {
    /// They are not.
    Four,
    /// They are.
    Two,
    /// Nobody wrote it, or something else than 2 or 4.
    Unstated,
}

/// The resistance of one pair.
#[derive(Clone, Debug)]
pub struct Winding {
    /// Index of the test in the visit.
    pub test: usize,
    /// The pair, lower terminal first.
    pub pair: Pair,
    /// At the winding's temperature, leads off, ohm.
    pub cold: Value,
    /// The winding's temperature, degree Celsius; `None` when nobody wrote it.
    pub temperature: Option<Value>,
    /// Only the temperature of the air was written, and is taken for the winding's.
    pub by_air: bool,
    /// At 75 °C, ohm; `None` without a temperature.
    pub at_75: Option<Value>,
    pub wires: Wires,
    /// Two wires without a lead resistance to subtract, or nobody wrote how many wires.
    pub leads_unknown: bool,
    /// What was subtracted for the leads, ohm.
    pub leads: Option<Value>,
    /// Relative change from the first to the last of several readings, per cent.
    pub drift: Option<f64>,
    /// Relative spread (largest minus smallest) of several readings, per cent.
    pub scatter: Option<f64>,
    /// Relative weight of the last written digits of one reading, per cent; a smaller drift is none.
    pub digit: f64,
    /// The readings themselves in order, leads and all, ohm.
    pub each: Vec<Value>,
    /// What the plate says of this pair.
    pub plate: Option<Plated>,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Derives all pairs of a visit.
pub fn derive(case: &Case<'_>, w: &mut Workings, derived: &Derived) -> Vec<Winding> {
    let mut found = Vec::new();
    for (index, test, body) in case.visit.of(Test::resistance) {
        let mut pairs: Vec<Pair> = Vec::new();
        for pair in body
            .rows
            .iter()
            .filter_map(|row| row.on.map(|on| on.value.ascending()))
        {
            if !pairs.contains(&pair) {
                pairs.push(pair);
            }
        }
        let leads = leads(case, derived, test);
        found.extend(
            pairs
                .into_iter()
                .filter_map(|pair| winding(case, w, (index, test, body), pair, leads)),
        );
    }
    found
}

/// The leads by a sound self-check of this visit: the one of the same instrument, else the last.
fn leads(case: &Case<'_>, derived: &Derived, test: &Test) -> Option<Value> {
    let id = |test: &Test| {
        test.instrument
            .value()
            .or(case.visit.instrument.value())
            .cloned()
    };
    let sound = || {
        derived
            .self_check
            .iter()
            .filter(|checked| checked.doubtful.is_none() && checked.leads.is_some())
    };
    let same = sound().rfind(|checked| {
        case.visit
            .tests
            .get(checked.test)
            .is_some_and(|other| id(other) == id(test))
    });
    same.or_else(|| sound().next_back())
        .and_then(|checked| checked.leads)
}

fn winding(
    case: &Case<'_>,
    w: &mut Workings,
    (index, test, body): (usize, &Test, &Resistance),
    pair: Pair,
    leads: Option<Value>,
) -> Option<Winding> {
    let rows = || {
        body.rows
            .iter()
            .filter(|row| row.on.is_some_and(|on| on.value.ascending() == pair))
    };
    let name = case.record.pair_text(pair);
    let each: Vec<(Value, Span)> = rows()
        .filter_map(|row| Some((reading(case, w, test, row, &name)?, first_span(row))))
        .collect();
    let values: Vec<Value> = each.iter().map(|(value, _)| *value).collect();
    let mean = mean(w, &values, &name)?;
    let wires = wires(body);
    let leads = leads.filter(|_| wires == Wires::Two);
    let cold = match leads {
        Some(leads) => w.step(&LEADS_OFF, [mean, leads])?,
        None => mean,
    };
    let stated = case
        .temperature(test)
        .filter(|stated| stated.value.is_exact());
    let by_air = test.temperature.is_missing() && case.visit.winding_temperature.is_missing();
    let temperature = stated.map(|stated| input::stated(w, "temperature of the winding", stated));
    let at_75 = temperature.and_then(|t| to_75(case, w, pair, cold, t));
    Some(Winding {
        test: index,
        pair,
        cold,
        temperature,
        by_air: by_air && temperature.is_some(),
        at_75,
        wires,
        leads_unknown: wires != Wires::Four && leads.is_none(),
        leads,
        drift: drift(&values),
        scatter: scatter(&values),
        digit: rows().map(digit).fold(0.0, f64::max),
        plate: from::plated(case, w, pair, at_75),
        each: values,
        readings: each.iter().map(|(_, span)| *span).collect(),
        doubtful: test.doubtful.or_else(|| rows().find_map(unreadable)),
    })
}

fn wires(body: &Resistance) -> Wires {
    match body.wires.value() {
        Some(n) if (*n - 4.0).abs() < 0.5 => Wires::Four,
        Some(n) if (*n - 2.0).abs() < 0.5 => Wires::Two,
        _ => Wires::Unstated,
    }
}

/// Resistance of one row, ohm: as shown, else by Ohm's law. A bound is no value.
fn reading(
    case: &Case<'_>,
    w: &mut Workings,
    test: &Test,
    row: &ResistanceRow,
    name: &str,
) -> Option<Value> {
    if let Some(shown) = row.resistance.get() {
        let exact = shown.value.is_exact().then_some(shown)?;
        return Some(input::reading(
            w,
            case,
            test,
            Measure::Resistance,
            format!("resistance of {name}"),
            exact,
        ));
    }
    let (voltage, current) = (row.voltage.get()?, row.current.get()?);
    if !(voltage.value.is_exact() && current.value.is_exact()) {
        return None;
    }
    let u = input::reading(
        w,
        case,
        test,
        Measure::Voltage,
        format!("voltage across {name}"),
        voltage,
    );
    let i = input::reading(
        w,
        case,
        test,
        Measure::Current,
        format!("current through {name}"),
        current,
    );
    w.step(&BY_OHM, [u, i])
}

/// What one step of the last digit is of the reading, per cent.
fn digit(row: &ResistanceRow) -> f64 {
    let share = |given: &Given<Quantity>| {
        given
            .value()
            .filter(|q| q.si > 0.0)
            .map_or(0.0, |q| 100.0 * q.resolution / q.si)
    };
    if row.resistance.get().is_some() {
        share(&row.resistance)
    } else {
        share(&row.voltage) + share(&row.current)
    }
}

fn first_span(row: &ResistanceRow) -> Span {
    row.resistance
        .span()
        .or(row.voltage.span())
        .unwrap_or(row.span)
}

fn unreadable(row: &ResistanceRow) -> Option<Span> {
    [&row.resistance, &row.voltage, &row.current]
        .into_iter()
        .find(|given| given.is_unreadable())
        .and_then(Given::span)
}

/// Arithmetic mean, with the scatter of the readings as a part of its own (JCGM 100:2008, 4.2.3).
fn mean(w: &mut Workings, values: &[Value], name: &str) -> Option<Value> {
    let [first, _, ..] = values else {
        return values.first().copied();
    };
    let n = f64::from(u32::try_from(values.len()).ok()?);
    let mean = values.iter().map(|value| value.si).sum::<f64>() / n;
    let links: Vec<(Value, f64)> = values.iter().map(|value| (*value, 1.0 / n)).collect();
    let what = format!("mean resistance of {name}");
    let value = w.many(
        what,
        "ohm",
        "sum(R)/n".to_owned(),
        "JCGM 100:2008, 4.2.1 and 4.2.3",
        mean,
        &links,
    )?;
    // Without a stated accuracy of the readings the scatter alone must not pass for the uncertainty.
    if w.uncertainty(*first).known {
        let squares: f64 = values
            .iter()
            .map(|value| (value.si - mean) * (value.si - mean))
            .sum();
        let component = w.own(format!("scatter of the readings of {name}"));
        w.add_part(
            value,
            Part {
                component,
                u: (squares / (n * (n - 1.0))).sqrt(),
            },
        );
    }
    Some(value)
}

fn drift(values: &[Value]) -> Option<f64> {
    let [first, .., last] = values else {
        return None;
    };
    let change = 100.0 * (last.si / first.si - 1.0);
    change.is_finite().then_some(change)
}

fn scatter(values: &[Value]) -> Option<f64> {
    let [_, _, ..] = values else { return None };
    let (low, high) = values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v.si), high.max(v.si))
        });
    let spread = 100.0 * (high - low) / low;
    spread.is_finite().then_some(spread)
}

/// A resistance at `t` degree Celsius, taken to 75 °C; `None` below the constant's zero and for
/// what is no resistance.
fn to_75(case: &Case<'_>, w: &mut Workings, pair: Pair, r: Value, t: Value) -> Option<Value> {
    let core = case.core(pair)?;
    let k = conductor::of_core(w, case, core)?;
    let row = conductor::reference()?;
    let reference = input::cited(w, "reference temperature", "C", row.limit, &row.cited);
    (r.si > 0.0 && t.si + k.si > 0.0).then(|| w.step(&TO_75, [r, t, k, reference]))?
}

#[cfg(test)]
mod tests;
