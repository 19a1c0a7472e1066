//! IEEE classes through records: the corners of the parallelogram, the exciting current of class C.

use super::{Row, Told, exciting, ieee, told};
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    metering_class: Vec<Metering>,
    relay_class: Vec<Relay>,
}

#[derive(Deserialize)]
struct Metering {
    class: String,
    current_pct: f64,
    tcf_min: f64,
    tcf_max: f64,
    #[serde(default)]
    low_confidence: bool,
    source: String,
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "headings of the printed table")]
struct Relay {
    class: String,
    Z_ohm: f64,
    exciting_current_limit_A: f64,
    source: String,
}

fn file() -> File {
    toml::from_str(include_str!("../published_limits/ieee.toml")).unwrap()
}

/// A comparator's reading that has this correction factor and this phase, arcmin.
fn reading(class: &str, percent: f64, rcf: f64, minutes: f64) -> Told {
    let error = 100.0 * (1.0 / rcf - 1.0);
    let visit = format!(
        "[ratio X1-X2]\nmethod: current\nburden: B-0.5\nrated/%  error/%  phase/arcmin\n{percent}  {error:.9}  {minutes:.7}\n"
    );
    told(&ieee(&format!("class: {class}B-0.5\nratio: 600:5"), &visit))
}

/// The corners: RCF and beta, from TCF = RCF - beta/2600 (C57.13, 5.3, from memory).
fn corners(row: &Metering) -> [(f64, f64); 4] {
    let width = 2600.0 * (row.tcf_max - row.tcf_min);
    [
        (row.tcf_min, 0.0),
        (row.tcf_min, -width),
        (row.tcf_max, 0.0),
        (row.tcf_max, width),
    ]
}

fn words(told: &Told) -> [String; 2] {
    ["ratio-correction-factor", "transformer-correction-factor"]
        .map(|rule| told.verdict(rule).to_owned())
}

#[test]
fn corners_of_the_parallelogram() {
    for row in file().metering_class {
        for (rcf, minutes) in corners(&row) {
            let at = |share: f64| {
                reading(
                    &row.class,
                    row.current_pct,
                    1.0 + share * (rcf - 1.0),
                    share * minutes,
                )
            };
            let says = format!(
                "class {} at {} %, corner ({rcf}, {minutes} min): {}",
                row.class, row.current_pct, row.source
            );
            let (inside, outside) = (words(&at(0.99)), words(&at(1.01)));
            if row.low_confidence {
                assert!(
                    inside.iter().chain(&outside).all(|word| word == "no limit"),
                    "{says} {inside:?}: too uncertain to judge by"
                );
                continue;
            }
            assert_eq!(inside, ["pass", "pass"], "{says}");
            assert!(outside.contains(&"fail".to_owned()), "{says}: {outside:?}");
        }
    }
}

/// Beta alone within its greatest value is not enough.
#[test]
fn obtuse_side_of_the_parallelogram() {
    for (rcf, minutes) in [(1.002, -10.0), (0.998, 10.0), (1.0, 7.9), (1.0, -7.9)] {
        assert!(
            words(&reading("0.3", 100.0, rcf, minutes)).contains(&"fail".to_owned()),
            "({rcf}, {minutes} min), C57.13 5.3 (from memory)"
        );
    }
    assert_eq!(words(&reading("0.3", 100.0, 1.0, 7.7)), ["pass", "pass"]);
}

/// Class C: 10 A at 20 times rated current through winding and burden; power factor 0.9 below B-1.
#[test]
fn exciting_current_of_class_c() {
    for row in file()
        .relay_class
        .iter()
        .filter(|row| row.class.starts_with('C'))
    {
        let cos: f64 = if row.Z_ohm < 1.0 { 0.9 } else { 0.5 };
        let e = 100.0 * (row.Z_ohm * cos).hypot(row.Z_ohm * (1.0 - cos * cos).sqrt());
        for (side, word) in [(0.998, "pass"), (1.002, "fail")] {
            let ohms = e / (side * row.exciting_current_limit_A);
            let mut volts: Vec<f64> = (1..=40).map(|k| e * f64::from(k) / 20.0).collect();
            volts.push(1.001 * e);
            volts.sort_by(f64::total_cmp);
            let points: Vec<(f64, f64)> = volts.iter().map(|v| (*v, v / ohms)).collect();
            // No winding resistance to speak of, so that the voltage of the curve is the e.m.f.
            let told = relay(&row.class, &points);
            assert_eq!(
                told.verdict("exciting-at-class"),
                word,
                "{} at {e} V: {}",
                row.class,
                row.source
            );
        }
    }
}

fn relay(class: &str, points: &[(f64, f64)]) -> Told {
    told(&ieee(
        &format!("class: {class}\nratio: 1200:5\nresistance: 0.000001 ohm at 75 C"),
        &exciting("X1-X2", points),
    ))
}

pub fn rows() -> Vec<Row> {
    let source = "IEEE C57.13, Table 6 as reprinted in a maker's ratings sheet; TCF = RCF - beta/2600 (from memory)";
    let file = file();
    let judged = file
        .metering_class
        .iter()
        .filter(|row| !row.low_confidence && row.current_pct > 99.0);
    let mut rows = Vec::new();
    for row in judged {
        let told = reading(
            &row.class,
            row.current_pct,
            row.tcf_max,
            2600.0 * (row.tcf_max - row.tcf_min),
        );
        let check = format!(
            "class {} at {} %, acute corner: TCF",
            row.class, row.current_pct
        );
        rows.push(Row::record(
            check,
            source,
            row.tcf_min,
            told.value("transformer-correction-factor"),
            1e-8,
        ));
    }
    rows
}
