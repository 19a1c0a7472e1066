//! The range of a log-log chart whose decades are equally long both ways.

use super::range::ends;
use super::ruler::Scale;
use super::step::{stop_above, stop_below};

/// Length of a level axis at least, millimetres: what the widest labels leave of the sheet.
const ACROSS: f64 = 66.0;
/// Least and greatest length of the upright axis, millimetres.
const DOWN: (f64, f64) = (40.0, 90.0);
/// Lengths of a decade that a ruler reads easily, millimetres.
const LENGTHS: [f64; 13] = [
    30.0, 25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0,
];
/// Least distance of a point from the frame, decades.
const MARGIN: f64 = 0.03;
/// Range of an axis without points, log10.
const EMPTY: (f64, f64) = (-2.0, 0.0);

/// Two logarithmic axes of one scale, as log10 of their values.
#[derive(Clone, Copy, Debug)]
pub(super) struct Decades {
    pub x: (f64, f64),
    pub y: (f64, f64),
    /// Length of a decade, millimetres.
    pub decade: f64,
    /// Length of the upright axis, millimetres.
    pub height: f64,
}

/// The longest decade in millimetres at which each of several charts holds its points.
pub fn common_decade<'p>(charts: impl IntoIterator<Item = &'p [(f64, f64)]>) -> Option<f64> {
    let each = charts.into_iter();
    let each = each.map(|points| equal_decades(points, ACROSS, None).decade);
    each.min_by(f64::total_cmp)
}

/// Axes that hold all the points; those without a place on them are passed over. The level axis is
/// `across` millimetres long, and a decade at most as long as given.
pub(super) fn equal_decades(points: &[(f64, f64)], across: f64, most: Option<f64>) -> Decades {
    let x = span(points.iter().map(|point| point.0));
    let y = span(points.iter().map(|point| point.1));
    let fits = |length: &f64| {
        (x.1 - x.0) * length <= across + 1e-6 && (y.1 - y.0) * length <= DOWN.1 + 1e-6
    };
    let tight = (across / (x.1 - x.0)).min(DOWN.1 / (y.1 - y.0));
    let mut lengths = most.into_iter().chain(LENGTHS);
    let wished = |length: &f64| fits(length) && most.is_none_or(|most| *length <= most);
    let decade = lengths.find(wished).unwrap_or(tight);
    let y = filled(y, DOWN.0 / decade);
    Decades {
        // The level axis is always as long as the sheet is wide; what is over lies to the right,
        // where the labels of a curve that has bent over find room.
        x: (x.0, x.0 + across / decade),
        y,
        decade,
        height: (y.1 - y.0) * decade,
    }
}

fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let logs = values.filter_map(|value| Scale::Log.position(value));
    ends(logs).map_or(EMPTY, |(lo, hi)| {
        (stop_below(lo - MARGIN), stop_above(hi + MARGIN))
    })
}

/// Widens a range to at least `least` decades, by whole stops in turn at the lower and upper end.
fn filled((mut lo, mut hi): (f64, f64), least: f64) -> (f64, f64) {
    for turn in 0..40 {
        if hi - lo >= least {
            break;
        }
        if turn % 2 == 0 {
            lo = stop_below(lo - 0.05);
        } else {
            hi = stop_above(hi + 0.05);
        }
    }
    (lo, hi)
}
