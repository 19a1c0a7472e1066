use super::Seen;
use crate::derive::testing::{Derivation, near};

const UNIT: &str = "frequency: 50 Hz\nphase: L1\n[core S]\nmarks: S1 S2\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\n\
    [visit 2026-01-05]\npurpose: after energising\n";

fn seen(section: &str) -> Seen {
    Derivation::of(&format!("{UNIT}{section}")).derived.load
}

fn degrees(value: f64) -> f64 {
    value.to_degrees()
}

const ROWS: &str = "core | at | phase | current/A | angle/deg\n";

/// Own arithmetic, by Python's cmath: sum of 0.50 at -10, 0.48 at -131, 0.46 at 113 deg is
/// 0.0377 at -84.3 deg, 7.85 % of their mean 0.48 A; a neutral of 0.10 A is 20.83 %, 12.98 % more.
#[test]
fn three_phasors_and_what_they_leave() {
    let seen = seen(&format!(
        "[load]\nprimary current: 300 A\nprimary angle: -8 deg\nangles: leading\n{ROWS}\
         S | F | L1 | 0.50 | -10\nS | F | L2 | 0.48 | -131\nS | F | L3 | 0.46 | 113\nS | F | N | 0.10 | 90\n"
    ));
    let [three] = seen.three.as_slice() else {
        panic!("{seen:?}")
    };
    let by_hand = |r: f64, deg: f64| {
        let angle = deg / 180.0 * std::f64::consts::PI;
        (r * angle.cos(), r * angle.sin())
    };
    let parts = [
        by_hand(0.50, -10.0),
        by_hand(0.48, -131.0),
        by_hand(0.46, 113.0),
    ];
    let (x, y) = parts
        .iter()
        .fold((0.0, 0.0), |(x, y), (a, b)| (x + a, y + b));
    near(three.sum.si, x.hypot(y), 1e-12);
    let neutral = three.neutral.unwrap();
    near(neutral.spill.si, 0.10 / 0.48 * 100.0, 1e-12);
    near(neutral.off.si, (0.10 - x.hypot(y)) / 0.48 * 100.0, 1e-9);
    // 121 deg behind, and 237.
    near(degrees(three.behind[0].si), 1.0, 1e-9);
    near(degrees(three.behind[1].si), -3.0, 1e-9);
    near(three.share.unwrap().si, 46.0, 1e-12);
    // Of the own phase alone.
    let turned: Vec<f64> = seen.turned.iter().map(|one| degrees(one.off.si)).collect();
    near(turned[0], -2.0, 1e-9);
    assert_eq!(turned.len(), 1);
    // 0.5 A are expected in each phase, and nothing is said of the neutral.
    let off: Vec<f64> = seen.ratios.iter().map(|one| one.deviation.si).collect();
    assert_eq!(off.len(), 3);
    near(off[1], -4.0, 1e-9);
}

#[test]
fn angles_that_lag_are_the_same_the_other_way_round() {
    let of = |sense: &str, sign: f64| {
        let rows: String = [("L1", -10.0), ("L2", -131.0), ("L3", 113.0)]
            .map(|(phase, angle)| format!("S | F | {phase} | 0.5 | {}\n", sign * angle))
            .concat();
        let seen = seen(&format!("[load]\nangles: {sense}\n{ROWS}{rows}"));
        seen.three[0].behind.map(|value| degrees(value.si))
    };
    for (lead, lag) in of("leading", 1.0).into_iter().zip(of("lagging", -1.0)) {
        near(lead, lag, 1e-9);
    }
}

#[test]
fn one_driven_phase_has_no_order_and_its_neutral_carries_all() {
    let rows = "core | at | phase | current/A | angle/deg\nS | F | L1 | 0.50 | 0\nS | F | L2 | 0.00 | 0\nS | F | L3 | 0.00 | 0\nS | F | N | 0.50 | 0\n";
    let seen = seen(&format!(
        "[load]\nmethod: primary injection\nprimary current: 300 A\n{rows}"
    ));
    assert!(seen.three.is_empty());
    let places: Vec<usize> = seen.ratios.iter().map(|one| one.row).collect();
    assert_eq!(places, [0, 3]);
}

/// What is between two directions is the shorter way, on either side of half a turn.
#[test]
fn a_direction_lies_within_half_a_turn() {
    for (angle, primary, off) in [
        (170.0, -170.0, -20.0),
        (-179.0, 179.0, 2.0),
        (350.0, 0.0, -10.0),
    ] {
        let seen = seen(&format!(
            "[load]\nprimary current: 300 A\nprimary angle: {primary} deg\ncore | current/A | angle/deg\nS | 0.5 | {angle}\n"
        ));
        near(degrees(seen.turned[0].off.si), off, 1e-9);
    }
}

proptest::proptest! {
    /// Another reference turns all angles, a clamp of another scale makes all currents more: what the phases are
    /// to each other, and the neutral to them, stays.
    #[test]
    fn what_phases_are_to_each_other_stays(turn in -180.0..180.0_f64, scale in 0.5..2.0_f64) {
        let of = |turn: f64, scale: f64| {
            let rows: String = [("L1", 0.50, -10.0), ("L2", 0.48, -131.0), ("L3", 0.46, 113.0), ("N", 0.10, 0.0)]
                .map(|(phase, current, angle)| {
                    format!("S | F | {phase} | {:.9} | {:.9}\n", scale * current, angle + turn)
                })
                .concat();
            let key = format!("primary angle: {:.9} deg\n", turn - 8.0);
            seen(&format!("[load]\nprimary current: 300 A\n{key}angles: leading\n{ROWS}{rows}"))
        };
        let (one, other) = (of(0.0, 1.0), of(turn, scale));
        let told = |seen: &Seen| {
            let three = &seen.three[0];
            let neutral = three.neutral.unwrap();
            let [second, third] = three.behind;
            [second, third, neutral.spill, neutral.off, seen.turned[0].off].map(|value| value.si)
        };
        for (one, other) in told(&one).into_iter().zip(told(&other)) {
            near(other, one, 1e-5);
        }
        near(other.three[0].sum.si, scale * one.three[0].sum.si, 1e-5);
    }
}
