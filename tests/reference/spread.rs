//! Standard uncertainties of whole records with shared instrument errors: the `uncertainties`
//! package for Python, with one common variable for each function of the instrument.

use super::{Told, near, only, read};
use kneemark::derive::component::Component;
use kneemark::derive::kinds::resistance::Settling;
use kneemark::derive::knee::Knee;
use kneemark::derive::outcome::Outcome;
use kneemark::derive::workings::{Value, Workings};
use kneemark::record::readings::Measure;
use serde::Deserialize;

/// Linear propagation on both sides, derivatives exact.
const RELATIVE: f64 = 1e-6;
/// Knees: the other side takes derivatives by difference quotients.
const QUOTIENT: f64 = 1e-5;

#[derive(Deserialize)]
struct Fixtures {
    instruments: String,
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    record: String,
    insulation: Insulation,
    resistance: Resistance,
    burden: Burden,
    ratio: Ratio,
    excitation: Knees,
}

#[derive(Deserialize)]
struct Insulation {
    minute: Told,
    at_20: Told,
}

#[derive(Deserialize)]
struct Resistance {
    cold: Told,
    at_75: Told,
}

#[derive(Deserialize)]
struct Burden {
    z: Told,
    r: Told,
    x: Told,
    va: Told,
    pf: Told,
}

#[derive(Deserialize)]
struct Ratio {
    errors: Vec<Told>,
}

#[derive(Deserialize)]
struct Knees {
    iec: Option<Told>,
    knee_45: Option<Told>,
    knee_30: Option<Told>,
}

#[track_caller]
fn same(w: &Workings, ours: Value, theirs: &Told, relative: f64, says: &str) {
    let uncertainty = w.uncertainty(ours);
    assert!(uncertainty.known, "{says}");
    near(ours.si, theirs.value, relative, says);
    // The other side knows neither the thermometer nor the error of the insulation's law.
    let shared = |component: &Component| match component {
        Component::Law { .. } => false,
        Component::Range { measure, .. } => *measure != Measure::Temperature,
        _ => true,
    };
    let rows = w.budget(ours).into_iter();
    let rows = rows.filter(|row| shared(&row.component));
    let u = rows.fold(0.0, |u, row| f64::hypot(u, row.contribution));
    near(
        u,
        theirs.u,
        relative,
        &format!("standard uncertainty of {says}"),
    );
}

fn known(outcome: &Outcome) -> Value {
    outcome.known().expect("a known value")
}

#[test]
fn uncertainties_are_those_of_the_open_library() {
    let fixtures: Fixtures = serde_json::from_str(include_str!("spread.json")).unwrap();
    let (mut knees, mut means) = (0, 0);
    for (n, case) in fixtures.cases.iter().enumerate() {
        let gathered = read(&case.record, Some(&fixtures.instruments));
        let (unit, derived) = only(&gathered);
        let w = &unit.assessment.workings;
        let check = |ours: Value, theirs: &Told, what: &str| {
            same(w, ours, theirs, RELATIVE, &format!("{what}, record {n}"))
        };
        let group = &derived.insulation[0];
        check(
            known(&group.minute.r),
            &case.insulation.minute,
            "insulation resistance",
        );
        check(
            known(&group.at_20.unwrap()),
            &case.insulation.at_20,
            "insulation resistance at 20 °C",
        );
        let winding = &derived.resistance[0];
        // The other side takes the mean of all readings, settled or not.
        if !matches!(winding.settling, Settling::From(_) | Settling::Falling) {
            means += 1;
            check(winding.cold, &case.resistance.cold, "winding resistance");
            check(
                winding.at_75.unwrap(),
                &case.resistance.at_75,
                "winding resistance at 75 °C",
            );
        }
        let one = &derived.burden[0];
        check(one.z, &case.burden.z, "impedance");
        check(one.r.unwrap(), &case.burden.r, "resistance of the circuit");
        check(one.x.unwrap(), &case.burden.x, "reactance of the circuit");
        check(one.va.unwrap(), &case.burden.va, "apparent power");
        check(one.power_factor.unwrap(), &case.burden.pf, "power factor");
        let points = &derived.ratio.runs[0].points;
        assert_eq!(points.len(), case.ratio.errors.len());
        for (point, theirs) in points.iter().zip(&case.ratio.errors) {
            check(point.error.unwrap(), theirs, "ratio error");
        }
        let excited = &derived.excitation[0];
        let rules = [
            (excited.iec, &case.excitation.iec),
            (excited.knee_45, &case.excitation.knee_45),
            (excited.knee_30, &case.excitation.knee_30),
        ];
        for (ours, theirs) in rules {
            match (ours, theirs) {
                (Knee::At(point), Some(theirs)) => same(
                    w,
                    point.voltage,
                    theirs,
                    QUOTIENT,
                    &format!("knee, record {n}"),
                ),
                (Knee::At(_), None) | (_, Some(_)) => panic!("record {n}: {ours:?}"),
                _ => continue,
            }
            knees += 1;
        }
    }
    assert!(fixtures.cases.len() >= 20 && knees > 50, "{knees}");
    assert!(means > 10, "{means}");
}
