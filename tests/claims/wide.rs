//! A curve that is taken again answers a doubt about the first one only where it begins as low and reaches as far,
//! while neither comes to a knee.

use kneemark::compile;
use kneemark::document::Grade;
use kneemark::ground::seam::Memory;

const PLATE: &str = "format: 1\n[ct]\nid: W1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\
    [core S]\nuse: protection\nclass: 5P20\nratio: 600/1 A\nburden: 15 VA\nresistance: 3 ohm at 75 C\n";

fn visit(day: &str, purpose: &str, volts: &[f64], flaw: impl Fn(f64) -> f64) -> String {
    let row = |v: &f64| format!("{v:.1}  {:.4}\n", 0.5 * (v / 100.0).powf(0.7) * flaw(*v));
    let rows: String = volts.iter().map(row).collect();
    format!(
        "[visit {day}]\npurpose: {purpose}\n[excitation S1-S2]\nvoltmeter: mean\nvoltage/V  current/mA\n{rows}"
    )
}

/// How many findings of the first curve still stand for review.
fn standing(low: f64, top: f64) -> usize {
    let flaw = |v: f64| match v {
        80.0 => 1.25,
        120.0 => 0.8,
        160.0 => 1.3,
        _ => 1.0,
    };
    let between = [20.0, 40.0, 80.0, 120.0, 160.0, 200.0, 250.0];
    let first: Vec<f64> = [10.0].into_iter().chain(between).chain([300.0]).collect();
    let again = between.into_iter().filter(|v| (low..top).contains(v));
    let again: Vec<f64> = [low].into_iter().chain(again).chain([top]).collect();
    let files = Memory::default();
    let old = visit("2026-03-14", "maintenance", &first, flaw);
    let new = visit("2026-03-20", "retest", &again, |_| 1.0);
    files.put("w.ctr", format!("{PLATE}{old}{new}"));
    let job = compile(&files, &["w.ctr".into()]);
    let [one] = job.records.as_slice() else {
        panic!("one record")
    };
    assert!(one.is_complete(), "{:?}", one.diagnostics);
    one.claims().count(Grade::Review)
}

#[test]
fn a_curve_answers_another_that_is_no_wider() {
    for (low, top, stands) in [
        (10.0, 300.0, 0),
        (10.0, 400.0, 0),
        (5.0, 300.0, 0),
        (10.0, 286.0, 0),
        (10.0, 284.0, 2),
        (10.0, 150.0, 2),
        (10.9, 300.0, 0),
        (11.2, 300.0, 2),
    ] {
        assert_eq!(standing(low, top), stands, "{low} V to {top} V");
    }
}
