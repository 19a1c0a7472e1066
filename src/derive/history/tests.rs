use super::*;
use crate::derive::component::Component;
use crate::derive::workings::Origin;
use crate::ground::span::Span;
use crate::record::readings::Measure;
use proptest::prelude::*;

const NOTHING: Uncertainty = Uncertainty {
    u: 0.0,
    known: true,
    freedom: f64::INFINITY,
};

/// Of independent readings.
fn independent<'p>(points: &'p [Point]) -> impl Fn(&[f64]) -> Uncertainty + 'p {
    |shares: &[f64]| {
        let parts = points.iter().zip(shares);
        let u = parts
            .map(|(one, share)| one.u * share)
            .fold(0.0, libm::hypot);
        Uncertainty { u, ..NOTHING }
    }
}

/// JCGM 100:2008, H.3, the calibration of a thermometer by a straight line, from memory: readings of Table H.6
/// with the intercept at 20 °C; slope 0.002 18 with a standard uncertainty of 0.000 67 from the scatter alone,
/// nine degrees of freedom.
#[test]
fn the_line_of_the_guide() {
    let readings = [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ];
    let points = readings.map(|(year, y)| Point { year, y, u: 1.0 });
    let line = Line::through(&points).unwrap();
    let intercept = line.middle.1 + line.slope * (20.0 - line.middle.0);
    assert!((line.slope - 0.002_18).abs() < 5e-6, "{}", line.slope);
    assert!((intercept + 0.1712).abs() < 5e-5, "{intercept}");
    let spread = line.spread(&points, |_| NOTHING);
    assert!((spread.u - 0.000_67).abs() < 5e-6, "{}", spread.u);
    assert!((spread.freedom - 9.0).abs() < 1e-9, "{}", spread.freedom);
}

fn points() -> impl Strategy<Value = Vec<Point>> {
    let one = (0.1..3.0, -5.0..5.0, 0.01..2.0);
    prop::collection::vec(one, 3..8).prop_map(|steps| {
        let mut year = 0.0;
        let point = |(step, y, u): (f64, f64, f64)| {
            year += step;
            Point { year, y, u }
        };
        steps.into_iter().map(point).collect()
    })
}

proptest! {
    #[test]
    fn a_line_follows_scale_and_shift(points in points(), scale in 0.01..100f64, shift in -10.0..10f64, years in -50.0..50f64) {
        let line = Line::through(&points).unwrap();
        let spread = line.spread(&points, independent(&points));
        let moved: Vec<Point> = points.iter().map(|one| Point {
            year: one.year + years,
            y: scale * one.y + shift,
            u: scale * one.u,
        }).collect();
        let other = Line::through(&moved).unwrap();
        let wider = other.spread(&moved, independent(&moved));
        let size = scale * (line.slope.abs() + spread.u);
        prop_assert!((other.slope - scale * line.slope).abs() < 1e-9 * size);
        prop_assert!((wider.u - scale * spread.u).abs() < 1e-6 * size);
    }

    /// The uncertainty of readings on a line is that of the readings; off it, never less.
    #[test]
    fn scatter_only_adds(points in points(), slope in -3.0..3f64) {
        let line = Line::through(&points).unwrap();
        let own = 1.0 / line.moment.sqrt();
        let off = line.spread(&points, independent(&points));
        prop_assert!(off.u >= own * (1.0 - 1e-9));
        let on: Vec<Point> = points.iter().map(|one| Point { y: slope * one.year, ..*one }).collect();
        let straight = Line::through(&on).unwrap();
        prop_assert!((straight.slope - slope).abs() < 1e-9);
        let found = straight.spread(&on, independent(&on));
        prop_assert!((found.u / own - 1.0).abs() < 1e-6, "{} {}", found.u, own);
        prop_assert!(found.freedom.is_infinite());
    }
}

#[test]
fn two_points_or_one_time_make_no_line() {
    let at = |year: f64| Point {
        year,
        y: year,
        u: 0.1,
    };
    assert!(Line::through(&[at(0.0), at(1.0)]).is_none());
    assert!(Line::through(&[at(1.0), at(1.0), at(1.0)]).is_none());
    assert!(Line::through(&[at(0.0), at(1.0), Point { u: 0.0, ..at(2.0) }]).is_none());
    assert!(Line::through(&[at(0.0), at(1.0), at(2.0)]).is_some());
}

/// A reading by an instrument with a limit of error `u`, and a part of its own.
fn read(w: &mut Workings, si: f64, instrument: &str, u: f64, own: f64) -> Value {
    let value = w.enter(
        "r",
        "ohm",
        si,
        Origin::Reading {
            span: Span::default(),
        },
    );
    let range = Component::Range {
        instrument: instrument.to_owned(),
        measure: Measure::Resistance,
        up_to: 100.0,
        circuit: "",
    };
    w.add_part(value, range, u);
    let digit = Component::LastDigit {
        of: "r".into(),
        at: Span::default(),
    };
    w.add_part(value, digit, own);
    value
}

#[test]
fn one_instrument_is_in_both_readings_and_two_are_not() {
    let mut w = Workings::new();
    let first = read(&mut w, 10.0, "R1", 0.1, 0.003);
    let same = read(&mut w, 10.0, "R1", 0.1, 0.004);
    let other = read(&mut w, 10.0, "R2", 0.1, 0.004);
    let u = |later: Value| By::Difference.change(&w, first, later).unwrap().1.u;
    assert!((u(same) - 0.005).abs() < 1e-12, "{}", u(same));
    assert!(
        (u(other) - 0.020_025_f64.sqrt()).abs() < 1e-9,
        "{}",
        u(other)
    );
    let (size, percent) = By::Percent.change(&w, first, other).unwrap();
    assert!(size.abs() < 1e-12 && (percent.u - 10.0 * u(other)).abs() < 1e-9);
}

/// Two readings of a perfect tester show no change up to a factor of two, at k = 2.
#[test]
fn insulation_spreads_beyond_its_tester() {
    let mut w = Workings::new();
    let first = read(&mut w, 10.0, "I1", 0.0, 1e-9);
    let later = read(&mut w, 4.0, "I1", 0.0, 1e-9);
    let (size, uncertainty) = By::Times.change(&w, first, later).unwrap();
    assert!((libm::exp(size) - 0.4).abs() < 1e-12);
    assert!((libm::exp(2.0 * uncertainty.u) - 2.0).abs() < 1e-6);
}

#[test]
fn a_reading_without_an_uncertainty_has_no_line() {
    let mut w = Workings::new();
    let known = [1.0, 2.0].map(|si| read(&mut w, si, "R1", 0.01, 0.01));
    let bare = w.enter(
        "r",
        "ohm",
        3.0,
        Origin::Reading {
            span: Span::default(),
        },
    );
    let third = read(&mut w, 3.0, "R1", 0.01, 0.01);
    let line = |last: Value| By::Percent.line(&w, &[(0.0, known[0]), (1.0, known[1]), (2.0, last)]);
    assert!(line(bare).is_none());
    let (line, spread) = line(third).unwrap();
    assert!((line.slope - 1.0).abs() < 1e-12);
    // What the instrument is off moves all three.
    assert!((spread.u - 0.01 / 2f64.sqrt()).abs() < 1e-9, "{}", spread.u);
}
