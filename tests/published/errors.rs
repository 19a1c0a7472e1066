//! Ratio error and phase displacement: examination questions and textbook examples.
//!
//! The question gives the exciting current; the record holds it as an excitation curve with angles,
//! the turns by voltage and the burden, and the program computes the errors to be expected.

use super::{Row, Told, by_formula, iec, told};
use kneemark::derive::curve::Curve;
use kneemark::derive::flux_curve::FluxCurve;
use kneemark::derive::workings::Workings;

/// A core as a textbook has it: `turns`, secondary `burden` with its power factor (VA at 5 A), and
/// the exciting current `ie` (A) that lags the e.m.f. `e` (V) by `lag` (degree). No winding resistance
/// to speak of.
struct Example {
    turns: f64,
    burden: &'static str,
    e: f64,
    ie: f64,
    lag: f64,
}

impl Example {
    fn told(&self) -> Told {
        let primary = 5.0 * self.turns;
        let core = format!(
            "class: 10P10\nburden: {}\nratio: {primary}/5 A\nresistance: 0.000001 ohm at 75 C",
            self.burden
        );
        let rows: Vec<String> = [0.8, 1.0, 1.2]
            .iter()
            .map(|x| format!("{:.9}  {:.9}  {:.9}", x * self.e, x * self.ie, self.lag))
            .collect();
        let excitation = format!(
            "[excitation S1-S2]\nvoltmeter: mean\nvoltage/V  current/A  angle/deg\n{}\n",
            rows.join("\n")
        );
        let ratio = format!(
            "[ratio S1-S2]\nmethod: voltage\napplied/V  induced/mV\n{:.6}  {:.6}\n",
            self.turns / 100.0,
            10.0
        );
        told(&iec(&core, &format!("{excitation}\n{ratio}")))
    }
}

/// Why the third textbook example differs.
const SHORT: &str = "The textbook's short formulas leave the part of the exciting current across the secondary current out of the ratio, and divide it by the secondary instead of the primary current for the phase. The phasors are in the two lines below.";

fn expected() -> Vec<Row> {
    let gate_2003 = Example {
        turns: 100.0,
        burden: "25 VA at 1.00",
        e: 5.0,
        ie: 2.5,
        lag: 90.0,
    }
    .told();
    let gate_2004 = Example {
        turns: 500.0,
        burden: "25 VA at 1.00",
        e: 5.0,
        ie: 0.4,
        lag: 90.0,
    }
    .told();
    let ring = Example {
        turns: 200.0,
        burden: "25 VA at 1.00",
        e: 5.0,
        ie: 0.005,
        lag: 66.421_821_5,
    }
    .told();
    let textbook = Example {
        turns: 200.0,
        burden: "25 VA at 1.00",
        e: 5.0,
        ie: 0.4,
        lag: 90.0,
    }
    .told();
    // 1.5 + j1 ohm is 45.069 VA at 5 A; 100 ampere-turns on 300 turns across, 1.2 W at 9.0139 V along.
    let (along, across): (f64, f64) = (1.2 / 9.013_878_19, 100.0 / 300.0);
    let loss = Example {
        turns: 300.0,
        burden: "45.06939 VA at 0.8320502943",
        e: 9.013_878_19,
        ie: (along * along + across * across).sqrt(),
        lag: libm::atan2(across, along).to_degrees(),
    }
    .told();
    let degrees = |told: &Told| told.value("expected-phase") / 60.0;
    let ratio = |told: &Told| told.value("expected-ratio-error");
    let (exam, page, book) = (
        "GATE Electrical Engineering 2003 (answer from memory)",
        "a question-and-answer page on current transformers (own arithmetic)",
        "an open textbook companion, chapter 6 (own arithmetic)",
    );
    let own = "own arithmetic on the textbook's figures";
    let exam_2004 = "GATE Electrical Engineering 2004 (answer from memory)";
    vec![
        Row::record("500/5 A, 250 ampere-turns: ratio error, %", exam, -10.56, ratio(&gate_2003), 0.01),
        Row::record("500 turns, 200 ampere-turns: phase displacement, degree", exam_2004, 4.6, degrees(&gate_2004), 0.05),
        Row::record("1000/5 A, 1 A at power factor 0.4: ratio error, %", page, -0.039_98, ratio(&ring), 5e-5)
            .apart("The arithmetic there keeps the part of the exciting current in phase only; the phasor adds 4.2e-5 %."),
        Row::record("1000/5 A, 1 A at power factor 0.4: phase displacement, arcmin", page, 3.151, ring.value("expected-phase"), 2e-3),
        Row::record("200 turns, 80 ampere-turns: actual ratio", book, 200.639, 200.0 / (1.0 + ratio(&textbook) / 100.0), 1e-3),
        Row::record("200 turns, 80 ampere-turns: phase displacement, degree", book, 4.574, degrees(&textbook), 1e-3),
        Row::record("300 turns, 1.5 + j1 ohm, 1.2 W: ratio error, %", book, -5.5832, ratio(&loss), 0.08).apart(SHORT),
        Row::record("300 turns, 1.5 + j1 ohm, 1.2 W: actual ratio", book, 317.74, 300.0 / (1.0 + ratio(&loss) / 100.0), 0.25).apart(SHORT),
        Row::record("300 turns, 1.5 + j1 ohm, 1.2 W: phase displacement, degree", book, 2.332, degrees(&loss), 0.14).apart(SHORT),
        // The same by phasors: 5 A and 0.29567 + j0.20350 A.
        Row::record("300 turns, 1.5 + j1 ohm, 1.2 W, by phasors: actual ratio", own, 317.9746, 300.0 / (1.0 + ratio(&loss) / 100.0), 5e-4),
        Row::record("300 turns, 1.5 + j1 ohm, 1.2 W, by phasors: phase displacement, degree", own, 2.2007, degrees(&loss), 2e-4),
    ]
}

/// The same question with both currents read: 5 A at 559.017 A in the primary.
fn measured() -> Row {
    let primary = (500.0f64 * 500.0 + 250.0 * 250.0).sqrt();
    let visit = format!(
        "[ratio S1-S2]\nmethod: current\nburden: 25 VA at 1.00\nprimary/A  secondary/A\n{primary:.6}  5.000000\n"
    );
    let told = told(&iec(
        "class: 10P10\nburden: 25 VA at 1.00\nratio: 500/5 A",
        &visit,
    ));
    Row::record(
        "500/5 A, two currents read: ratio error, %",
        "GATE Electrical Engineering 2003 (answer from memory)",
        -10.56,
        told.value("ratio-error"),
        0.01,
    )
}

/// Peak core flux at 5 V on 500 turns, from the knots of the flux curve.
fn flux() -> Row {
    let mut w = Workings::new();
    let points = [(4.0, 0.32), (5.0, 0.40)].map(|(v, i)| {
        let [v, i] = super::exact(&mut w, [v, i]);
        (v, i)
    });
    let curve = Curve::new(&points).0.unwrap();
    let knots: Vec<(f64, f64)> = FluxCurve::from_readings(&curve, 50.0)
        .unwrap()
        .knots()
        .collect();
    Row::new(
        "500 turns, 5 V at 50 Hz: peak flux, uWb",
        "GATE Electrical Engineering 2004 (answer from memory)",
        45.04,
        knots[2].0 / 500.0 * 1e6,
        0.05,
    )
    .apart("The answer uses the rounded 4.44 for sqrt(2)*pi.")
}

fn correction_factors() -> Vec<Row> {
    let source = "IEEE C57.13, 5.3: RCF = 1/(1 + e/100) (from memory)";
    let rcf = |e: f64| by_formula("ratio-correction-factor", &[e]);
    vec![Row::new(
        "ratio error -0.3 %: ratio correction factor",
        source,
        1.003,
        rcf(-100.0 * 0.003 / 1.003),
        1e-12,
    )]
}

pub fn rows() -> Vec<Row> {
    let mut rows = vec![measured()];
    rows.extend(expected());
    rows.push(flux());
    rows.extend(correction_factors());
    rows
}
