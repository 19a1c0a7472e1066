//! Three knees, the actual accuracy limit factor and the security factor: SciPy's PCHIP in ln V and
//! ln I with Brent's method, on 120 seeded curves in 60 records.

use super::{kind, near, only, read};
use kneemark::derive::kinds::Derived;
use kneemark::derive::kinds::protection::Check;
use kneemark::derive::kinds::protection::factor::With;
use kneemark::derive::knee::Knee;
use kneemark::derive::outcome::Outcome;
use serde::Deserialize;

/// Both sides solve to the last bits; what is left is rounding in the interpolation.
const RELATIVE: f64 = 1e-6;

#[derive(Deserialize)]
struct Fixtures {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    record: String,
    #[serde(rename = "1S")]
    protection: Core,
    #[serde(rename = "2S")]
    metering: Core,
}

#[derive(Deserialize)]
struct Core {
    iec: Found,
    knee_45: Found,
    knee_30: Found,
    factor: Found,
}

#[derive(Deserialize)]
struct Found {
    kind: String,
    voltage: Option<f64>,
    current: Option<f64>,
    factor: Option<f64>,
}

fn knee(ours: Knee, theirs: &Found, says: &str) {
    let (word, value) = kind(&ours.voltage());
    assert_eq!(word, theirs.kind, "{says}");
    if let (Some(value), Some(voltage)) = (value, theirs.voltage) {
        near(value.si, voltage, RELATIVE, says);
    }
    if let (Knee::At(point), Some(current)) = (ours, theirs.current) {
        near(point.current.si, current, RELATIVE, says);
    }
}

/// The factor that the core's class is judged by.
fn factor(derived: &Derived, core: usize) -> Outcome {
    let checks = derived
        .protection
        .iter()
        .filter(|one| one.pair.core == core);
    let found = checks.filter_map(|one| match &one.check {
        Check::Factor(factor) if matches!(factor.with, With::Rated(_)) => Some(factor.found),
        Check::Security(security) => Some(security.found),
        _ => None,
    });
    let found: Vec<Outcome> = found.collect();
    let [one] = found.as_slice() else {
        panic!("{} factors of core {core}", found.len())
    };
    *one
}

#[test]
fn knees_and_factors_are_those_of_the_open_library() {
    let fixtures: Fixtures = serde_json::from_str(include_str!("roots.json")).unwrap();
    let mut known = [0; 4];
    for (n, case) in fixtures.cases.iter().enumerate() {
        let gathered = read(&case.record, None);
        let (_, derived) = only(&gathered);
        for (core, theirs) in [&case.protection, &case.metering].into_iter().enumerate() {
            let ours = derived
                .excitation
                .iter()
                .find(|one| one.pair.core == core)
                .expect("a curve");
            let rows = [
                ("10 % rule", ours.iec, &theirs.iec),
                ("45°", ours.knee_45, &theirs.knee_45),
                ("30°", ours.knee_30, &theirs.knee_30),
            ];
            for (row, (rule, ours, theirs)) in rows.into_iter().enumerate() {
                knee(
                    ours,
                    theirs,
                    &format!("record {n}, core {core}, knee by the {rule}"),
                );
                known[row] += usize::from(theirs.kind == "known");
            }
            let says = format!("record {n}, core {core}, factor");
            let (word, value) = kind(&factor(derived, core));
            assert_eq!(word, theirs.factor.kind, "{says}");
            near(
                value.unwrap().si,
                theirs.factor.factor.unwrap(),
                RELATIVE,
                &says,
            );
            known[3] += usize::from(word == "known");
        }
    }
    assert!(
        known[0] > 100 && known[1] > 100 && known[2] > 100 && known[3] > 25,
        "{known:?}"
    );
}
