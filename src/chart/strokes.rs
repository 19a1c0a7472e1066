//! Short strokes along a limit, on the side to keep off: they tell it in grey print too.

use plotters_backend::BackendCoord;

use super::pen::{FULL, Pen};
use super::plot::{self, Drawn, Sheet};
use super::space::Space;

/// Distance of two strokes along the line, hundredths of a millimetre.
const PITCH: f64 = 220.0;
/// How far a stroke reaches along the line and away from it.
const REACH: f64 = 85.0;

/// A side of a line, seen along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    Left,
    Right,
}

/// Draws the strokes of a line, and notes where they are.
pub(super) fn draw(
    sheet: &Sheet<'_>,
    space: &mut Space,
    line: &[BackendCoord],
    off: Hand,
) -> Drawn<()> {
    for stroke in strokes(line, off) {
        let [from, to] = stroke;
        space.line(from, to);
        plot::line(sheet, stroke, Pen::Limit.line(FULL).stroke_width(18))?;
    }
    Ok(())
}

/// Strokes at even distances along a line.
pub(super) fn strokes(line: &[BackendCoord], off: Hand) -> Vec<[BackendCoord; 2]> {
    let mut all = Vec::new();
    let mut next = PITCH / 2.0;
    for pair in line.windows(2) {
        let [from, to] = pair else { continue };
        let [from, to] = [from, to].map(|(x, y)| (f64::from(*x), f64::from(*y)));
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = (dx * dx + dy * dy).sqrt();
        if length == 0.0 {
            continue;
        }
        let (ux, uy) = (dx / length, dy / length);
        // The upright axis of a sheet points down, so the right hand is a quarter turn clockwise.
        let (nx, ny) = match off {
            Hand::Right => (-uy, ux),
            Hand::Left => (uy, -ux),
        };
        while next <= length {
            let at = (from.0 + ux * next, from.1 + uy * next);
            let end = (at.0 + REACH * (nx - ux), at.1 + REACH * (ny - uy));
            all.push([at, end].map(|(x, y)| (x.round() as i32, y.round() as i32)));
            next += PITCH;
        }
        next -= length;
    }
    all
}
