//! Series of points: what can be drawn of them, and how.

use super::Series;
use super::axis::Scale;
use super::figure::Figure;
use super::look::Look;
use super::place::Ground;

/// Marks on a dense curve keep this distance, hundredths of a millimetre.
const APART: i32 = 700;

/// Whether both values have a place on their axes.
pub(super) fn drawable((x, y): (f64, f64), xs: Scale, ys: Scale) -> bool {
    xs.position(x).is_some() && ys.position(y).is_some()
}

/// Drops the points that have no place on the axes; gives their number.
pub(super) fn clean_points(points: &mut Vec<(f64, f64)>, xs: Scale, ys: Scale) -> usize {
    let before = points.len();
    points.retain(|p| drawable(*p, xs, ys));
    before - points.len()
}

/// Draws a series as a line with marks and puts it in the key.
pub(super) fn draw_series(figure: &mut Figure, ground: &mut Ground, series: &Series, look: &Look) {
    if series.points.is_empty() {
        return;
    }
    figure.curve(look.class, look.dash, &series.points);
    let marked = spaced(figure, &series.points);
    figure.stamps(look.class, look.shape, &marked);
    ground.curve(&series.points);
    figure
        .key
        .entry(look.class, Some(look.dash), Some(look.shape), &series.name);
}

/// The points that carry a mark: all of a few, some of many.
fn spaced(figure: &Figure, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    if points.len() <= 30 {
        return points.to_vec();
    }
    let mut last: Option<(i32, i32)> = None;
    let mut kept = Vec::new();
    for point in points {
        let at = figure.frame.place(*point);
        if last.is_none_or(|l| (l.0 - at.0).abs().max((l.1 - at.1).abs()) >= APART) {
            kept.push(*point);
            last = Some(at);
        }
    }
    kept
}
