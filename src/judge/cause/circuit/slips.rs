//! A reading of a loop that was written wrongly: its point, its unit, two of its digits, or voltage and current each
//! in the other's column.

use super::Circuit;
use crate::document::{Phrase, say};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::cause::digits::exchanged;
use crate::judge::cause::evidence::Evidence;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::burden as rules;
use crate::record::kinds::Test;

/// Times that a point or a unit is off by.
const POINT: [f64; 2] = [0.1, 10.0];
const UNIT: [f64; 2] = [0.001, 1000.0];
pub(super) const OF_A_SLIP: f64 = price::OF_A_LIST + 0.5;
/// Of two digits there are many ways to fit.
const OF_DIGITS: f64 = 1.0;
/// Nearer than this to the rated current, in natural logarithms, it is the one that was set: as a rule it is.
pub(super) const NEAR_RATED: f64 = 0.03;
/// That it is so when it is put right speaks for a slip.
const SET: f64 = 2.0;
/// Further off than this, in natural logarithms, digits or columns do not fit.
pub(super) const FITS: f64 = 0.2;

/// The readings of a loop, and what it should be.
struct Slip<'a> {
    evidence: &'a Evidence<'a>,
    circuit: &'a Circuit<'a>,
    volts: Written,
    amperes: Written,
    degrees: Option<Written>,
    /// ln of its impedance over what it should be; and whether that is the least only: what it is over its rating.
    away: (f64, bool),
    /// Rated secondary current, ampere.
    rated: Option<f64>,
}

/// A reading as it was written.
pub(super) struct Written {
    text: String,
    /// With its unit.
    whole: String,
    /// The number of the text.
    number: f64,
    /// In SI.
    pub value: f64,
}

pub(super) fn all(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    circuit: &Circuit<'_>,
) -> Vec<Hypothesis> {
    let over = circuit.over.as_ref().map(|(over, _)| (*over, true));
    let over = over.filter(|(over, _)| *over > 0.0);
    let away = circuit.r.map(|away| (away, false)).or(over);
    let Some((away, (volts, amperes, degrees))) = away.zip(written(j, circuit)) else {
        return Vec::new();
    };
    let slip = Slip {
        evidence,
        circuit,
        volts,
        amperes,
        degrees,
        away,
        rated: j.case.rated_secondary(circuit.one.pair.ascending()),
    };
    let mut all = slip.points();
    all.extend(slip.columns());
    all.extend(slip.digits());
    all.extend(slip.angle());
    all
}

impl Slip<'_> {
    fn made(&self, (r, x): (f64, f64), observed: Phrase) -> Hypothesis {
        let made = Hypothesis::new(&rules::CIRCUIT_SLIP, self.circuit.seat(), observed)
            .price(OF_A_SLIP)
            .decide("the loop again, and what the instrument kept in its memory");
        self.circuit.moved(made, self.evidence, (r, x), true)
    }

    /// Whether an impedance that is so many times too high would be what it should be.
    fn fits(&self, times: f64) -> bool {
        let (away, least) = self.away;
        let off = libm::log(times) - away;
        off.abs() < FITS || least && off > 0.0
    }

    fn is_rated(&self, si: f64) -> bool {
        let off = self.rated.map(|rated| libm::log(si / rated).abs());
        off.is_some_and(|off| off < NEAR_RATED)
    }

    fn points(&self) -> Vec<Hypothesis> {
        let point = POINT.map(|times| (times, "decimal point"));
        let all = point.into_iter().chain(UNIT.map(|times| (times, "unit")));
        let all = all.filter(|(times, _)| self.fits(*times));
        let made = all.map(|(times, word)| {
            let (volts, amperes) = (self.volts.told(), self.amperes.told());
            let set = self.is_rated(self.amperes.value);
            let (which, speaks) = match (set, self.is_rated(self.amperes.value * times)) {
                (true, _) => (volts, 0.0),
                (false, true) => (amperes, SET),
                (false, false) => (say!("{} or the {}", volts, amperes), 0.0),
            };
            let observed = say!("fits with the {} of the {} in place", word, which);
            let size = libm::log(times);
            self.made((size, size), observed).besides(speaks)
        });
        made.collect()
    }

    fn columns(&self) -> Option<Hypothesis> {
        let times = (self.volts.value / self.amperes.value).powi(2);
        let observed = say!(
            "fits with {} and {} in each other's column",
            self.volts.told(),
            self.amperes.told()
        );
        // A current that is the rated one stands where it belongs.
        let stands = self.is_rated(self.amperes.value);
        let speaks = if self.is_rated(self.volts.value) {
            SET
        } else {
            0.0
        };
        let size = libm::log(times);
        let made = || self.made((size, size), observed).besides(speaks);
        (self.fits(times) && !stands).then(made)
    }

    fn digits(&self) -> Vec<Hypothesis> {
        let (volts, amperes) = (&self.volts, &self.amperes);
        let of_volts = exchanged(&volts.text).into_iter();
        let of_volts = of_volts.map(|(text, number)| (volts, text, volts.number / number));
        let of_amperes = exchanged(&amperes.text).into_iter();
        let of_amperes = of_amperes.map(|(text, number)| (amperes, text, number / amperes.number));
        // Any two digits bring a loop below its rating.
        let all = of_volts.chain(of_amperes).filter(|_| !self.away.1);
        let all = all.filter(|(_, _, times)| self.fits(*times));
        let made = all.map(|(one, text, times)| {
            let size = libm::log(times);
            self.made((size, size), two_digits(one, text))
                .besides(-OF_DIGITS)
        });
        made.collect()
    }

    /// The angle alone: the impedance stays, its parts do not.
    fn angle(&self) -> Vec<Hypothesis> {
        let (Some(angle), Some(away)) = (&self.degrees, self.circuit.x) else {
            return Vec::new();
        };
        let point = POINT.map(|times| {
            let observed = say!(
                "fits with the decimal point of the {} in place",
                angle.told()
            );
            (observed, 1.0 / times, 0.0)
        });
        let digits = exchanged(&angle.text)
            .into_iter()
            .map(|(text, number)| (two_digits(angle, text), number / angle.number, -OF_DIGITS));
        let all = point
            .into_iter()
            .chain(digits)
            .filter_map(|(observed, times, speaks)| {
                let (sine, cosine) = libm::sincos(angle.value);
                let (true_sine, true_cosine) = libm::sincos(angle.value * times);
                let r = libm::log(cosine / true_cosine);
                let x = libm::log(sine / true_sine);
                let fits = (x - away).abs() < FITS && r.is_finite();
                fits.then(|| self.made((r, x), observed).besides(speaks))
            });
        all.collect()
    }
}

fn two_digits(one: &Written, text: String) -> Phrase {
    say!("fits with two digits of {} exchanged: {}", one.told(), text)
}

impl Written {
    fn of(given: &Given<Quantity>) -> Option<Self> {
        let shown = given.value()?;
        let text = shown.written_number();
        let number: f64 = text.parse().ok()?;
        (number > 0.0).then_some(Self {
            text,
            whole: shown.written(),
            number,
            value: shown.si,
        })
    }

    fn told(&self) -> Phrase {
        self.whole.clone().into()
    }
}

/// Voltage, current and angle as they were written.
pub(super) fn written(
    j: &Judging<'_>,
    circuit: &Circuit<'_>,
) -> Option<(Written, Written, Option<Written>)> {
    let sections = j.case.visit.of(Test::burden);
    let mut rows = sections.flat_map(|(_, _, body)| &body.rows);
    let first = circuit.one.readings.first().copied();
    let row = rows.find(|row| row.voltage.span() == first)?;
    let (volts, amperes) = (Written::of(&row.voltage)?, Written::of(&row.current)?);
    Some((volts, amperes, Written::of(&row.angle)))
}
