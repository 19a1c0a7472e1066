//! Burden of the connected circuit, at rated frequency.

use super::Derived;
use crate::derive::case::Case;
use crate::derive::formula::formulas;
use crate::derive::formula::{Symbol, symbol};
use crate::derive::input;
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Reading;
use crate::ground::span::{Given, Span};
use crate::record::kinds::Test;
use crate::record::kinds::burden::{BurdenRow, BurdenTest};
use crate::record::readings::Measure;
use crate::trade::Pair;

const OHM: &str = "Ohm's law, alternating current";
const U: Symbol = symbol("U", "V", "voltage across the circuit");
const I: Symbol = symbol("I", "A", "current into the circuit");
const P: Symbol = symbol("p", "rad", "angle by which the current lags");
const RESISTANCE: Symbol = symbol("R", "ohm", "resistance of the circuit");

formulas! {
    static IMPEDANCE = "circuit-impedance", "impedance of the circuit":
        "U/I" ("ohm") of [U, I], |[u, i]| u / i, OHM;

    static REAL = "circuit-resistance", "resistance of the circuit":
        "U/I*cos(p)" ("ohm") of [U, I, P], |[u, i, p]| u / i * p.cos(), OHM;

    static IMAGINARY = "circuit-reactance", "reactance of the circuit":
        "U/I*sin(p)" ("ohm") of [U, I, P], |[u, i, p]| u / i * p.sin(), OHM;

    static AT_RATED = "circuit-reactance-rated", "reactance of the circuit at rated frequency":
        "X*fr/f" ("ohm") of [
            symbol("X", "ohm", "reactance at the frequency of the test"),
            symbol("fr", "Hz", "rated frequency"),
            symbol("f", "Hz", "frequency of the test"),
        ], |[x, fr, f]| x * fr / f, "reactance of an inductance, proportional to frequency";

    static MAGNITUDE = "circuit-magnitude", "impedance of the circuit at rated frequency":
        "hypot(R, X)" ("ohm") of [RESISTANCE, symbol("X", "ohm", "reactance at rated frequency")],
        |[r, x]| r.hypot(x), OHM;

    static POWER = "circuit-power", "apparent power at rated secondary current":
        "Z*In^2" ("VA") of [
            symbol("Z", "ohm", "impedance of the circuit"),
            symbol("In", "A", "rated secondary current"),
        ], |[z, i]| z * i.powi(2),
        "IEC 61869-2:2012: burden in volt-amperes at rated secondary current (from memory)";

    static FACTOR = "circuit-power-factor", "power factor of the circuit":
        "R/Z" ("") of [RESISTANCE, symbol("Z", "ohm", "impedance of the circuit")], |[r, z]| r / z,
        OHM;
}

/// One measured loop. Everything is at rated frequency where the angle was read.
#[derive(Clone, Debug)]
pub struct Loop {
    pub test: usize,
    pub pair: Pair,
    /// `phase-neutral`, …; empty when nobody wrote it.
    pub path: String,
    /// Magnitude of the impedance, ohm.
    pub z: Value,
    /// Resistance, ohm; `None` without an angle.
    pub r: Option<Value>,
    /// Reactance, ohm.
    pub x: Option<Value>,
    /// Apparent power at rated secondary current, VA.
    pub va: Option<Value>,
    /// Power factor.
    pub power_factor: Option<Value>,
    /// The source's frequency in hertz, where it is not the rated one.
    pub other_frequency: Option<f64>,
    /// The reactance was taken to rated frequency. Without an angle it cannot be.
    pub scaled: bool,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Derives all loops of a visit.
pub fn derive(case: &Case<'_>, w: &mut Workings, _derived: &Derived) -> Vec<Loop> {
    let mut found = Vec::new();
    for (index, test, body) in case.visit.of(Test::burden) {
        found.extend(
            body.rows
                .iter()
                .filter_map(|row| one(case, w, (index, test, body), row)),
        );
    }
    found
}

fn one(
    case: &Case<'_>,
    w: &mut Workings,
    (index, test, body): (usize, &Test, &BurdenTest),
    row: &BurdenRow,
) -> Option<Loop> {
    let pair = row.on?.value;
    let exact = |given: &Given<_>| {
        given
            .get()
            .copied()
            .filter(|reading: &Reading| reading.value.is_exact())
    };
    let (voltage, current) = (exact(&row.voltage)?, exact(&row.current)?);
    let u = input::reading(
        w,
        case,
        test,
        Measure::Voltage,
        "voltage across the circuit",
        &voltage,
    );
    let i = input::reading(
        w,
        case,
        test,
        Measure::Current,
        "current into the circuit",
        &current,
    );
    let p = exact(&row.angle).map(|angle| {
        input::reading(
            w,
            case,
            test,
            Measure::Angle,
            "angle of the circuit",
            &angle,
        )
    });
    let mut z = w.step(&IMPEDANCE, [u, i])?;
    let r = p.and_then(|p| w.step(&REAL, [u, i, p]));
    let mut x = p.and_then(|p| w.step(&IMAGINARY, [u, i, p]));
    let other = other_frequency(case, body);
    let mut scaled = false;
    if let (Some((f, rated)), Some(resistance), Some(reactance)) = (other, r, x) {
        let fr = input::plate(w, "rated frequency", rated);
        let f = input::stated(w, "frequency of the test", f);
        if let Some(at_rated) = w.step(&AT_RATED, [reactance, fr, f])
            && let Some(magnitude) = w.step(&MAGNITUDE, [resistance, at_rated])
        {
            (x, z, scaled) = (Some(at_rated), magnitude, true);
        }
    }
    let unreadable = [&row.voltage, &row.current, &row.angle]
        .into_iter()
        .find(|given| given.is_unreadable());
    Some(Loop {
        test: index,
        pair,
        path: row.path.value().cloned().unwrap_or_default(),
        z,
        r,
        x,
        va: power(case, w, pair, z),
        power_factor: r.and_then(|r| w.step(&FACTOR, [r, z])),
        other_frequency: other.map(|(f, _)| f.value.si),
        scaled,
        readings: [row.voltage.span(), row.current.span(), row.angle.span()]
            .into_iter()
            .flatten()
            .collect(),
        doubtful: test.doubtful.or_else(|| unreadable.and_then(Given::span)),
    })
}

/// Apparent power at the pair's rated secondary current, VA.
fn power(case: &Case<'_>, w: &mut Workings, pair: Pair, z: Value) -> Option<Value> {
    let pair = pair.ascending();
    let core = case.core(pair)?;
    let rated = case.rated_secondary(pair).filter(|rated| *rated > 0.0)?;
    let span = core
        .tap(pair.from, pair.to)
        .and_then(|tap| tap.ratio.span())
        .or(core.ratio.span())
        .unwrap_or(core.span);
    let rated = input::plate_number(w, "rated secondary current", "A", rated, span);
    w.step(&POWER, [z, rated])
}

/// The source's frequency and the rated one, where they differ by more than a hundredth.
fn other_frequency<'a>(
    case: &Case<'a>,
    body: &'a BurdenTest,
) -> Option<(&'a Reading, &'a Reading)> {
    let (f, rated) = (body.frequency.get()?, case.record.plate.frequency.get()?);
    let usable = f.value.si > 0.0 && rated.value.si > 0.0;
    (usable && (f.value.si / rated.value.si - 1.0).abs() > 0.01).then_some((f, rated))
}

#[cfg(test)]
mod tests;
