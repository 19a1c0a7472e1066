//! The flux curve behind r.m.s. readings and the secondary current under an offset fault: SciPy's
//! quadrature and its ODE solver (DOP853, relative tolerance 1e-10).

use super::{near, only, read};
use kneemark::derive::flux_curve::FluxCurve;
use kneemark::derive::outcome::Reason;
use kneemark::derive::simulate::{Fault, run};
use serde::Deserialize;

/// Two solutions of the same equations for the knots.
const KNOTS: f64 = 1e-6;
/// The fixed step of the trapezoidal rule: currents to this share of the symmetrical peak, flux to
/// this share of the largest.
const STEP: f64 = 1e-3;

#[derive(Deserialize)]
struct Fixtures {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    record: String,
    knots: Option<Vec<(f64, f64)>>,
    fault: Option<FaultText>,
    #[serde(default)]
    every: usize,
    #[serde(default)]
    secondary: Vec<f64>,
    #[serde(default)]
    flux: Vec<f64>,
}

#[derive(Deserialize)]
struct FaultText {
    current: f64,
    frequency: f64,
    primary_constant: f64,
    inception: f64,
    resistance: f64,
    inductance: f64,
    remanence: f64,
    duration: f64,
    error: f64,
}

impl FaultText {
    fn fault(&self) -> Fault {
        Fault {
            current: self.current,
            frequency: self.frequency,
            primary_constant: self.primary_constant,
            inception: self.inception,
            resistance: self.resistance,
            inductance: self.inductance,
            remanence: self.remanence,
            duration: self.duration,
            error: self.error,
        }
    }
}

fn largest(list: &[f64]) -> f64 {
    list.iter().fold(0.0, |most: f64, x| most.max(x.abs()))
}

#[test]
fn flux_curve_and_secondary_current_are_those_of_the_open_library() {
    let fixtures: Fixtures = serde_json::from_str(include_str!("flux.json")).unwrap();
    let (mut simulated, mut refused, mut saturated) = (0, 0, 0);
    for (n, case) in fixtures.cases.iter().enumerate() {
        let gathered = read(&case.record, None);
        let (_, derived) = only(&gathered);
        let curve = derived.excitation[0].curve.as_ref().unwrap();
        let made = FluxCurve::from_readings(curve, 50.0);
        let Some((knots, fault)) = case.knots.as_ref().zip(case.fault.as_ref()) else {
            assert_eq!(
                made.err(),
                Some(Reason::NotRising),
                "record {n}: no core has these r.m.s. currents"
            );
            refused += 1;
            continue;
        };
        let made = made.unwrap();
        assert_eq!(made.knots().count(), knots.len() + 1, "record {n}");
        for (ours, theirs) in made.knots().skip(1).zip(knots) {
            near(ours.0, theirs.0, KNOTS, &format!("record {n}: peak flux"));
            near(
                ours.1,
                theirs.1,
                KNOTS,
                &format!("record {n}: peak current"),
            );
        }
        let fault = fault.fault();
        let ours = run(&made, &fault).unwrap();
        let (peak, most) = (
            std::f64::consts::SQRT_2 * fault.current,
            largest(&case.flux),
        );
        for (k, (secondary, flux)) in case.secondary.iter().zip(&case.flux).enumerate() {
            let at = k * case.every;
            let (current_off, flux_off) = (
                (ours.secondary[at] - secondary).abs(),
                (ours.flux[at] - flux).abs(),
            );
            assert!(
                current_off <= STEP * peak,
                "record {n}, step {at}: {} A, by the other library {secondary} A",
                ours.secondary[at]
            );
            assert!(
                flux_off <= STEP * most,
                "record {n}, step {at}: {} Vs, by the other library {flux} Vs",
                ours.flux[at]
            );
        }
        simulated += 1;
        saturated += usize::from(ours.first_error.is_some());
    }
    assert!(
        simulated >= 8 && refused >= 1 && saturated >= 4,
        "{simulated} {refused} {saturated}"
    );
}
