//! Axis lines by themselves.

use crate::chart::step::{Step, number, stop_above, stop_below};
use crate::chart::ticks::{Room, linear_ticks, log_ticks};

fn log_labels(lo: f64, hi: f64, length: f64) -> Vec<String> {
    let room = Room { length, gap: 9.0 };
    log_ticks(lo.log10(), hi.log10(), room)
        .into_iter()
        .filter_map(|t| t.label)
        .collect()
}

fn linear_labels(lo: f64, hi: f64) -> Vec<String> {
    let room = Room {
        length: 100.0,
        gap: 12.0,
    };
    linear_ticks(lo, hi, room)
        .into_iter()
        .filter_map(|t| t.label)
        .collect()
}

#[test]
fn decades_are_labelled_plainly_first_one_included() {
    assert_eq!(
        log_labels(0.001, 100.0, 100.0),
        ["0.001", "0.01", "0.1", "1", "10", "100"]
    );
    assert_eq!(
        log_labels(0.001, 10.0, 100.0),
        ["0.001", "0.01", "0.1", "1", "10"]
    );
}

#[test]
fn wide_decades_show_two_and_five() {
    assert_eq!(
        log_labels(0.01, 1.0, 100.0),
        ["0.01", "0.02", "0.05", "0.1", "0.2", "0.5", "1"]
    );
}

#[test]
fn light_lines_are_two_to_nine_and_never_repeat_a_decade() {
    let ticks = log_ticks(
        0.0,
        2.0,
        Room {
            length: 80.0,
            gap: 13.0,
        },
    );
    let light = ticks.iter().filter(|t| t.label.is_none()).count();
    assert_eq!((ticks.len(), light), (19, 16));
    assert!(
        ticks
            .windows(2)
            .all(|pair| pair[1].value / pair[0].value > 1.1)
    );
}

#[test]
fn a_range_within_one_decade_still_gets_labels() {
    assert_eq!(
        log_labels(2.0, 8.0, 120.0),
        ["2", "3", "4", "5", "6", "7", "8"]
    );
    assert!(log_labels(0.2, 0.8, 60.0).len() >= 3);
    assert_eq!(
        log_labels(300.0, 303.0, 120.0).first().map(String::as_str),
        Some("300.0")
    );
    assert!(log_labels(300.0, 300.01, 120.0).len() >= 3);
}

#[test]
fn many_decades_are_thinned_on_round_exponents() {
    let labels = log_labels(1e-12, 1e12, 120.0);
    assert_eq!(
        labels,
        [
            "10⁻¹²",
            "10⁻¹⁰",
            "10⁻⁸",
            "10⁻⁶",
            "0.0001",
            "0.01",
            "1",
            "100",
            "10000",
            "10⁶",
            "10⁸",
            "10¹⁰",
            "10¹²"
        ]
    );
    assert!(log_labels(1e-300, 1e300, 120.0).len() >= 3);
}

#[test]
fn neighbouring_labels_keep_their_distance() {
    for tenths in 1..400 {
        let span = f64::from(tenths) / 10.0;
        let room = Room {
            length: 120.0,
            gap: 9.0,
        };
        for lo in [-3.7, -1.0, 0.3, 2.05] {
            let at: Vec<f64> = log_ticks(lo, lo + span, room)
                .into_iter()
                .filter(|t| t.label.is_some())
                .map(|t| (t.value.log10() - lo) / span * 120.0)
                .collect();
            // Evenly divided short ranges may fall a little short where no round step fits.
            let least = if span < 1.5 { 6.0 } else { 8.99 };
            assert!(
                at.windows(2).all(|p| p[1] - p[0] >= least),
                "{lo} {span}: {at:?}"
            );
            assert!(at.len() >= 2, "{lo} {span}: {at:?}");
        }
    }
}

#[test]
fn linear_labels_are_exact() {
    assert_eq!(
        linear_labels(-0.4, 0.4),
        [
            "−0.4", "−0.3", "−0.2", "−0.1", "0", "0.1", "0.2", "0.3", "0.4"
        ]
        .map(|l| l.to_string())[..]
            .to_vec()
    );
    assert_eq!(
        linear_labels(0.996, 1.004),
        [
            "0.996", "0.997", "0.998", "0.999", "1.000", "1.001", "1.002", "1.003", "1.004"
        ]
    );
    assert_eq!(
        linear_labels(0.0, 100.0),
        ["0", "20", "40", "60", "80", "100"]
    );
}

#[test]
fn what_is_no_range_gets_no_lines() {
    let room = Room {
        length: 100.0,
        gap: 10.0,
    };
    for (lo, hi) in [
        (1.0, 1.0),
        (2.0, 1.0),
        (f64::NAN, 1.0),
        (0.0, f64::INFINITY),
    ] {
        assert!(linear_ticks(lo, hi, room).is_empty());
        assert!(log_ticks(lo, hi, room).is_empty());
    }
    assert!(
        log_ticks(
            0.0,
            1.0,
            Room {
                length: 0.0,
                gap: 1.0
            }
        )
        .is_empty()
    );
}

#[test]
fn stops_enclose_their_value() {
    let stops = |v: f64| {
        (
            10f64.powf(stop_below(v.log10())),
            10f64.powf(stop_above(v.log10())),
        )
    };
    for (value, below, above) in [
        (3.0, 2.0, 5.0),
        (7.0, 5.0, 10.0),
        (0.0131, 0.01, 0.02),
        (200.0, 200.0, 200.0),
    ] {
        let (lo, hi) = stops(value);
        assert!(
            (lo / below - 1.0).abs() < 1e-9 && (hi / above - 1.0).abs() < 1e-9,
            "{value} {lo} {hi}"
        );
    }
}

#[test]
fn steps_round_up_to_one_two_five() {
    for (wish, size) in [
        (0.9, 1.0),
        (1.0, 1.0),
        (1.1, 2.0),
        (2.1, 5.0),
        (5.1, 10.0),
        (0.03, 0.05),
    ] {
        assert!(
            (Step::at_least(wish).size() / size - 1.0).abs() < 1e-12,
            "{wish}"
        );
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
        assert_eq!(number(mantissa, exponent), text);
    }
}
