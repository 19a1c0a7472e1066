//! Knees of open data on electrical steel, and of curves with a knee known in closed form.

use super::{Row, Told, exciting, iec, told};
use std::f64::consts::PI;

/// Turns, section (m2) and path (m) of a notional core of 2000/5 A.
const TURNS: f64 = 400.0;
const AREA: f64 = 0.0025;
const PATH: f64 = 0.6;

/// Published points of the steel M330-50A (A/m, T), from the open Modelica Standard Library.
const POINTS: [(f64, f64); 15] = [
    (53.0, 0.5),
    (60.0, 0.6),
    (69.0, 0.7),
    (79.0, 0.8),
    (93.0, 0.9),
    (112.0, 1.0),
    (141.0, 1.1),
    (192.0, 1.2),
    (313.0, 1.3),
    (698.0, 1.4),
    (1932.0, 1.5),
    (4284.0, 1.6),
    (7750.0, 1.7),
    (13318.0, 1.8),
    (19610.0, 1.9),
];

/// R.m.s. volts of a sine of this peak flux density on the notional core at 50 Hz, per tesla.
pub fn volts_per_tesla() -> f64 {
    2.0 * PI * 50.0 * TURNS * AREA / std::f64::consts::SQRT_2
}

/// R.m.s. amperes, per ampere-metre.
pub fn amperes_per_field() -> f64 {
    PATH / (TURNS * std::f64::consts::SQRT_2)
}

/// The steel as an excitation curve of the notional core.
pub fn steel() -> Vec<(f64, f64)> {
    POINTS
        .iter()
        .map(|(h, b)| (b * volts_per_tesla(), h * amperes_per_field()))
        .collect()
}

/// A record that states no winding resistance: the voltage stands for the e.m.f.
pub fn excited(points: &[(f64, f64)]) -> Told {
    told(&iec(
        "class: PX\nratio: 2000/5 A",
        &exciting("S1-S2", points),
    ))
}

/// Current of a knee, from the steps of the record.
fn current_at(points: &[(f64, f64)], volts: f64) -> f64 {
    let core = format!("class: PX\nratio: 2000/5 A\nexciting current: 10 A at {volts:.9} V");
    let told = told(&iec(&core, &exciting("S1-S2", points)));
    let finding = told.about("exciting-current", "");
    finding["value"].as_f64().unwrap() / if finding["unit"] == "mA" { 1e3 } else { 1.0 }
}

fn of_the_points() -> Vec<Row> {
    let source = "own arithmetic on published points of the steel M330-50A";
    let why = "The oracle joins the points by straight lines in ln V and ln I, the program by a monotone cubic.";
    let knee = excited(&steel()).value("knee-iec");
    vec![
        Row::record("steel M330-50A, 10 % rule: V", source, 248.8, knee, 2.5).apart(why),
        Row::record(
            "steel M330-50A, 10 % rule: T",
            source,
            1.12,
            knee / volts_per_tesla(),
            0.012,
        )
        .apart(why),
        Row::record(
            "steel M330-50A, 10 % rule: A",
            source,
            0.159_42,
            current_at(&steel(), knee),
            0.004,
        )
        .apart(why),
    ]
}

/// A smooth law of relative permeability after Roschke: mu = 1 + (m - 1 + a x)/(1 + b x + x^n).
struct Steel {
    name: &'static str,
    m: f64,
    peak: f64,
    a: f64,
    b: f64,
    n: f64,
    /// Published knees: T and A/m by 45°, by 30°, by the 10 % rule.
    knees: [(f64, f64); 3],
}

const SMOOTH: [Steel; 3] = [
    Steel {
        name: "M330-50A",
        m: 500.0,
        peak: 0.7,
        a: 24_000.0,
        b: 9.38,
        n: 9.6,
        knees: [
            (0.54527, 189.757),
            (0.704_946, 261.763),
            (0.826_199, 387.079),
        ],
    },
    Steel {
        name: "M530-50A",
        m: 2120.0,
        peak: 1.25,
        a: 12_400.0,
        b: 1.6,
        n: 13.5,
        knees: [
            (0.996_979, 153.46),
            (1.109_36, 176.176),
            (1.186_15, 204.638),
        ],
    },
    Steel {
        name: "M940-100A",
        m: 680.0,
        peak: 1.26,
        a: 17_760.0,
        b: 3.13,
        n: 13.9,
        knees: [
            (1.035_05, 196.112),
            (1.155_85, 226.098),
            (1.234_54, 261.815),
        ],
    },
];

impl Steel {
    fn field(&self, tesla: f64) -> f64 {
        let x = tesla / self.peak;
        let mu = 1.0 + (self.m - 1.0 + self.a * x) / (1.0 + self.b * x + libm::pow(x, self.n));
        tesla / (4e-7 * PI * mu)
    }

    /// Two hundred readings from a tenth of a tesla to past the knee.
    fn points(&self) -> Vec<(f64, f64)> {
        let span: f64 = 1.5 * self.peak / 0.1;
        let tesla = (0..200).map(|k| 0.1 * libm::pow(span, f64::from(k) / 199.0));
        tesla
            .map(|b| (b * volts_per_tesla(), self.field(b) * amperes_per_field()))
            .collect()
    }

    fn rows(&self) -> Vec<Row> {
        let source = "own solution of a smooth law from open data (Modelica Standard Library, after Roschke)";
        let points = self.points();
        let told = excited(&points);
        let rules = [
            ("45° tangent", "knee-45"),
            ("30° tangent", "knee-30"),
            ("10 % rule", "knee-iec"),
        ];
        let mut rows = Vec::new();
        for ((name, rule), (tesla, field)) in rules.into_iter().zip(self.knees) {
            let volts = told.value(rule);
            let amperes = current_at(&points, volts);
            let check = format!("steel {}, smooth, {name}", self.name);
            rows.push(Row::record(
                format!("{check}: T"),
                source,
                tesla,
                volts / volts_per_tesla(),
                2e-4 * tesla,
            ));
            rows.push(Row::record(
                format!("{check}: A/m"),
                source,
                field,
                amperes / amperes_per_field(),
                4e-4 * field,
            ));
        }
        rows
    }
}

pub fn rows() -> Vec<Row> {
    let mut rows = of_the_points();
    rows.extend(SMOOTH.iter().flat_map(Steel::rows));
    rows
}
