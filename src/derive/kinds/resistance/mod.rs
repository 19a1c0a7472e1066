//! Winding resistance: mean of the settled readings, leads off, to 75 °C.

mod from;

pub use from::{From, Plated};

use crate::derive::component::Component;
use crate::derive::conductor;
use crate::derive::deriving::{Deriving, exact, unreadable};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::record::kinds::Test;
use crate::record::kinds::primary_resistance::PrimaryRow;
use crate::record::kinds::resistance::{Resistance, ResistanceRow};
use crate::record::readings::Measure::{self, Current, Voltage};
use crate::record::schema::FoundBy;
use crate::record::value::At;
use crate::standards::threshold;
use crate::trade::{Metal, Pair};
use std::ops::Deref;

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

    static AS_TESTED = "winding-resistance-as-tested",
        "winding resistance at the temperature of the test":
        "R*(t + k)/(T + k)" ("ohm") of [
            symbol("R", "ohm", "winding resistance at 75 °C"),
            symbol("t", "C", "temperature of the winding, or of the air"),
            symbol("k", "C", "constant of the conductor"),
            symbol("T", "C", "reference temperature"),
        ], |[r, t, k, reference]| r * (t + k) / (reference + k),
        "IEC 60076-1 and IEEE C57.12.90 (from memory)";

    static BY_TURNS = "resistance-by-turns",
        "winding resistance at 75 °C by the plate and the turns":
        "R*n/m" ("ohm") of [
            symbol("R", "ohm", "resistance of the pair that the plate states"),
            symbol("n", "", "turns of this pair"),
            symbol("m", "", "turns of the pair that the plate states"),
        ], |[r, n, m]| r * n / m,
        "evenly spread turns of one wire; approximate for partial windings";

    static AWAY = "resistance-deviation",
        "deviation of the winding resistance from the plate":
        "100*(R/p - 1)" ("%") of [
            symbol("R", "ohm", "winding resistance at 75 °C"),
            symbol("p", "ohm", "resistance by the plate at 75 °C"),
        ], |[r, p]| 100.0 * (r / p - 1.0), "relative deviation in per cent";
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

/// How several readings of one pair, one after the other, came to rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Settling {
    /// One reading shows nothing of it.
    Single,
    /// From the first on.
    Steady,
    /// From this reading on, counted from zero; before it the readings ran to it from one side.
    From(usize),
    /// Still falling with the last one: the current has not settled.
    Falling,
    /// Still rising with the last one: the current heats the winding.
    Rising,
    /// Up and down.
    Unsteady,
}

impl Settling {
    /// Whether the readings tell the resistance: they do not while they still fall or rise.
    #[must_use]
    pub fn is_at_rest(self) -> bool {
        !matches!(self, Self::Falling | Self::Rising)
    }

    /// The readings that tell the resistance. Of those that still fall the last is nearest to it.
    #[must_use]
    pub fn judged(self, count: usize) -> std::ops::Range<usize> {
        match self {
            Self::From(first) => first..count,
            Self::Falling => count.saturating_sub(1)..count,
            Self::Single | Self::Steady | Self::Rising | Self::Unsteady => 0..count,
        }
    }

    /// How several readings came to rest, where `least` per cent is no change.
    fn of(values: &[Value], least: f64) -> Self {
        let [first, _, ..] = values else {
            return Self::Single;
        };
        let Some(last) = values.last() else {
            return Self::Single;
        };
        if scatter(values).is_none_or(|spread| spread <= least) {
            return Self::Steady;
        }
        let at_rest = |from: usize| {
            let rest = values.get(from..).and_then(scatter);
            rest.is_some_and(|spread| spread <= least)
        };
        // No current settles from twice the resistance or more, and none heats a winding to it.
        if scatter(values).is_some_and(|spread| spread > 100.0) {
            return Self::Unsteady;
        }
        let settled = (1..values.len()).find(|from| at_rest(*from));
        let before = values.get(..settled.unwrap_or(values.len())).unwrap_or(&[]);
        let steps = || before.iter().zip(before.iter().skip(1));
        let falls = steps().all(|(a, b)| b.si <= a.si) && last.si < first.si;
        let rises = steps().all(|(a, b)| b.si >= a.si) && last.si > first.si;
        match settled {
            Some(from) if falls || rises => Self::From(from),
            None if falls => Self::Falling,
            None if rises => Self::Rising,
            _ => Self::Unsteady,
        }
    }
}

/// The resistance of a winding, however often it was read.
#[derive(Clone, Debug)]
pub struct Read {
    /// Index of the test in the visit.
    pub test: usize,
    /// At the winding's temperature, leads off, ohm.
    pub cold: Value,
    /// The winding's temperature, degree Celsius; `None` when nobody wrote it.
    pub temperature: Option<Value>,
    /// How that temperature was found.
    pub temperature_by: Option<FoundBy>,
    /// At 75 °C, ohm; `None` without a temperature.
    pub at_75: Option<Value>,
    pub metal: Metal,
    pub wires: Wires,
    /// Two wires without a lead resistance to subtract, or nobody wrote how many wires.
    pub leads_unknown: bool,
    /// What was subtracted for the leads, ohm.
    pub leads: Option<Value>,
    /// How several readings came to rest.
    pub settling: Settling,
    /// Relative spread (largest minus smallest) of several readings, per cent.
    pub scatter: Option<f64>,
    /// The readings themselves in order, leads and all, ohm.
    pub each: Vec<Value>,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// The resistance of one pair.
#[derive(Clone, Debug)]
pub struct Winding {
    /// The pair, lower terminal first.
    pub pair: Pair,
    pub read: Read,
    /// What the plate says of this pair.
    pub plate: Option<Plated>,
}

impl Deref for Winding {
    type Target = Read;

    fn deref(&self) -> &Read {
        &self.read
    }
}

/// Derives all pairs of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Winding> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::resistance) {
        let mut pairs: Vec<Pair> = Vec::new();
        for pair in body.rows.iter().filter_map(pair_of) {
            if !pairs.contains(&pair) {
                pairs.push(pair);
            }
        }
        let windings = pairs.into_iter();
        found.extend(windings.filter_map(|pair| winding(d, (index, test, body), pair)));
    }
    found
}

fn pair_of(row: &ResistanceRow) -> Option<Pair> {
    row.on.map(|on| on.value.ascending())
}

/// The leads by a sound self-check of this visit: the one of the same instrument, else the last.
fn leads(d: &Deriving<'_>, test: &Test) -> Option<Value> {
    let id = |test: &Test| {
        test.instrument
            .value()
            .or(d.visit.instrument.value())
            .cloned()
    };
    let checks = d.derived.self_check.iter().rev();
    let mut sound = checks.filter(|check| check.doubtful.is_none() && check.leads.is_some());
    let last = sound.next()?;
    let same = std::iter::once(last).chain(sound).find(|check| {
        let other = d.visit.tests.get(check.test);
        other.is_some_and(|other| id(other) == id(test))
    });
    same.unwrap_or(last).leads
}

fn winding(
    d: &mut Deriving<'_>,
    (index, test, body): (usize, &Test, &Resistance),
    pair: Pair,
) -> Option<Winding> {
    let rows = body.rows.iter();
    let rows = rows.filter(|row| pair_of(row) == Some(pair));
    let rows: Vec<Row<'_>> = rows.map(Row::from).collect();
    let (name, metal) = (d.record.pair_text(pair), d.core(pair)?.metal());
    let read = read(d, (index, test), &body.wires, &rows, (&name, metal))?;
    Some(Winding {
        pair,
        plate: from::plated(d, pair, read.at_75),
        read,
    })
}

/// One reading, as its row has it.
#[derive(Clone, Copy)]
pub(super) struct Row<'r> {
    resistance: &'r Given<Quantity>,
    voltage: &'r Given<Quantity>,
    current: &'r Given<Quantity>,
    span: Span,
}

macro_rules! rows {
    ($($of:ty),*) => {$(
        impl<'r> std::convert::From<&'r $of> for Row<'r> {
            fn from(row: &'r $of) -> Self {
                Self {
                    resistance: &row.resistance,
                    voltage: &row.voltage,
                    current: &row.current,
                    span: row.span,
                }
            }
        }
    )*};
}

rows!(ResistanceRow, PrimaryRow);

impl Row<'_> {
    /// Resistance, ohm: as shown, else by Ohm's law. A bound is no value.
    fn reading(self, d: &mut Deriving<'_>, test: &Test, name: &str) -> Option<Value> {
        if self.resistance.get().is_some() {
            let what = format!("resistance of {name}");
            return d.read_exact(test, Measure::Resistance, what, self.resistance);
        }
        let (voltage, current) = (exact(self.voltage)?, exact(self.current)?);
        let u = d.read(test, Voltage, format!("voltage across {name}"), voltage);
        let i = d.read(test, Current, format!("current through {name}"), current);
        d.w.step(&BY_OHM, [u, i])
    }

    /// What one step of the last digit is of the reading, per cent.
    fn digit(self) -> f64 {
        let share = |given: &Given<Quantity>| {
            let positive = given.value().filter(|q| q.si > 0.0);
            positive.map_or(0.0, |q| 100.0 * q.resolution / q.si)
        };
        if self.resistance.get().is_some() {
            share(self.resistance)
        } else {
            share(self.voltage) + share(self.current)
        }
    }

    fn first_span(self) -> Span {
        let first = self.resistance.span().or(self.voltage.span());
        first.unwrap_or(self.span)
    }

    fn unreadable(self) -> Option<Span> {
        unreadable([self.resistance, self.voltage, self.current])
    }
}

/// The readings of one winding by its rows, taken to 75 °C by its metal.
pub(super) fn read(
    d: &mut Deriving<'_>,
    (index, test): (usize, &Test),
    wires: &Given<f64>,
    rows: &[Row<'_>],
    (name, metal): (&str, Metal),
) -> Option<Read> {
    let (each, readings): (Vec<Value>, Vec<Span>) = rows
        .iter()
        .filter_map(|row| Some((row.reading(d, test, name)?, row.first_span())))
        .unzip();
    let digit = rows.iter().map(|row| row.digit()).fold(0.0, f64::max);
    let stable = threshold("resistance-stability").map_or(0.0, |row| row.limit);
    // One step of the last digit is no change, however large a share it is, nor is what two readings differ by when
    // each is as uncertain as it is.
    let repeats = each
        .iter()
        .map(|one| 100.0 * 2f64.sqrt() * repeats(d.w, *one));
    let least = repeats.fold(stable.max(digit), f64::max);
    let settling = Settling::of(&each, least * (1.0 + 1e-9));
    let judged = each.get(settling.judged(each.len())).unwrap_or(&[]);
    let mean = mean(d.w, judged, name)?;
    let wires = self::wires(wires);
    let leads = leads(d, test).filter(|_| wires == Wires::Two);
    let cold = match leads {
        Some(leads) => d.w.step(&LEADS_OFF, [mean, leads])?,
        None => mean,
    };
    let stated = d.temperature(test);
    let temperature =
        stated.map(|stated| d.stated_temperature(test, "temperature of the winding", stated));
    let at_75 = temperature.and_then(|t| to_75(d, metal, cold, t));
    Some(Read {
        test: index,
        cold,
        temperature,
        temperature_by: temperature.and(d.temperature_by(test)),
        at_75,
        metal,
        wires,
        leads_unknown: wires != Wires::Four && leads.is_none(),
        leads,
        settling,
        scatter: scatter(&each),
        each,
        readings,
        doubtful: test
            .doubtful
            .or_else(|| rows.iter().find_map(|row| row.unreadable())),
    })
}

fn wires(wires: &Given<f64>) -> Wires {
    match wires.value() {
        Some(n) if (*n - 4.0).abs() < 0.5 => Wires::Four,
        Some(n) if (*n - 2.0).abs() < 0.5 => Wires::Two,
        _ => Wires::Unstated,
    }
}

/// Relative standard uncertainty of a reading, where it is known.
fn repeats(w: &Workings, reading: Value) -> f64 {
    let u = w.uncertainty(reading);
    if u.known { u.u / reading.si } else { 0.0 }
}

/// Arithmetic mean, with the scatter of the readings as a part of its own (JCGM 100:2008, 4.2.3).
fn mean(w: &mut Workings, values: &[Value], name: &str) -> Option<Value> {
    let [_, _, ..] = values else {
        return values.first().copied();
    };
    let freedom = u32::try_from(values.len()).ok()?.saturating_sub(1);
    let n = f64::from(u32::try_from(values.len()).ok()?);
    let mean = values.iter().map(|value| value.si).sum::<f64>() / n;
    let links: Vec<(Value, f64)> = values.iter().map(|value| (*value, 1.0 / n)).collect();
    let what = format!("mean resistance of {name}");
    let source = "JCGM 100:2008, 4.2.1 and 4.2.3";
    let value = w.many(what, "ohm", "sum(R)/n", source, mean, &links)?;
    // Without a stated accuracy of the readings the scatter is a part of an uncertainty that is not known.
    let squares = values
        .iter()
        .map(|value| (value.si - mean) * (value.si - mean));
    let u = (squares.sum::<f64>() / (n * (n - 1.0))).sqrt();
    let of = name.to_owned();
    w.add_part(
        value,
        Component::Scatter {
            of: of.into(),
            freedom,
        },
        u,
    );
    Some(value)
}

fn scatter(values: &[Value]) -> Option<f64> {
    let [_, _, ..] = values else { return None };
    let low = values.iter().map(|v| v.si).fold(f64::INFINITY, f64::min);
    let high = values
        .iter()
        .map(|v| v.si)
        .fold(f64::NEG_INFINITY, f64::max);
    let spread = 100.0 * (high - low) / low;
    spread.is_finite().then_some(spread)
}

/// A resistance that the plate states at some temperature, taken to 75 °C.
pub(super) fn plate_at_75(
    d: &mut Deriving<'_>,
    metal: Metal,
    name: String,
    stated: &Located<At>,
) -> Option<Value> {
    let (ohm, at, span) = (stated.value.value.si, stated.value.at.si, stated.span);
    let r = d.w.number(name, "ohm", ohm, span);
    if (at - conductor::reference()?.limit).abs() < 1e-9 {
        return Some(r);
    }
    let what = "temperature of the plate's resistance";
    let t = d.w.number(what, "C", at, span);
    to_75(d, metal, r, t)
}

/// A resistance at `t` degree Celsius, taken to 75 °C; `None` below the constant's zero and for
/// what is no resistance.
fn to_75(d: &mut Deriving<'_>, metal: Metal, r: Value, t: Value) -> Option<Value> {
    let (k, reference) = constants(d, metal, t)?;
    (r.si > 0.0).then(|| d.w.step(&TO_75, [r, t, k, reference]))?
}

/// The constant of a conductor, above whose zero `t` lies, and the reference temperature.
fn constants(d: &mut Deriving<'_>, metal: Metal, t: Value) -> Option<(Value, Value)> {
    let row = conductor::constant(d, metal)?;
    let what = format!("constant of {}", row.metal.name());
    let k = d.w.cited(what, "C", row.k, &row.cited);
    let row = conductor::reference()?;
    let reference =
        d.w.cited("reference temperature", "C", row.limit, &row.cited);
    (t.si + k.si > 0.0).then_some((k, reference))
}

#[cfg(test)]
mod tests;
