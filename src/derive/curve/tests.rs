use super::*;
use crate::derive::testing::{curve, moved_readings, readings};

const BENT: [(f64, f64); 6] = [
    (10.0, 0.001),
    (20.0, 0.0015),
    (40.0, 0.0022),
    (60.0, 0.004),
    (70.0, 0.02),
    (75.0, 0.1),
];

#[test]
fn goes_through_its_readings_and_no_further() {
    let mut w = Workings::new();
    let c = curve(&mut w, &BENT);
    for (v, i) in BENT {
        assert!((c.current_at(v).unwrap() / i - 1.0).abs() < 1e-14);
        assert!((c.voltage_at(i).unwrap() / v - 1.0).abs() < 1e-12);
    }
    for v in [9.999, 75.001, 0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(c.current_at(v).is_none(), "{v}");
        assert!(c.slope_at(v).is_none(), "{v}");
    }
    for i in [0.000_999, 0.1001, 0.0, f64::NAN] {
        assert!(c.voltage_at(i).is_none(), "{i}");
    }
}

#[test]
fn a_falling_run_makes_the_same_curve_and_keeps_its_indices() {
    let mut w = Workings::new();
    let rising = curve(&mut w, &BENT);
    let mut back = BENT;
    back.reverse();
    let list = readings(&mut w, &back);
    let (falling, flaws) = Curve::new(&list);
    let falling = falling.unwrap();
    assert!(flaws.is_empty());
    assert_eq!(rising.current_at(33.0), falling.current_at(33.0));
    assert_eq!(falling.last().at, 0);
}

#[test]
fn flaws_are_said_not_hidden() {
    let points = [
        (1.0, 0.0),
        (2.0, 1.0),
        (4.0, 2.0),
        (3.0, 3.0),
        (3.0, 4.0),
        (-1.0, 1.0),
        (8.0, 5.0),
        (9.0, 5.0),
    ];
    let mut w = Workings::new();
    let list = readings(&mut w, &points);
    let (made, flaws) = Curve::new(&list);
    let kinds: Vec<_> = flaws.iter().map(|f| (f.at, f.kind)).collect();
    let expected = [
        (0, FlawKind::NotPositive),
        (5, FlawKind::NotPositive),
        (3, FlawKind::TurnsBack),
        (6, FlawKind::TurnsBack),
        (4, FlawKind::DuplicateVoltage),
        (2, FlawKind::StepsBack),
        (7, FlawKind::Level),
    ];
    assert_eq!(kinds, expected);
    assert_eq!(made.unwrap().points().len(), 5);
    assert!(Curve::new(&list[..2]).0.is_none());
    assert!(Curve::new(&[]).0.is_none());
}

#[test]
fn two_readings_make_a_straight_line() {
    let mut w = Workings::new();
    let c = curve(&mut w, &[(1.0, 1.0), (100.0, 10.0)]);
    assert!((c.current_at(10.0).unwrap() - 10f64.sqrt()).abs() < 1e-12);
    assert!((c.slope_at(10.0).unwrap() - 2.0).abs() < 1e-12);
}

/// Moves each reading in turn and compares with the sensitivity in the ledger.
fn check_sensitivities(of: fn(&Curve, &mut Workings, Value) -> Option<Value>, at: f64) {
    let h = 1e-6;
    let result = |points: &[(f64, f64)], at: f64| {
        let mut w = Workings::new();
        let c = curve(&mut w, points);
        let q = readings(&mut w, &[(at, 1.0)])[0].0;
        let out = of(&c, &mut w, q).unwrap();
        let slopes: Vec<_> = w.inputs_of(out.step).collect();
        (out.si, slopes)
    };
    let (value, slopes) = result(&BENT, at);
    moved_readings(&BENT, value, &slopes, 1e-6, |points| result(points, at).0);
    let quotient =
        (result(&BENT, at * (1.0 + h)).0 - result(&BENT, at * (1.0 - h)).0) / (2.0 * h * at);
    let exact = slopes.last().unwrap().1;
    assert!((exact / quotient - 1.0).abs() < 1e-6, "{exact} {quotient}");
}

#[test]
fn sensitivities_are_those_of_the_moved_readings() {
    for v in [12.0, 33.0, 55.0, 66.0, 74.0] {
        check_sensitivities(Curve::current_value, v);
    }
    for i in [0.0012, 0.002, 0.003, 0.01, 0.08] {
        check_sensitivities(Curve::voltage_value, i);
    }
}

#[test]
fn a_current_that_steps_back_is_read_where_it_last_rises() {
    let mut w = Workings::new();
    let c = curve(&mut w, &[(1.0, 1.0), (2.0, 3.0), (3.0, 2.0), (4.0, 5.0)]);
    assert!(c.voltage_at(2.5).unwrap() > 3.0);
    let c = curve(&mut w, &[(1.0, 1.0), (2.0, 3.0), (3.0, 2.0)]);
    assert!(c.voltage_at(2.5).is_none());
}
