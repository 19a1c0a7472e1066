//! A curve against an earlier one of the same pair.

use crate::derive::curve::Curve;
use crate::derive::formula::{formulas, symbol};
use crate::derive::workings::{Value, Workings};

formulas! {
    static CURRENT = "curve-current-ratio", "exciting current against the earlier curve":
        "100*I/J" ("%") of [
            symbol("I", "A", "exciting current now"),
            symbol("J", "A", "exciting current of the earlier curve at the same voltage"),
        ], |[i, j]| 100.0 * i / j, "quotient in per cent";

    static VOLTAGE = "curve-voltage-ratio", "voltage against the earlier curve":
        "100*V/U" ("%") of [
            symbol("V", "V", "voltage now"),
            symbol("U", "V", "voltage of the earlier curve at the same exciting current"),
        ], |[v, u]| 100.0 * v / u, "quotient in per cent";
}

/// One reading against the earlier curve.
#[derive(Clone, Copy, Debug)]
pub struct Against {
    /// Index of the reading, as `Point::at` counts it.
    pub at: usize,
    /// Voltage of the reading, volt.
    pub v: f64,
    /// Now over then, per cent.
    pub ratio: Value,
}

/// The readings that both curves cover, lowest voltage first.
#[derive(Clone, Debug, Default)]
pub struct Compared {
    /// Up to the knee: exciting currents at one voltage.
    pub below: Vec<Against>,
    /// From the knee on: voltages at one exciting current.
    pub above: Vec<Against>,
}

/// Holds every reading of `now` against `earlier`, whose knee is at `knee` volt. Nothing is said
/// where one of the curves has no readings.
pub fn compare(w: &mut Workings, now: &Curve, earlier: &Curve, knee: f64) -> Compared {
    let mut compared = Compared::default();
    for point in now.points() {
        let below = point.v.si <= knee;
        let ratio = if below {
            let then = earlier.current_value(w, point.v);
            then.and_then(|then| w.step(&CURRENT, [point.i, then]))
        } else {
            let then = earlier.voltage_value(w, point.i);
            let then = then.filter(|then| then.si > knee);
            then.and_then(|then| w.step(&VOLTAGE, [point.v, then]))
        };
        let side = if below {
            &mut compared.below
        } else {
            &mut compared.above
        };
        side.extend(ratio.map(|ratio| Against {
            at: point.at,
            v: point.v.si,
            ratio,
        }));
    }
    compared
}
