//! The line through readings over the years: SciPy's weighted fit, and the uncertainty of its slope by matrix
//! algebra in NumPy, on 60 seeded series whose readings share instruments.

use super::near;
use kneemark::derive::component::Component;
use kneemark::derive::history::By;
use kneemark::derive::workings::{Origin, Workings};
use kneemark::ground::span::Span;
use kneemark::record::readings::Measure;
use serde::Deserialize;

#[derive(Deserialize)]
struct Fixtures {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    t: Vec<f64>,
    y: Vec<f64>,
    own: Vec<f64>,
    shared: Vec<f64>,
    instrument: Vec<usize>,
    slope: f64,
    u: f64,
}

#[test]
fn slopes_and_their_uncertainties() {
    let fixtures: Fixtures = serde_json::from_str(include_str!("slope.json")).unwrap();
    assert_eq!(fixtures.cases.len(), 60);
    let mut scattered = 0;
    for (n, case) in fixtures.cases.iter().enumerate() {
        let mut w = Workings::new();
        let span = Span::default();
        let read = |at: usize| {
            let value = w.enter("r", "ohm", case.y[at], Origin::Reading { span });
            let range = Component::Range {
                instrument: format!("R{}", case.instrument[at]),
                measure: Measure::Resistance,
                up_to: 10.0,
                circuit: "",
            };
            w.add_part(value, range, case.shared[at]);
            let digit = Component::LastDigit {
                of: "r".into(),
                at: span,
            };
            w.add_part(value, digit, case.own[at]);
            (case.t[at], value)
        };
        let values: Vec<_> = (0..case.t.len()).map(read).collect();
        let (line, spread) = By::Difference.line(&w, &values).unwrap();
        let says = format!("series {n}");
        // SciPy's fit is iterated.
        near(line.slope, case.slope, 1e-5, &says);
        near(spread.u, case.u, 1e-4, &says);
        scattered += usize::from(spread.freedom.is_finite());
    }
    assert!((10..50).contains(&scattered), "{scattered}");
}
