//! From the voltage at the terminals to the e.m.f. of the core, at rated frequency, on the full
//! winding. The order matters: resistive drop first, then the frequency, then the turns.

use super::formula::{Symbol, symbol};
use super::workings::{Value, Workings};
use crate::derive::formula::formulas;

const PHASORS: &str = "phasor subtraction of the resistive drop";
const V: Symbol = symbol("V", "V", "voltage at the terminals");
const I: Symbol = symbol("I", "A", "exciting current");
const R: Symbol = symbol("R", "ohm", "winding resistance as it was during the test");

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

    static AT_RATED_FREQUENCY = "emf-at-rated-frequency",
        "e.m.f. at rated frequency for the same flux":
        "e*fr/f" ("V") of [
            symbol("e", "V", "e.m.f. at the frequency of the test"),
            symbol("fr", "Hz", "rated frequency"),
            symbol("f", "Hz", "frequency of the test"),
        ], |[e, fr, f]| e * fr / f,
        "law of induction: e.m.f. proportional to frequency at the same flux";

    static FULL_VOLTAGE = "full-winding-voltage", "voltage across the full winding":
        "V*n/m" ("V") of [
            symbol("V", "V", "voltage across the driven section"),
            symbol("n", "", "turns of the full winding"),
            symbol("m", "", "turns of the driven section"),
        ], |[v, n, m]| v * n / m, "volts per turn are the same in evenly spread turns";

    static FULL_CURRENT = "full-winding-current", "exciting current on the full winding":
        "I*m/n" ("A") of [
            symbol("I", "A", "exciting current of the driven section"),
            symbol("n", "", "turns of the full winding"),
            symbol("m", "", "turns of the driven section"),
        ], |[i, n, m]| i * m / n, "ampere-turns are the same in evenly spread turns";
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

/// The e.m.f. `e` (volt) of a test at `f` hertz, scaled to the rated frequency `rated`. The
/// exciting current does not scale with it: at a lower frequency it is too low where eddy loss
/// counts, and about right in saturation.
pub fn at_rated_frequency(w: &mut Workings, e: Value, rated: Value, f: Value) -> Option<Value> {
    w.step(&AT_RATED_FREQUENCY, [e, rated, f])
}

/// A reading (volt, ampere) on `section` turns, as it would be on the `full` winding. Holds for
/// evenly spread turns; approximate for partial windings.
pub fn on_full_winding(
    w: &mut Workings,
    (v, i): (Value, Value),
    full: Value,
    section: Value,
) -> Option<(Value, Value)> {
    let voltage = w.step(&FULL_VOLTAGE, [v, full, section])?;
    Some((voltage, w.step(&FULL_CURRENT, [i, full, section])?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::workings::Origin;

    fn constant(w: &mut Workings, si: f64) -> Value {
        w.reading(
            "x",
            "",
            si,
            Origin::Constant {
                source: "test".into(),
            },
            &[],
        )
    }

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
                let [v, i, r, lag] = [v, i, r, lag].map(|x| constant(&mut w, x));
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
        let [v, i, r] = [1.0, 1.0, 2.0].map(|x| constant(&mut w, x));
        assert!(emf(&mut w, v, i, r, None).is_none());
    }

    #[test]
    fn scales_by_frequency_and_by_turns() {
        let mut w = Workings::new();
        let [e, rated, f, i, n, m, none] =
            [40.0, 50.0, 10.0, 0.6, 240.0, 80.0, 0.0].map(|x| constant(&mut w, x));
        assert_eq!(at_rated_frequency(&mut w, e, rated, f).unwrap().si, 200.0);
        let (v, a) = on_full_winding(&mut w, (e, i), n, m).unwrap();
        assert!((v.si - 120.0).abs() < 1e-12 && (a.si - 0.2).abs() < 1e-12);
        assert!(at_rated_frequency(&mut w, e, rated, none).is_none());
    }
}
