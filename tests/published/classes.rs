//! Limits of the IEC classes, row by row, through records: readings just inside pass, readings just
//! outside fail, either way from zero.

use super::{Told, exciting, iec, told};
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    accuracy_limit: Vec<Accuracy>,
    protection_limit: Vec<Protection>,
    transient_limit: Vec<Transient>,
}

#[derive(Deserialize)]
struct Accuracy {
    class: String,
    percent: f64,
    ratio_error_pct: f64,
    phase_min: Option<f64>,
    burden_min_pct: f64,
    source: String,
}

#[derive(Deserialize)]
struct Protection {
    class: String,
    ratio_error_pct: f64,
    phase_min: Option<f64>,
    composite_error_pct: f64,
    remanence_max_pct: Option<f64>,
    source: String,
}

#[derive(Deserialize)]
struct Transient {
    class: String,
    ratio_error_pct: f64,
    phase_min: Option<f64>,
    phase_nominal_min: Option<f64>,
    phase_tol_min: Option<f64>,
    remanence_max_pct: Option<f64>,
    source: String,
}

fn file() -> File {
    toml::from_str(include_str!("../published_limits/iec.toml")).unwrap()
}

/// Just inside and just outside, either way.
const SIDES: [(f64, &str); 4] = [
    (0.998, "pass"),
    (-0.998, "pass"),
    (1.002, "fail"),
    (-1.002, "fail"),
];

/// A run of a comparator at some burden: current in %, error in %, phase in arcmin.
fn run(burden: &str, rows: &[(f64, f64, Option<f64>)]) -> String {
    let phase = rows.iter().any(|row| row.2.is_some());
    let cells = |(percent, error, minutes): &(f64, f64, Option<f64>)| match minutes {
        Some(minutes) => format!("{percent}  {error:.7}  {minutes:.6}\n"),
        None => format!("{percent}  {error:.7}\n"),
    };
    let heading = if phase {
        "rated/%  error/%  phase/arcmin"
    } else {
        "rated/%  error/%"
    };
    format!(
        "[ratio S1-S2]\nmethod: current\nburden: {burden}\n{heading}\n{}",
        rows.iter().map(cells).collect::<String>()
    )
}

fn classed(class: &str, burden: &str, visit: &str) -> Told {
    told(&iec(
        &format!("class: {class}\nburden: {burden}\nratio: 600/1 A"),
        visit,
    ))
}

#[test]
fn measuring_classes_at_both_ends_of_the_burden() {
    let file = file();
    let mut names: Vec<&str> = file
        .accuracy_limit
        .iter()
        .map(|row| row.class.as_str())
        .collect();
    names.dedup();
    assert_eq!(names.len(), 8);
    for name in names {
        let limits: Vec<&Accuracy> = file
            .accuracy_limit
            .iter()
            .filter(|row| row.class == name)
            .collect();
        for (side, word) in SIDES {
            let rows: Vec<(f64, f64, Option<f64>)> = limits
                .iter()
                .map(|row| {
                    (
                        row.percent,
                        side * row.ratio_error_pct,
                        row.phase_min.map(|m| side * m),
                    )
                })
                .collect();
            // 0.8 lagging, and 1.0 below 5 VA (IEC 61869-2, 5.6.201.3, from memory).
            let ends = [10.0, 0.1 * limits[0].burden_min_pct].map(|va| {
                let factor = if va < 5.0 { "1.00" } else { "0.80" };
                run(&format!("{va} VA at {factor}"), &rows)
            });
            for (burden, end) in ["rated", "least"].iter().zip(&ends) {
                let told = classed(name, "10 VA", end);
                for row in &limits {
                    let (at, says) = (
                        format!("at {} % of", row.percent),
                        format!("class {name}, {burden} burden: {}", row.source),
                    );
                    assert_eq!(
                        told.verdict_about("ratio-error", &at),
                        word,
                        "{side} of the limit {at} rated current; {says}"
                    );
                    if row.phase_min.is_some() {
                        assert_eq!(
                            told.verdict_about("phase-displacement", &at),
                            word,
                            "{side} of the limit {at} rated current; {says}"
                        );
                    }
                }
            }
            let told = classed(name, "10 VA", &ends.concat());
            assert_eq!(told.verdict("class-shown"), word, "class {name}");
        }
    }
}

/// Below the range of the class, above the rated burden, or between the listed currents: no verdict.
#[test]
fn no_verdict_outside_what_the_class_covers() {
    for burden in ["2 VA at 0.80", "12 VA at 0.80", "shorted"] {
        let told = classed("0.5", "10 VA", &run(burden, &[(100.0, 0.1, Some(1.0))]));
        assert_eq!(
            told.verdict("ratio-error"),
            "no limit",
            "{burden} (range 25 to 100 %, IEC 61869-2 from memory)"
        );
    }
    let told = classed(
        "0.5",
        "10 VA",
        &run("10 VA at 0.80", &[(50.0, 9.0, Some(1.0))]),
    );
    assert_ne!(told.verdict("ratio-error"), "pass");
    let extended = classed(
        "0.5 ext 200 %",
        "10 VA",
        &run(
            "10 VA at 0.80",
            &[(200.0, 0.499, None), (199.0, 0.501, None)],
        ),
    );
    assert_eq!(
        extended.verdict_about("ratio-error", "at 200 %"),
        "pass",
        "extended rating, IEC 61869-2 5.6.201.5 (from memory)"
    );
    assert_eq!(
        extended.verdict_about("ratio-error", "at 199 %"),
        "fail",
        "extended rating, IEC 61869-2 5.6.201.5 (from memory)"
    );
}

#[test]
fn protection_classes_at_rated_current_and_at_the_limit() {
    for row in file().protection_limit {
        let class = format!("{}20", row.class);
        for (side, word) in SIDES {
            let says = format!("{side} of the limit, class {class}: {}", row.source);
            let told = classed(
                &class,
                "15 VA at 0.80",
                &run(
                    "15 VA at 0.80",
                    &[(
                        100.0,
                        side * row.ratio_error_pct,
                        row.phase_min.map(|m| side * m),
                    )],
                ),
            );
            assert_eq!(told.verdict("ratio-error"), word, "{says}");
            if row.phase_min.is_some() {
                assert_eq!(told.verdict("phase-displacement"), word, "{says}");
            }
            // A straight core: the share of the exciting current is |Z| over its impedance.
            let z = 12f64.hypot(9.0);
            let ohms = z / (side.abs() * row.composite_error_pct / 100.0);
            let points: Vec<(f64, f64)> = (1..60)
                .map(|k| (10.0 * f64::from(k), 10.0 * f64::from(k) / ohms))
                .collect();
            let core = format!(
                "class: {class}\nburden: 15 VA at 0.80\nratio: 600/1 A\nresistance: 0.000001 ohm at 75 C"
            );
            let told = super::told(&iec(&core, &exciting("S1-S2", &points)));
            assert_eq!(
                told.verdict("composite-error"),
                word,
                "{says}, composite error"
            );
        }
        if let Some(most) = row.remanence_max_pct {
            remanence(&class, "15 VA", most, &row.source);
        }
    }
}

fn remanence(class: &str, burden: &str, most: f64, source: &str) {
    for (side, word) in [(0.99, "pass"), (1.01, "fail")] {
        let told = classed(
            class,
            burden,
            &format!(
                "[remanence S1-S2]\nmethod: dc\nremanence factor: {:.4} %\n",
                side * most
            ),
        );
        assert_eq!(
            told.verdict("remanence-factor"),
            word,
            "class {class}: {source}"
        );
    }
}

#[test]
fn transient_classes_at_rated_current() {
    for row in file().transient_limit {
        let (centre, half) = (
            row.phase_nominal_min.unwrap_or(0.0),
            row.phase_min.or(row.phase_tol_min).unwrap(),
        );
        for (side, word) in SIDES {
            let says = format!("{side} of the limit, class {}: {}", row.class, row.source);
            let told = classed(
                &row.class,
                "10 ohm",
                &run(
                    "10 ohm",
                    &[(
                        100.0,
                        side * row.ratio_error_pct,
                        Some(centre + side * half),
                    )],
                ),
            );
            assert_eq!(told.verdict("ratio-error"), word, "{says}");
            assert_eq!(told.verdict("phase-displacement"), word, "{says}");
        }
        if let Some(most) = row.remanence_max_pct {
            remanence(&row.class, "10 ohm", most, &row.source);
        }
    }
}

/// PX 0.25 %, PXR 1 % of the turns ratio (IEC 61869-2:2012, 5.6.202.4, from memory).
#[test]
fn turns_of_the_knee_classes() {
    for (class, limit) in [("PX", 0.25), ("PXR", 1.0)] {
        for (side, word) in SIDES {
            let turns = 600.0 / (1.0 + side * limit / 100.0);
            let visit = format!(
                "[ratio S1-S2]\nmethod: voltage\napplied/V  induced/mV\n{:.9}  100.0000000\n",
                0.1 * turns
            );
            let told = told(&iec(
                &format!("class: {class}\nratio: 600/1 A\nknee emf: 300 V"),
                &visit,
            ));
            assert_eq!(
                told.verdict("turns-ratio"),
                word,
                "class {class}, {side} of the limit (from memory)"
            );
        }
        if class == "PXR" {
            remanence(
                class,
                "5 ohm",
                10.0,
                "IEC 61869-2:2012, 5.6.202.4; a relay application manual",
            );
        }
    }
}

/// The plate's own knee and exciting current.
#[test]
fn plate_limits_of_class_px() {
    let points: Vec<(f64, f64)> = (1..=55)
        .map(|k| 10.0 * f64::from(k))
        .map(|v| (v, 0.01 * ((v / 400.0).powf(0.8) + (v / 400.0).powi(20))))
        .collect();
    let knee = told(&iec(
        "class: PX\nratio: 600/1 A",
        &exciting("S1-S2", &points),
    ))
    .value("knee-iec");
    for (side, word) in [
        (0.5, "pass"),
        (0.998, "pass"),
        (1.002, "fail"),
        (2.0, "fail"),
    ] {
        let core = format!("class: PX\nratio: 600/1 A\nknee emf: {:.6} V", side * knee);
        let record = iec(&core, &exciting("S1-S2", &points));
        let simple = "[decision]\nrule = \"simple acceptance\"\n";
        let told = super::told_by(
            &record,
            &[("instruments.toml", super::FINE), ("criteria.toml", simple)],
        );
        assert_eq!(told.verdict("knee-emf"), word, "{side} of the knee");
    }
    let at_300 = points[29].1;
    for (side, word) in [(1.002, "pass"), (0.998, "fail")] {
        let core = format!(
            "class: PX\nratio: 600/1 A\nknee emf: 300 V\nexciting current: {:.9} A at 300 V",
            side * at_300
        );
        let told = told(&iec(&core, &exciting("S1-S2", &points)));
        assert_eq!(
            told.verdict("exciting-current"),
            word,
            "limit {side} of the reading"
        );
    }
}
