//! From the voltage at the terminals to the e.m.f. of the core, at rated frequency, on another pair.
//! The order matters: resistive drop first, then the frequency, then the turns.

use super::formula::{Symbol, formulas, symbol};
use super::workings::{Value, Workings};

const PHASORS: &str = "phasor subtraction of the resistive drop";
const V: Symbol = symbol("V", "V", "voltage at the terminals");
const I: Symbol = symbol("I", "A", "exciting current");
const R: Symbol = symbol("R", "ohm", "winding resistance as it was during the test");
const TO: Symbol = symbol("n", "", "turns of the pair");
const FROM: Symbol = symbol("m", "", "turns of the driven pair");

formulas! {
    static LOW = "emf-low", "least e.m.f. behind the winding resistance":
        "V - I*R" ("V") of [V, I, R], |[v, i, r]| v - i * r, PHASORS;

    static HIGH = "emf-high", "greatest e.m.f. behind the winding resistance":
        "sqrt(V^2 - (I*R)^2)" ("V") of [V, I, R], |[v, i, r]| (v.powi(2) - (i * r).powi(2)).sqrt(),
        PHASORS;

    static PHASOR = "emf-phasor", "e.m.f. behind the winding resistance":
        "hypot(V - I*R*cos(p), I*R*sin(p))" ("V")
        of [V, I, R, symbol("p", "rad", "angle by which the current lags the voltage")],
        |[v, i, r, p]| (v - i * r * p.cos()).hypot(i * r * p.sin()), PHASORS;

    // The exciting current does not scale with it: at a lower frequency it is too low where eddy loss
    // counts, and about right in saturation.
    pub(super) static AT_RATED_FREQUENCY = "emf-at-rated-frequency",
        "e.m.f. at rated frequency for the same flux":
        "e*fr/f" ("V") of [
            symbol("e", "V", "e.m.f., or the voltage that stands for it, at the frequency of the test"),
            symbol("fr", "Hz", "rated frequency"),
            symbol("f", "Hz", "frequency of the test"),
        ], |[e, fr, f]| e * fr / f,
        "law of induction: e.m.f. proportional to frequency at the same flux";

    pub(super) static VOLTAGE_BY_TURNS = "voltage-by-turns", "voltage on another pair of the winding":
        "V*n/m" ("V") of [symbol("V", "V", "voltage on the driven pair"), TO, FROM],
        |[v, n, m]| v * n / m, "volts per turn are the same in evenly spread turns";

    pub(super) static CURRENT_BY_TURNS = "current-by-turns",
        "exciting current on another pair of the winding":
        "I*m/n" ("A") of [symbol("I", "A", "exciting current of the driven pair"), TO, FROM],
        |[i, n, m]| i * m / n, "ampere-turns are the same in evenly spread turns";

    // What it stresses, not what it magnetises: the flux follows the mean.
    pub(super) static SINE_OF_CREST = "sine-of-crest", "r.m.s. voltage of a sine with the same crest":
        "v/sqrt(2)" ("V") of [symbol("v", "V", "crest of the voltage")],
        |[v]| v / std::f64::consts::SQRT_2, "crest factor of a sine";
}

/// The e.m.f. behind the winding resistance, volt: its bounds for a current that lags it by 0° to
/// 90°, and the value itself where the angle is known.
#[derive(Clone, Copy, Debug)]
pub struct Emf {
    /// No less than this.
    pub low: Value,
    /// No more than this.
    pub high: Value,
    /// By phasors, when the angle was recorded.
    pub exact: Option<Value>,
}

/// Takes the resistive drop off a terminal voltage. `v` in volt, `i` in ampere, `r` in ohm, `lag`
/// the angle of the current behind the voltage in radian. `None` when the drop is as large as the
/// voltage: then `r` cannot be the resistance of this winding.
pub fn emf(w: &mut Workings, v: Value, i: Value, r: Value, lag: Option<Value>) -> Option<Emf> {
    Some(Emf {
        low: w.step(&LOW, [v, i, r])?,
        high: w.step(&HIGH, [v, i, r])?,
        exact: match lag {
            Some(lag) => Some(w.step(&PHASOR, [v, i, r, lag])?),
            None => None,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing::constants;

    #[test]
    fn the_phasor_e_m_f_lies_between_the_bounds() {
        for (v, i, r) in [(100.0, 0.5, 20.0), (1.0, 0.01, 99.0), (400.0, 5.0, 3.0)] {
            // A current that lags the e.m.f. by `psi`; the voltage follows.
            for psi in [0.0, 0.3, 0.8, 1.2, std::f64::consts::FRAC_PI_2] {
                let drop: f64 = i * r;
                let side = drop * libm::sin(psi);
                let e = (v * v - side * side).sqrt() - drop * libm::cos(psi);
                let lag = libm::asin(e * libm::sin(psi) / v);
                let mut w = Workings::new();
                let [v, i, r, lag] = constants(&mut w, [v, i, r, lag]);
                let found = emf(&mut w, v, i, r, Some(lag)).unwrap();
                let exact = found.exact.unwrap().si;
                assert!((exact - e).abs() < 1e-9 * e, "{exact} {e}");
                assert!(
                    found.low.si <= exact * (1.0 + 1e-12) && exact <= found.high.si * (1.0 + 1e-12)
                );
            }
        }
    }

    #[test]
    fn a_drop_larger_than_the_voltage_is_refused() {
        let mut w = Workings::new();
        let [v, i, r] = constants(&mut w, [1.0, 1.0, 2.0]);
        assert!(emf(&mut w, v, i, r, None).is_none());
    }

    #[test]
    fn scales_by_frequency_and_by_turns() {
        let value = |found: Option<crate::derive::num::Num<3>>| found.unwrap().v;
        assert_eq!(value(AT_RATED_FREQUENCY.at([40.0, 50.0, 10.0])), 200.0);
        assert!((value(VOLTAGE_BY_TURNS.at([40.0, 240.0, 80.0])) - 120.0).abs() < 1e-12);
        assert!((value(CURRENT_BY_TURNS.at([0.6, 240.0, 80.0])) - 0.2).abs() < 1e-12);
        assert!(AT_RATED_FREQUENCY.at([40.0, 50.0, 0.0]).is_none());
    }
}
