//! Limiting e.m.f., knee required by a rated factor, IEEE class voltages.

use super::{Row, Told, exact, exciting, iec, ieee, told};
use kneemark::derive::accuracy::limiting_emf;
use kneemark::derive::curve::Curve;
use kneemark::derive::workings::Workings;

const GUIDE: &str = "a relay maker's applications guide, VA*ALF/In + Rct*ALF*In";
const CONVERT: &str = "a relay maker's manual, conversion of CT classes";
const ARITHMETIC: &str =
    "arithmetic, 20*In through winding and standard burden (C57.13, from memory)";

/// A curve that reaches from `low` to `high` volt.
fn curve(low: f64, high: f64) -> Vec<(f64, f64)> {
    (0..12)
        .map(|k| low * libm::pow(high / low, f64::from(k) / 11.0))
        .map(|v| (v, 0.05 * v / high))
        .collect()
}

fn limit(core: &str) -> Told {
    told(&iec(core, &exciting("S1-S2", &curve(5.0, 1000.0))))
}

fn knees_required() -> Vec<Row> {
    let one = limit("class: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 0.05 ohm at 75 C");
    let five = limit("class: 5P20\nburden: 15 VA\nratio: 600/5 A\nresistance: 0.01 ohm at 75 C");
    let px = limit("class: 5P10\nburden: 15 VA\nratio: 600/1 A\nresistance: 4 ohm at 75 C");
    let arithmetic = |told: &Told| told.remarked("composite-error", "by the arithmetic sum, ");
    let library = |k: f64, isr: f64, rct: f64, zb: f64| {
        let mut w = Workings::new();
        let [k, isr, rct, zb, one] = exact(&mut w, [k, isr, rct, zb, 1.0]);
        limiting_emf(&mut w, [k, isr], [rct, zb, one])
            .unwrap()
            .arithmetic
            .si
    };
    vec![
        Row::record(
            "5P20 15 VA, 1 A, 0.05 ohm: e.m.f. by the arithmetic sum, V",
            GUIDE,
            301.0,
            arithmetic(&one),
            0.05,
        ),
        Row::record(
            "5P20 15 VA, 5 A, 0.01 ohm: e.m.f. by the arithmetic sum, V",
            GUIDE,
            61.0,
            arithmetic(&five),
            0.05,
        ),
        Row::record(
            "5P10 15 VA, 1 A, 4 ohm: knee of a class PX, V",
            "a relay maker's manual, divisor 1.3 (from memory)",
            146.0,
            arithmetic(&px) / 1.3,
            0.5,
        ),
        Row::new(
            "5P20 15 VA, 1 A, 0.05 ohm: e.m.f. by the arithmetic sum, V",
            GUIDE,
            301.0,
            library(20.0, 1.0, 0.05, 15.0),
            1e-9,
        ),
        Row::new(
            "5P20 15 VA, 5 A, 0.01 ohm: e.m.f. by the arithmetic sum, V",
            GUIDE,
            61.0,
            library(20.0, 5.0, 0.01, 0.6),
            1e-9,
        ),
        Row::new(
            "5P20 25 VA, 5 A: terminal voltage at the limit, V",
            CONVERT,
            100.0,
            library(20.0, 5.0, 0.0, 1.0),
            1e-9,
        ),
    ]
}

fn relay(class: &str, rct: &str) -> Told {
    told(&ieee(
        &format!("class: {class}\nratio: 1200:5\nresistance: {rct} ohm at 75 C"),
        &exciting("X1-X2", &curve(5.0, 1000.0)),
    ))
}

fn classes() -> Vec<Row> {
    let phasor = |told: &Told| told.step("limiting e.m.f., phasor sum");
    let sum = |told: &Told| told.remarked("exciting-at-class", "by the arithmetic sum ");
    let (c100, c800) = (relay("C100", "0.5"), relay("C800", "0.62"));
    vec![
        Row::record(
            "C100, winding 0.5 ohm: e.m.f. by phasors, V",
            ARITHMETIC,
            132.288,
            phasor(&c100),
            5e-4,
        ),
        Row::record(
            "C800, winding 0.62 ohm: e.m.f. by phasors, V",
            ARITHMETIC,
            832.7,
            phasor(&c800),
            0.05,
        ),
        Row::record(
            "C800, winding 0.62 ohm: e.m.f. by the arithmetic sum, V",
            ARITHMETIC,
            862.0,
            sum(&c800),
            0.05,
        ),
    ]
}

/// The voltage at 10 A of the published steel on a notional core of 2000/5 A.
fn at_ten_amperes() -> Vec<Row> {
    let source = "own arithmetic on published points of the steel M330-50A";
    let mut w = Workings::new();
    let points: Vec<_> = super::knees::steel()
        .iter()
        .map(|(v, i)| (*v, *i))
        .collect();
    let points: Vec<_> = points
        .into_iter()
        .map(|(v, i)| {
            let [v, i] = exact(&mut w, [v, i]);
            (v, i)
        })
        .collect();
    let volts = Curve::new(&points).0.unwrap().voltage_at(10.0).unwrap();
    let other = "The oracle joins the points by straight lines in ln V and ln I, the program by a monotone cubic.";
    vec![
        Row::new(
            "voltage at 10 A exciting current, V",
            source,
            385.54,
            volts,
            0.5,
        )
        .apart(other),
        Row::new(
            "the same less 100 A through 0.8 ohm, V",
            source,
            305.54,
            volts - 80.0,
            0.5,
        )
        .apart(other),
    ]
}

pub fn rows() -> Vec<Row> {
    [knees_required(), classes(), at_ten_amperes()]
        .into_iter()
        .flatten()
        .collect()
}

/// That core serves C200 and not C400.
#[test]
fn the_steel_core_is_a_c200() {
    let word = |class: &str| {
        let core = format!("class: {class}\nratio: 2000:5\nresistance: 0.8 ohm at 75 C");
        let record =
            ieee(&core, &exciting("X1-X2", &super::knees::steel())).replace("60 Hz", "50 Hz");
        told(&record).verdict("exciting-at-class").to_owned()
    };
    assert_eq!(
        [word("C100"), word("C200"), word("C400")],
        ["pass", "pass", "not met"].map(str::to_owned)
    );
}
