//! Uncertainty: examples of the GUM and of EA-4/02, and limits of error of instruments.

use super::{Row, exact, formula, iec, told_by, whole};
use kneemark::derive::component::Component;
use kneemark::derive::workings::{Value, Workings};
use kneemark::ground::source::Source;
use kneemark::record::instruments;
use kneemark::record::readings::Measure;

const H2: &str = "JCGM 100:2008, H.2 (results seen in a library's example; readings from memory)";
const V: [f64; 5] = [5.007, 4.994, 5.005, 4.990, 4.999];
const I: [f64; 5] = [0.019663, 0.019639, 0.019640, 0.019685, 0.019678];
const PHI: [f64; 5] = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

fn mean(x: &[f64]) -> f64 {
    x.iter().sum::<f64>() / x.len() as f64
}

fn of_the_mean(x: &[f64]) -> f64 {
    let (n, m) = (x.len() as f64, mean(x));
    (x.iter().map(|x| (x - m) * (x - m)).sum::<f64>() / (n * (n - 1.0))).sqrt()
}

/// A component that several values share.
fn common(of: String) -> Component {
    Component::Standard {
        instrument: of,
        measure: Measure::Voltage,
    }
}

/// Means with simultaneous observations as shared components: no covariance is entered anywhere.
fn simultaneous(w: &mut Workings) -> [Value; 3] {
    [V, I, PHI].map(|list| {
        let m = mean(&list);
        let value = w.constant("mean", "", m, "published");
        for (k, x) in list.iter().enumerate() {
            let observation = common(format!("observation {k}"));
            w.add_part(value, observation, (x - m) / 20f64.sqrt());
        }
        value
    })
}

/// A step by one of the program's own formulas.
fn step(w: &mut Workings, name: &str, inputs: &[Value]) -> Value {
    let (formula, numbers) = (
        formula(name),
        inputs.iter().map(|x| x.si).collect::<Vec<_>>(),
    );
    let slopes = formula.derivatives(&numbers).unwrap();
    let links: Vec<(Value, f64)> = inputs.iter().copied().zip(slopes).collect();
    let about = formula.about();
    w.many(
        about.what,
        about.unit,
        about.text,
        about.source,
        formula.value(&numbers).unwrap(),
        &links,
    )
    .unwrap()
}

fn impedance_by_the_ledger() -> Vec<Row> {
    let mut w = Workings::new();
    let inputs = simultaneous(&mut w);
    let r = step(&mut w, "circuit-resistance", &inputs);
    let x = step(&mut w, "circuit-reactance", &inputs);
    let z = step(&mut w, "circuit-impedance", &inputs[..2]);
    let row = |check: &str, published, ours, within| {
        Row::new(
            format!("GUM H.2, {check}, ohm"),
            H2,
            published,
            ours,
            within,
        )
    };
    vec![
        row("R", 127.732, r.si, 5e-4),
        row("X", 219.847, x.si, 6e-4),
        row("Z", 254.260, z.si, 5e-4),
        row("u(R)", 0.071, w.uncertainty(r).u, 5e-4),
        row("u(X)", 0.295, w.uncertainty(x).u, 7e-4),
        row("u(Z)", 0.236, w.uncertainty(z).u, 5e-4),
    ]
}

/// Five loops in a burden record: their scatter is that of H.2, approach 2.
fn impedance_by_records() -> Vec<Row> {
    let rows: String = (0..5)
        .map(|k| format!("phase-neutral  {:.6}  {:.3}  {:.4}\n", I[k], V[k], PHI[k]))
        .collect();
    let visit = format!("[burden S1-S2]\nloop  current/A  voltage/V  angle/rad\n{rows}");
    let record = iec("class: 5P20\nburden: 15 VA\nratio: 600/1 A", &visit);
    let told = super::told(&record);
    let va: Vec<f64> = told
        .findings("circuit-burden")
        .iter()
        .map(|finding| finding["value"].as_f64().unwrap())
        .collect();
    assert_eq!(va.len(), 5);
    let gathered = whole(&record, &[]);
    let loops = &gathered.records[0].assessment.visits[0].derived.burden;
    let r: Vec<f64> = loops.iter().map(|one| one.r.unwrap().si).collect();
    let x: Vec<f64> = loops.iter().map(|one| one.x.unwrap().si).collect();
    let row = |check: &str, published, ours, within| {
        Row::record(
            format!("GUM H.2, five loops, {check}, ohm"),
            H2,
            published,
            ours,
            within,
        )
    };
    vec![
        row("mean of R", 127.732, mean(&r), 5e-4),
        row("mean of X", 219.847, mean(&x), 6e-4),
        row("mean of Z", 254.260, mean(&va), 5e-4),
        row("scatter of R", 0.071, of_the_mean(&r), 5e-4),
        row("scatter of X", 0.295, of_the_mean(&x), 7e-4),
        row("scatter of Z", 0.236, of_the_mean(&va), 5e-4),
    ]
}

/// Limit of error and standard uncertainty of a voltmeter by its statement.
fn voltmeter() -> Vec<Row> {
    let text = "[[instrument]]\nid = \"V\"\n[[instrument.function]]\nmeasures = \"voltage\"\nto = \"1 V\"\nof_reading = \"14 ppm\"\nof_range = \"2 ppm\"\n";
    let (read, told) = instruments::read(&Source::new("instruments.toml", text.as_bytes()).0);
    assert!(told.is_empty(), "{told:?}");
    let function = &read.items[0].functions[0];
    let a = function.limit_of_error(0.928_571);
    let example = "JCGM 100:2008, 4.3.7, example 2 (from memory)";
    vec![
        Row::new(
            "14 ppm of reading and 2 ppm of range: limit of error, V",
            example,
            1.5e-5,
            a,
            1e-8,
        ),
        Row::new(
            "the same: standard uncertainty, V",
            example,
            8.7e-6,
            function.standard(a),
            5e-8,
        ),
        Row::new(
            "rectangular, half-width 4e-7: standard uncertainty",
            "JCGM 100:2008, 4.3.7, example 1 (from memory)",
            2.3e-7,
            function.standard(4e-7),
            2e-9,
        ),
    ]
}

/// An ohmmeter: 0.1 % of reading, 0.05 % of range and 2 digits at 5.050 ohm in the 20 ohm range.
fn ohmmeter() -> Row {
    let bench = "[[instrument]]\nid = \"F1\"\ncalibrated = 2026-01-01\ndue = 2027-01-01\n[[instrument.function]]\nmeasures = \"resistance\"\nto = \"20 ohm\"\nof_reading = \"0.1 %\"\nof_range = \"0.05 %\"\ndigits = 2\n";
    let visit = "[resistance S1-S2]\nwires: 4\nresistance/ohm\n5.050\n";
    let record = iec("class: 5P20\nburden: 15 VA\nratio: 600/1 A", visit);
    let told = told_by(&record, &[("instruments.toml", bench)]);
    let u = told.about("winding-resistance", "")["expanded_uncertainty"]
        .as_f64()
        .unwrap();
    let source = "constructed: sum of the three limits, rectangular, k = 2";
    Row::record(
        "0.1 % of reading, 0.05 % of range, 2 digits at 5.050 ohm: U, ohm",
        source,
        0.0197,
        u,
        5e-5,
    )
}

/// A sum of independent contributions with these weights.
fn combined(parts: &[(f64, f64)]) -> f64 {
    let mut w = Workings::new();
    let links: Vec<(Value, f64)> = parts
        .iter()
        .map(|(u, slope)| {
            let value = w.constant("input", "", 1.0, "published");
            w.add_part(value, Component::Spacing { of: "part" }, *u);
            (value, *slope)
        })
        .collect();
    let value = w.many("sum", "", "sum", "published", 1.0, &links).unwrap();
    w.uncertainty(value).u
}

fn budgets() -> Vec<Row> {
    let three = 3f64.sqrt();
    let weight = combined(&[
        (22.5, 1.0),
        (15.0 / three, 1.0),
        (25.0 / three, 1.0),
        (10.0 / three, 1.0),
        (10.0 / three, 1.0),
    ]);
    let (r, standard) = (1.000_010_5, 10_000.073);
    let resistor = combined(&[
        (0.0025, r),
        (0.01 / three, r),
        (0.00275 / three, r),
        (1e-6 / 6f64.sqrt(), standard * r),
        (7e-8, standard),
        (0.0055 / three, 1.0),
    ]);
    let multimeter = combined(&[
        (0.001, 1.0),
        (0.05 / three, 1.0),
        (0.05 / three, 0.0),
        (0.011 / three, 1.0),
    ]);
    // Nanometres: the standard, the comparison, and the two temperature terms to first order.
    let gauge = combined(&[
        (25.0, 1.0),
        (5.8, 1.0),
        (3.9, 1.0),
        (6.7, 1.0),
        (1e-6 / three, 50_000_623.0 * 0.1),
        (0.05 / three, 50_000_623.0 * 1.15e-5),
    ]);
    let ea = "EA-4/02, examples S2 and S9 (from memory)";
    vec![
        Row::new("EA-4/02 S2, 10 kg weight: u, mg", ea, 29.3, weight, 0.05),
        Row::new(
            "EA-4/02 S3, 10 kohm resistor: u, ohm",
            "EA-4/02, example S3 (result seen, budget from memory)",
            0.008_328,
            resistor,
            2e-6,
        ),
        Row::new(
            "EA-4/02 S9, multimeter at 100 V: u, V",
            ea,
            0.03,
            multimeter,
            1e-3,
        ),
        Row::new(
            "GUM H.1, end gauge: u, nm",
            "JCGM 100:2008, H.1 (inputs seen, result from memory)",
            32.0,
            gauge,
            0.4,
        ),
    ]
}

pub fn rows() -> Vec<Row> {
    let mut rows = impedance_by_records();
    rows.push(ohmmeter());
    rows.extend(impedance_by_the_ledger());
    rows.extend(voltmeter());
    rows.extend(budgets());
    rows
}

/// A component named by two readings adds with its sign, one named by one adds in squares.
#[test]
fn shared_errors_cancel_in_a_ratio() {
    let mut w = Workings::new();
    let [a, b] = [("a", 10.0, 0.1), ("b", 5.0, 0.05)].map(|(what, si, u)| {
        let value = w.constant(what, "", si, "test");
        w.add_part(value, common("gain".into()), u);
        value
    });
    let [c] = exact(&mut w, [1.0]);
    let ratio = w
        .many(
            "ratio",
            "",
            "a/b",
            "test",
            2.0,
            &[(a, 0.2), (b, -0.4), (c, 0.0)],
        )
        .unwrap();
    assert!(w.uncertainty(ratio).u < 1e-15);
}
