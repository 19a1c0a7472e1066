//! The range of a log-log chart whose decades are equally long both ways.

use super::axis::{Axis, Scale};
use super::ticks::{stop_above, stop_below};

/// Length of the level axis, millimetres.
const ACROSS: f64 = 120.0;
/// Least and greatest length of the upright axis, millimetres.
const DOWN: (f64, f64) = (66.0, 150.0);
/// Lengths of a decade that a ruler reads easily, millimetres.
const LENGTHS: [f64; 16] = [
    60.0, 50.0, 40.0, 30.0, 25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0,
];
/// Least distance of a point from the frame, decades.
const MARGIN: f64 = 0.03;
/// Ranges of a chart without points: 0.001 to 1 A, 1 to 100 V.
const EMPTY: [(f64, f64); 2] = [(-3.0, 0.0), (0.0, 2.0)];

/// Two logarithmic axes of one scale.
#[derive(Clone, Copy, Debug)]
pub(super) struct Decades {
    pub x: Axis,
    pub y: Axis,
    /// Length of a decade, millimetres.
    pub decade: f64,
    /// Length of the upright axis, millimetres.
    pub height: f64,
}

/// Length of the level axis, millimetres.
pub(super) const WIDTH: f64 = ACROSS;

/// Axes that hold all the points (which must be positive and finite).
pub(super) fn equal_decades(points: impl Iterator<Item = (f64, f64)> + Clone) -> Decades {
    let [x, y] = [
        span(points.clone().map(|p| p.0)).unwrap_or(EMPTY[0]),
        span(points.map(|p| p.1)).unwrap_or(EMPTY[1]),
    ];
    let fits = |length: &f64| {
        (x.1 - x.0) * length <= ACROSS + 1e-6 && (y.1 - y.0) * length <= DOWN.1 + 1e-6
    };
    let tight = (ACROSS / (x.1 - x.0)).min(DOWN.1 / (y.1 - y.0));
    let decade = LENGTHS.into_iter().find(fits).unwrap_or(tight);
    // The level axis is always as long as the sheet is wide; what is over lies to the right,
    // where the labels of a curve that has bent over find room.
    let x = (x.0, x.0 + ACROSS / decade);
    let y = filled(y, DOWN.0 / decade);
    let height = (y.1 - y.0) * decade;
    let axis = |(lo, hi)| Axis {
        scale: Scale::Log,
        lo,
        hi,
    };
    Decades {
        x: axis(x),
        y: axis(y),
        decade,
        height,
    }
}

fn span(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let mut span: Option<(f64, f64)> = None;
    for log in values.filter_map(|v| Scale::Log.position(v)) {
        let (lo, hi) = span.unwrap_or((log, log));
        span = Some((lo.min(log), hi.max(log)));
    }
    span.map(|(lo, hi)| (stop_below(lo - MARGIN), stop_above(hi + MARGIN)))
}

/// Widens a range to at least `least` decades, by whole stops in turn at the upper and lower end.
fn filled((mut lo, mut hi): (f64, f64), least: f64) -> (f64, f64) {
    let mut lower = true;
    for _ in 0..40 {
        if hi - lo >= least {
            break;
        }
        if lower {
            lo = stop_below(lo - 0.05);
        } else {
            hi = stop_above(hi + 0.05);
        }
        lower = !lower;
    }
    (lo, hi)
}
