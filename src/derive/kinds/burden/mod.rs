//! Burden of the connected circuit, at rated frequency.

use super::Derived;
use crate::derive::accuracy::POWER;
use crate::derive::deriving::{Deriving, exact, unreadable, written};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::burden::{BurdenRow, BurdenTest, Path};
use crate::record::readings::Measure::{Angle, Current, Voltage};
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

    static FACTOR = "circuit-power-factor", "power factor of the circuit":
        "R/Z" ("") of [RESISTANCE, symbol("Z", "ohm", "impedance of the circuit")], |[r, z]| r / z,
        OHM;
}

/// One measured loop. Everything is at rated frequency where the angle was read.
#[derive(Clone, Debug)]
pub struct Loop {
    pub test: usize,
    pub pair: Pair,
    /// None when nobody wrote it.
    pub path: Option<Path>,
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

impl Derived {
    /// The measured loop of a pair, at this visit or an earlier one of the occasion: phase to neutral if there are several; none that holds more than the
    /// circuit of one phase.
    pub(super) fn loop_of(&self, pair: Pair) -> Option<&Loop> {
        let before = self.before.iter().rev().map(|before| &before.burden);
        let mut all = std::iter::once(&self.burden).chain(before);
        all.find_map(|loops| Self::neutral(loops, pair))
    }

    fn neutral(loops: &[Loop], pair: Pair) -> Option<&Loop> {
        let of_one = |one: &Loop| one.path.is_none_or(Path::is_of_one_phase);
        let fits =
            |one: &&Loop| one.pair.ascending() == pair && one.doubtful.is_none() && of_one(one);
        let mut loops = loops.iter().rev().filter(fits);
        let neutral = loops
            .clone()
            .find(|one| one.path == Some(Path::PhaseNeutral));
        neutral.or_else(|| loops.next())
    }
}

/// Derives all loops of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Loop> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::burden) {
        let rows = body.rows.iter();
        found.extend(rows.filter_map(|row| one(d, (index, test, body), row)));
    }
    found
}

fn one(
    d: &mut Deriving<'_>,
    (index, test, body): (usize, &Test, &BurdenTest),
    row: &BurdenRow,
) -> Option<Loop> {
    let pair = row.on?.value;
    let (voltage, current) = (exact(&row.voltage)?, exact(&row.current)?);
    let u = d.read(test, Voltage, "voltage across the circuit", voltage);
    let i = d.read(test, Current, "current into the circuit", current);
    let p = d.read_exact(test, Angle, "angle of the circuit", &row.angle);
    let mut z = d.w.step(&IMPEDANCE, [u, i])?;
    let r = p.and_then(|p| d.w.step(&REAL, [u, i, p]));
    let mut x = p.and_then(|p| d.w.step(&IMAGINARY, [u, i, p]));
    let other = d.other_frequency(&body.frequency);
    let mut scaled = false;
    if let (Some((f, rated)), Some(resistance), Some(reactance)) = (other, r, x) {
        let fr = d.w.plate("rated frequency", rated);
        let f = d.w.stated("frequency of the test", f);
        if let Some(at_rated) = d.w.step(&AT_RATED, [reactance, fr, f])
            && let Some(magnitude) = d.w.step(&MAGNITUDE, [resistance, at_rated])
        {
            (x, z, scaled) = (Some(at_rated), magnitude, true);
        }
    }
    let rated = d.isr(pair.ascending());
    let unreadable = unreadable([&row.voltage, &row.current, &row.angle])
        .or_else(|| row.path.span().filter(|_| row.path.is_unreadable()));
    Some(Loop {
        test: index,
        pair,
        path: row.path.value().copied(),
        z,
        r,
        x,
        va: rated.and_then(|rated| d.w.step(&POWER, [z, rated])),
        power_factor: r.and_then(|r| d.w.step(&FACTOR, [r, z])),
        other_frequency: other.map(|(f, _)| f.value.si),
        scaled,
        readings: written([row.voltage.span(), row.current.span(), row.angle.span()]),
        doubtful: test.doubtful.or(unreadable),
    })
}

#[cfg(test)]
mod tests;
