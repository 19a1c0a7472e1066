//! Axis lines by themselves.

use crate::chart::step::{Decimal, Step, stop_above, stop_below};
use crate::chart::ticks::{Room, Tick, linear_ticks, log_ticks};

fn labels(ticks: Vec<Tick>) -> Vec<String> {
    let labels = ticks.into_iter().filter_map(|tick| tick.label);
    labels.map(written).collect()
}

fn written(number: Decimal) -> String {
    let mut text = String::new();
    number.push(&mut text);
    text
}

fn log_labels(lo: f64, hi: f64, length: f64) -> Vec<String> {
    let room = Room { length, gap: 9.0 };
    labels(log_ticks(lo.log10(), hi.log10(), room))
}

/// From, to, length and the labels, in one text.
#[test]
fn logarithmic_labels() {
    for (lo, hi, length, expected) in [
        // Decades, the first one included.
        (0.001, 100.0, 100.0, "0.001 0.01 0.1 1 10 100"),
        (0.001, 10.0, 100.0, "0.001 0.01 0.1 1 10"),
        // Wide decades show 2 and 5.
        (0.01, 1.0, 100.0, "0.01 0.02 0.05 0.1 0.2 0.5 1"),
        (2.0, 8.0, 120.0, "2 3 4 5 6 7 8"),
        // Many are thinned on round exponents.
        (
            1e-12,
            1e12,
            120.0,
            "10⁻¹² 10⁻¹⁰ 10⁻⁸ 10⁻⁶ 0.0001 0.01 1 100 10000 10⁶ 10⁸ 10¹⁰ 10¹²",
        ),
    ] {
        assert_eq!(log_labels(lo, hi, length).join(" "), expected);
    }
    // A range within one decade still gets labels, and so do all decades there are.
    for (lo, hi, length) in [
        (0.2, 0.8, 60.0),
        (300.0, 300.01, 120.0),
        (1e-300, 1e300, 120.0),
    ] {
        assert!(log_labels(lo, hi, length).len() >= 3);
    }
    assert_eq!(log_labels(300.0, 303.0, 120.0)[0], "300.0");
}

#[test]
fn linear_labels_are_exact() {
    for (lo, hi, expected) in [
        (-0.4, 0.4, "−0.4 −0.3 −0.2 −0.1 0 0.1 0.2 0.3 0.4"),
        (
            0.996,
            1.004,
            "0.996 0.997 0.998 0.999 1.000 1.001 1.002 1.003 1.004",
        ),
        (0.0, 100.0, "0 20 40 60 80 100"),
    ] {
        let (length, gap) = (100.0, 12.0);
        let found = labels(linear_ticks(lo, hi, Room { length, gap }));
        assert_eq!(found.join(" "), expected);
    }
}

#[test]
fn light_lines_are_two_to_nine_and_never_repeat_a_decade() {
    let (length, gap) = (80.0, 13.0);
    let ticks = log_ticks(0.0, 2.0, Room { length, gap });
    let light = ticks.iter().filter(|t| t.label.is_none()).count();
    assert_eq!((ticks.len(), light), (19, 16));
    let mut pairs = ticks.windows(2);
    assert!(pairs.all(|pair| pair[1].value / pair[0].value > 1.1));
}

#[test]
fn neighbouring_labels_keep_their_distance() {
    let (length, gap) = (120.0, 9.0);
    for tenths in 1..400 {
        let span = f64::from(tenths) / 10.0;
        for lo in [-3.7, -1.0, 0.3, 2.05] {
            let ticks = log_ticks(lo, lo + span, Room { length, gap }).into_iter();
            let at: Vec<f64> = ticks
                .filter(|t| t.label.is_some())
                .map(|t| (t.value.log10() - lo) / span * length)
                .collect();
            // Evenly divided short ranges may fall a little short where no round step fits.
            let least = if span < 1.5 { 6.0 } else { 8.99 };
            let apart = at.windows(2).all(|p| p[1] - p[0] >= least);
            assert!(apart && at.len() >= 2, "{lo} {span}: {at:?}");
        }
    }
}

#[test]
fn what_is_no_range_gets_no_lines() {
    for (lo, hi, length) in [
        (1.0, 1.0, 100.0),
        (2.0, 1.0, 100.0),
        (f64::NAN, 1.0, 100.0),
        (0.0, f64::INFINITY, 100.0),
        (0.0, 1.0, 0.0),
    ] {
        let room = Room { length, gap: 10.0 };
        assert!(linear_ticks(lo, hi, room).is_empty() && log_ticks(lo, hi, room).is_empty());
    }
}

#[test]
fn stops_enclose_their_value_and_steps_round_up() {
    let is = |log: f64, value: f64| (10f64.powf(log) / value - 1.0).abs() < 1e-9;
    for (value, below, above) in [
        (3.0, 2.0, 5.0),
        (7.0, 5.0, 10.0),
        (0.0131, 0.01, 0.02),
        (200.0, 200.0, 200.0),
        (0.9, 0.5, 1.0),
        (1.1, 1.0, 2.0),
        (2.1, 2.0, 5.0),
        (0.03, 0.02, 0.05),
    ] {
        let log = f64::log10(value);
        assert!(
            is(stop_below(log), below) && is(stop_above(log), above),
            "{value}"
        );
        assert!((Step::at_least(value).size() / above - 1.0).abs() < 1e-12);
    }
    assert!(Step::at_least(0.0).size() > 0.0 && Step::at_least(f64::MAX).size().is_finite());
}

#[test]
fn numbers_read_plainly() {
    for (mantissa, exponent, text) in [
        (1, -3, "0.001"),
        (5, 0, "5"),
        (2, 3, "2000"),
        (-25, -1, "\u{2212}2.5"),
        (0, 4, "0"),
        (10, -1, "1.0"),
        (1, 6, "10⁶"),
        (2, 300, "2·10³⁰⁰"),
        (1, -6, "10⁻⁶"),
        (1, -4, "0.0001"),
        (30, 8, "3·10⁹"),
    ] {
        assert_eq!(written(Decimal { mantissa, exponent }), text);
    }
}
