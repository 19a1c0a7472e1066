//! Where an axis is ruled and what its lines are called.

use std::sync::LazyLock;

use super::step::{Decimal, SLACK, Step};

/// One grid line; those with a label are drawn stronger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tick {
    pub value: f64,
    pub label: Option<Decimal>,
}

/// The room that an axis has, in millimetres of the natural size.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    /// Length of the axis.
    pub length: f64,
    /// Least distance of two neighbouring labels.
    pub gap: f64,
}

/// Fewer labels than this leave a reader guessing; then the axis is divided evenly in value.
const FEWEST: usize = 3;

/// Lines of a logarithmic axis from `lo` to `hi` (both log10), ascending.
///
/// Decades are labelled (every n-th where they are crowded), 2 and 5 are labelled where they fit,
/// 2 to 9 are light where they fit. A range too short for that gets evenly divided labels. Empty if
/// the range is not ascending and finite.
pub(super) fn log_ticks(lo: f64, hi: f64, room: Room) -> Vec<Tick> {
    if !usable(lo, hi, room) {
        return Vec::new();
    }
    let ticks = decades(lo, hi, room.length / (hi - lo), room.gap);
    let labels = ticks.iter().filter(|tick| tick.label.is_some()).count();
    if labels < FEWEST && hi - lo < 1.5 {
        return within_decade(lo, hi, room);
    }
    ticks
}

fn usable(lo: f64, hi: f64, room: Room) -> bool {
    let span = hi - lo;
    span.is_finite() && span > 0.0 && room.length > 0.0 && room.gap > 0.0
}

/// The digits of a decade with their logarithms.
static DIGITS: LazyLock<[(i32, f64); 9]> = LazyLock::new(|| {
    std::array::from_fn(|at| {
        let digit = at as i32 + 1;
        (digit, libm::log10(f64::from(digit)))
    })
});

fn decades(lo: f64, hi: f64, decade: f64, gap: f64) -> Vec<Tick> {
    let strides = [1, 2, 3, 5, 10, 20, 50, 100, 200];
    let fits = |stride: &i32| f64::from(*stride) * decade >= gap;
    let stride = strides.into_iter().find(fits).unwrap_or(500);
    let between = decade * std::f64::consts::LOG10_2 >= gap;
    let mut ticks = Vec::with_capacity(32);
    for exponent in (lo.floor() as i32)..=(hi.ceil() as i32) {
        let power = libm::exp10(f64::from(exponent));
        for (digit, log) in *DIGITS {
            let at = f64::from(exponent) + log;
            let named =
                exponent % stride == 0 && (digit == 1 || between && [2, 5].contains(&digit));
            let drawn = named || decade >= if digit == 1 { 3.0 } else { 12.0 };
            if drawn && (lo - SLACK..=hi + SLACK).contains(&at) {
                ticks.push(Tick {
                    value: f64::from(digit) * power,
                    label: named.then_some(Decimal {
                        mantissa: i64::from(digit),
                        exponent,
                    }),
                });
            }
        }
    }
    ticks
}

/// Even steps of value on a logarithmic axis that spans less than about a decade.
fn within_decade(lo: f64, hi: f64, room: Room) -> Vec<Tick> {
    let (from, to) = (libm::exp10(lo), libm::exp10(hi));
    let mut wish = (to - from) * room.gap / room.length;
    // The upper end is the crowded one, so the step widens until two labels fit there.
    for _ in 0..12 {
        let step = Step::at_least(wish).size();
        let top = room.length * (hi - libm::log10(to - step)) / (hi - lo);
        if top >= room.gap || step * 2.0 > to - from {
            break;
        }
        wish = step * 1.01;
    }
    let mut ticks = even(from, to, Step::at_least(wish));
    ticks.retain(|tick| tick.value > 0.0);
    ticks
}

/// Lines of a linear axis: labelled ones at steps of 1, 2 or 5 times a power of ten, light ones
/// between. Empty if the range is not ascending and finite.
pub(super) fn linear_ticks(lo: f64, hi: f64, room: Room) -> Vec<Tick> {
    if !usable(lo, hi, room) {
        return Vec::new();
    }
    even(lo, hi, Step::at_least((hi - lo) * room.gap / room.length))
}

fn even(lo: f64, hi: f64, step: Step) -> Vec<Tick> {
    let size = step.size();
    let parts: i64 = if step.digit == 2 { 4 } else { 5 };
    let (first, last) = ((lo / size - SLACK).ceil(), (hi / size + SLACK).floor());
    if !(first.abs() < 1e15 && last.abs() < 1e15 && last - first < 500.0) {
        return Vec::new();
    }
    let slack = SLACK * size;
    let all = (first as i64 - 1) * parts..(last as i64 + 1) * parts;
    let tick = |n: i64| {
        let (count, part) = (n.div_euclid(parts), n.rem_euclid(parts));
        Tick {
            value: (count as f64 + part as f64 / parts as f64) * size,
            label: (part == 0).then(|| step.times(count)),
        }
    };
    let inside = |tick: &Tick| (lo - slack..=hi + slack).contains(&tick.value);
    all.map(tick).filter(inside).collect()
}
