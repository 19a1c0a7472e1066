//! Curves whose knees follow from a formula, and the law of their order.

use super::knees::excited;
use super::{Row, told};

/// V = I/(a + b I): the 10 % knee lies at V = 8/(11 b), the 30° one at I = (sqrt(3) - 1) a/b, and no
/// tangent of 45° exists.
fn froehlich() -> Vec<Row> {
    let (a, b) = (0.2, 0.0025);
    let amperes = (0..300).map(|k| 2.0 * libm::pow(1000.0, f64::from(k) / 299.0));
    let points: Vec<(f64, f64)> = amperes.map(|i| (i / (a + b * i), i)).collect();
    let told = excited(&points);
    assert!(
        told.findings("knee-45").is_empty(),
        "no tangent of 45° exists"
    );
    let source = "closed form, own derivation: V = I/(a + b*I)";
    vec![
        Row::record(
            "V = I/(0.2 + 0.0025 I), 10 % rule: V",
            source,
            290.909,
            told.value("knee-iec"),
            0.02,
        ),
        Row::record(
            "V = I/(0.2 + 0.0025 I), 30° tangent: V",
            source,
            169.06,
            told.value("knee-30"),
            0.05,
        ),
    ]
}

/// I = (V/100)^0.75 + (V/100)^n, closely read.
fn powers(n: f64) -> super::Told {
    let volts = (0..160).map(|k| 30.0 * libm::pow(4.4, f64::from(k) / 159.0));
    let points: Vec<(f64, f64)> = volts
        .map(|v: f64| {
            (
                v,
                1e-2 * (libm::pow(v / 100.0, 0.75) + libm::pow(v / 100.0, n)),
            )
        })
        .collect();
    excited(&points)
}

/// Where the slope d(ln I)/d(ln V) of that curve is `t`: (t - 0.75) x^0.75 = (n - t) x^n.
fn tangent(n: f64, t: f64) -> f64 {
    100.0 * libm::pow((t - 0.75) / (n - t), 1.0 / (n - 0.75))
}

fn sum_of_powers() -> Vec<Row> {
    let source = "closed form, own derivation: I = (V/100)^0.75 + (V/100)^n";
    let solved = "own arithmetic, I = (V/100)^0.75 + (V/100)^n";
    let mut rows = Vec::new();
    for (n, iec) in [(12.0, 88.7), (30.0, 88.3)] {
        let told = powers(n);
        let row = |name: &str, source, published, rule: &str, within| {
            Row::record(
                format!("n = {n}, {name}: V"),
                source,
                published,
                told.value(rule),
                within,
            )
        };
        rows.push(row("10 % rule", solved, iec, "knee-iec", 0.06));
        rows.push(row(
            "30° tangent",
            source,
            tangent(n, 3f64.sqrt()),
            "knee-30",
            0.01,
        ));
        rows.push(row("45° tangent", source, tangent(n, 1.0), "knee-45", 0.01));
    }
    rows
}

/// Two straight lines, slopes 1.2 and 0.05, meeting at V0: the 10 % knee is 0.925 V0, both tangents
/// sit at V0.
fn two_lines() -> Vec<Row> {
    let source = "own arithmetic, two straight lines in ln V and ln I that meet at V0";
    let slope = |v: f64| if v < 100.0 { 1.0 / 1.2 } else { 1.0 / 0.05 };
    let volts: Vec<f64> = (0..221)
        .map(|k| 20.0 * libm::pow(6.0, f64::from(k) / 220.0))
        .chain([100.0])
        .collect();
    let mut points: Vec<(f64, f64)> = volts
        .into_iter()
        .map(|v: f64| (v, 1e-2 * libm::pow(v / 100.0, slope(v))))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points.dedup_by(|a, b| (a.0 / b.0 - 1.0).abs() < 1e-9);
    let told = excited(&points);
    vec![
        Row::record(
            "two lines, 10 % rule: share of V0",
            source,
            0.925,
            told.value("knee-iec") / 100.0,
            2e-3,
        ),
        Row::record(
            "two lines, 30° tangent: share of V0",
            source,
            1.0,
            told.value("knee-30") / 100.0,
            8e-3,
        ),
        Row::record(
            "two lines, 45° tangent: share of V0",
            source,
            1.0,
            told.value("knee-45") / 100.0,
            8e-3,
        ),
    ]
}

/// The error of the limiting e.m.f. of a whole curve: a straight core takes 5 % of the current at the
/// factor that the loop gives.
fn straight_core() -> Row {
    // I = V/300 ohm, loop |5 + 12 + j9|: the share of the exciting current is the same everywhere.
    let points: Vec<(f64, f64)> = (1..40)
        .map(|k| (10.0 * f64::from(k), f64::from(k) / 30.0))
        .collect();
    let core =
        "class: 10P10\nburden: 15 VA at 0.80\nratio: 600/1 A\nresistance: 0.000001 ohm at 75 C";
    let record = super::iec(core, &super::exciting("S1-S2", &points));
    let source = "own arithmetic, Ie = E/300 ohm and E = 10*15 V";
    Row::record(
        "straight core: composite error at the limit, %",
        source,
        100.0 * 15.0 / 300.0,
        told(&record).value("composite-error"),
        1e-4,
    )
}

pub fn rows() -> Vec<Row> {
    let mut rows = froehlich();
    rows.extend(sum_of_powers());
    rows.extend(two_lines());
    rows.push(straight_core());
    rows
}

/// Where the slope falls steadily, 1.1 V(10 %) >= V(30°) >= V(45°) (own derivation).
#[test]
fn the_law_of_the_three_knees() {
    for n in [8.0, 12.0, 20.0, 30.0] {
        let told = powers(n);
        let [iec, thirty, forty_five] =
            ["knee-iec", "knee-30", "knee-45"].map(|rule| told.value(rule));
        assert!(
            1.1 * iec >= thirty && thirty >= forty_five,
            "n = {n}: {iec} {thirty} {forty_five}"
        );
    }
}
