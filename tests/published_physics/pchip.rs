//! The curve against an independent library: SciPy's PchipInterpolator (`fixtures.py`).

use kneemark::derive::curve::Curve;
use kneemark::derive::workings::{Value, Workings};

#[derive(serde::Deserialize)]
struct Fixtures {
    cases: Vec<Case>,
}

#[derive(serde::Deserialize)]
struct Case {
    voltage: Vec<f64>,
    current: Vec<f64>,
    at: Vec<f64>,
    expected_current: Vec<f64>,
    expected_slope: Vec<f64>,
}

#[test]
fn interpolation_is_that_of_the_open_library() {
    let fixtures: Fixtures = serde_json::from_str(include_str!("pchip.json")).unwrap();
    assert!(fixtures.cases.len() >= 20);
    let mut compared = 0;
    for (n, case) in fixtures.cases.iter().enumerate() {
        let mut w = Workings::new();
        let mut enter = |unit, si: &f64| w.constant("reading", unit, *si, "fixture");
        let points: Vec<(Value, Value)> = case
            .voltage
            .iter()
            .zip(&case.current)
            .map(|(v, i)| (enter("V", v), enter("A", i)))
            .collect();
        let curve = Curve::new(&points).0.unwrap();
        let expected = case.expected_current.iter().zip(&case.expected_slope);
        for (at, (current, slope)) in case.at.iter().zip(expected) {
            let found = curve.current_at(*at).unwrap();
            assert!(
                (found / current - 1.0).abs() < 1e-9,
                "case {n} at {at}: {found} {current}"
            );
            // The library gives d(ln I)/d(ln V), the curve its inverse, and none where it is level.
            match curve.slope_at(*at) {
                Some(found) => {
                    let inverse = 1.0 / found;
                    assert!(
                        (inverse - slope).abs() <= 1e-9 * slope.abs().max(1.0),
                        "case {n} at {at}"
                    );
                }
                None => assert!(slope.abs() < 1e-9, "case {n} at {at}: {slope}"),
            }
            compared += 1;
        }
    }
    assert!(compared > 500);
}
