//! What the unit tests of this stage share: known curves, a ledger to fill, a small record derived.

use super::case::Case;
use super::curve::Curve;
use super::deriving::Deriving;
use super::kinds::{self, Derived};
use super::workings::{Origin, StepId, Value, Workings};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::trade::Pair;

/// Volt and ampere of the sample record's curve.
pub(super) const SAMPLE: [(f64, f64); 10] = [
    (25.0, 0.00131),
    (50.1, 0.00192),
    (100.3, 0.00284),
    (200.2, 0.00453),
    (300.4, 0.00740),
    (350.2, 0.0131),
    (400.1, 0.0418),
    (420.3, 0.0835),
    (440.2, 0.171),
    (460.1, 0.352),
];

/// A maker's B-H table (open Modelica Standard Library, BSD-3-Clause) on a notional core: 400 turns,
/// 25 cm², 0.6 m, 50 Hz; from 0.5 T on in steps of 0.1 T.
pub(super) fn maker_s_table() -> Vec<(f64, f64)> {
    let h = [
        53.0, 60.0, 69.0, 79.0, 93.0, 112.0, 141.0, 192.0, 313.0, 698.0, 1932.0, 4284.0, 7750.0,
        13318.0, 19610.0,
    ];
    let b = (0..h.len()).map(|k| 0.5 + 0.1 * k as f64);
    let volts = |b: f64| 2.0 * std::f64::consts::PI * 50.0 * 400.0 * 0.0025 * b / 2f64.sqrt();
    let amperes = |h: f64| h * 0.6 / (400.0 * 2f64.sqrt());
    b.zip(h).map(|(b, h)| (volts(b), amperes(h))).collect()
}

/// A reading without a stated accuracy.
pub(super) fn reading(w: &mut Workings, what: &'static str, si: f64) -> Value {
    let origin = Origin::Reading {
        span: Span::default(),
    };
    w.enter(what, "V", si, origin)
}

/// Readings of voltage and current.
pub(super) fn readings(w: &mut Workings, points: &[(f64, f64)]) -> Vec<(Value, Value)> {
    let mut enter = |(v, i): &(f64, f64)| (reading(w, "voltage", *v), reading(w, "current", *i));
    points.iter().map(&mut enter).collect()
}

/// The curve through such readings.
pub(in crate::derive) fn curve(w: &mut Workings, points: &[(f64, f64)]) -> Curve {
    let list = readings(w, points);
    Curve::new(&list).0.unwrap()
}

/// Holds the `slopes` that a ledger keeps of a result to readings against the difference quotient of each
/// reading moved; the first two steps of the ledger are the first reading's voltage and current.
pub(super) fn moved_readings(
    points: &[(f64, f64)],
    value: f64,
    slopes: &[(StepId, f64)],
    within: f64,
    result: impl Fn(&[(f64, f64)]) -> f64,
) {
    let h = 1e-6;
    for n in 0..2 * points.len() {
        let mut list = points.to_vec();
        let mut cell = |by: f64| {
            let (v, i) = points[n / 2];
            list[n / 2] = if n % 2 == 0 { (v * by, i) } else { (v, i * by) };
            (result(&list), if n % 2 == 0 { v } else { i })
        };
        let (more, at) = cell(1.0 + h);
        let quotient = (more - cell(1.0 - h).0) / (2.0 * h * at);
        let known = slopes.iter().find(|(id, _)| id.0 as usize == n);
        let exact = known.map_or(0.0, |(_, slope)| *slope);
        assert!(
            (exact - quotient).abs() < within * value / at,
            "{n}: {exact} {quotient}"
        );
    }
}

/// Exact numbers.
pub(super) fn constants<const N: usize>(w: &mut Workings, numbers: [f64; N]) -> [Value; N] {
    numbers.map(|si| w.constant("x", "", si, "test"))
}

#[track_caller]
pub(super) fn near(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "{found} is not {expected}"
    );
}

/// A pair of the first core.
pub(super) fn pair(from: u8, to: u8) -> Pair {
    Pair { core: 0, from, to }
}

/// A record's first visit, derived.
pub(super) struct Derivation {
    pub record: Record,
    pub criteria: Criteria,
    pub derived: Derived,
    pub w: Workings,
}

impl Derivation {
    /// Of a text that the record reads without an error.
    pub fn of(text: &str) -> Self {
        Self::by(text, Criteria::default())
    }

    pub fn by(text: &str, criteria: Criteria) -> Self {
        let text = format!("format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\n{text}");
        let (record, found) = crate::record::read_alone(&Source::new("t.ctr", text.as_bytes()).0);
        let errors: Vec<_> = found.iter().filter(|told| told.is_error()).collect();
        assert!(errors.is_empty(), "{errors:?}");
        let mut w = Workings::new();
        let case = Case::each(&record, None, &criteria).next().unwrap();
        let derived = kinds::visit(case, Vec::new(), &mut w);
        Self {
            record,
            criteria,
            derived,
            w,
        }
    }

    pub fn deriving(&mut self) -> Deriving<'_> {
        Deriving {
            case: Case::each(&self.record, None, &self.criteria)
                .next()
                .unwrap(),
            derived: &self.derived,
            w: &mut self.w,
        }
    }
}
