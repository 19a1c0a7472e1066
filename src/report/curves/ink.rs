//! The drawing backend: what plotters draws becomes the data of one SVG path.
//!
//! One unit is a hundredth of a millimetre, so whole numbers are fine enough and short. Text does
//! not pass through here; the figure writes and escapes it.

use std::fmt::{Error, Write};

use plotters::coord::cartesian::Cartesian2d;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{Drawable, PathElement, PointCollection};
use plotters::style::BLACK;
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
};

use super::axis::Axis;
use super::look::Shape;

type Coord = Cartesian2d<Axis, Axis>;
type Outcome = Result<(), DrawingErrorKind<Error>>;

fn told(result: std::fmt::Result) -> Outcome {
    result.map_err(DrawingErrorKind::DrawingError)
}

/// Points nearer than this to the one before are left out of a curve (0.08 mm).
const FINEST: i32 = 8;

/// Where a plot lies on its sheet, in hundredths of a millimetre, and its two axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    pub left: i32,
    pub top: i32,
    pub right: i32,
    pub bottom: i32,
    pub x: Axis,
    pub y: Axis,
}

impl Frame {
    fn coord(&self) -> Coord {
        Cartesian2d::new(
            self.x,
            self.y,
            (self.left..self.right, self.bottom..self.top),
        )
    }

    /// The place of a point on the sheet.
    pub(super) fn place(&self, point: (f64, f64)) -> (i32, i32) {
        use plotters::coord::CoordTranslate;
        self.coord().translate(&point)
    }

    /// Path data of a curve through the points.
    pub(super) fn curve(&self, points: &[(f64, f64)]) -> String {
        self.draw(|area| area.draw(&PathElement::new(points, BLACK)))
    }

    /// Path data of one mark at each point.
    pub(super) fn stamps(&self, points: &[(f64, f64)], shape: Shape) -> String {
        self.draw(|area| {
            points
                .iter()
                .try_for_each(|at| area.draw(&Stamp { at: *at, shape }))
        })
    }

    fn draw<F, E>(&self, with: F) -> String
    where
        F: FnOnce(&DrawingArea<Ink, Coord>) -> Result<(), E>,
    {
        let mut data = String::new();
        let ink = Ink {
            data: &mut data,
            size: (self.right.unsigned_abs(), self.bottom.unsigned_abs()),
        };
        let area = ink.into_drawing_area().apply_coord_spec(self.coord());
        // Writing to a string cannot fail; a drawing that did is left out whole, never in part.
        let done = with(&area).is_ok();
        drop(area);
        if done { data } else { String::new() }
    }
}

struct Stamp {
    at: (f64, f64),
    shape: Shape,
}

impl<'a> PointCollection<'a, (f64, f64)> for &'a Stamp {
    type Point = &'a (f64, f64);
    type IntoIter = std::iter::Once<&'a (f64, f64)>;
    fn point_iter(self) -> Self::IntoIter {
        std::iter::once(&self.at)
    }
}

impl Drawable<Ink<'_>> for Stamp {
    fn draw<I: Iterator<Item = BackendCoord>>(
        &self,
        mut points: I,
        backend: &mut Ink<'_>,
        _: (u32, u32),
    ) -> Outcome {
        if let Some((x, y)) = points.next() {
            return told(self.shape.write(backend.data, x, y));
        }
        Ok(())
    }
}

/// Collects path data.
pub(super) struct Ink<'a> {
    data: &'a mut String,
    size: (u32, u32),
}

impl Ink<'_> {
    fn path(&mut self, points: impl IntoIterator<Item = BackendCoord>, close: bool) -> Outcome {
        let mut points = points.into_iter();
        let Some(first) = points.next() else {
            return Ok(());
        };
        told(write!(self.data, "M{} {}", first.0, first.1))?;
        let (mut at, mut pending, mut bare) = (first, None, true);
        for point in points {
            let (dx, dy) = (point.0.saturating_sub(at.0), point.1.saturating_sub(at.1));
            if dx.saturating_abs().max(dy.saturating_abs()) < FINEST {
                pending = Some(point);
                continue;
            }
            self.step(dx, dy, &mut bare)?;
            (at, pending) = (point, None);
        }
        if let Some(last) = pending.filter(|last| *last != at) {
            self.step(last.0 - at.0, last.1 - at.1, &mut bare)?;
        }
        // A stroke without length shows as a dot only if it is written as one.
        self.data.push_str(if close {
            "z"
        } else if bare {
            "h0"
        } else {
            ""
        });
        Ok(())
    }

    fn step(&mut self, dx: i32, dy: i32, bare: &mut bool) -> Outcome {
        let lead = if *bare {
            "l"
        } else if dx < 0 {
            ""
        } else {
            " "
        };
        let gap = if dy < 0 { "" } else { " " };
        *bare = false;
        told(write!(self.data, "{lead}{dx}{gap}{dy}"))
    }
}

impl DrawingBackend for Ink<'_> {
    type ErrorType = Error;

    fn get_size(&self) -> (u32, u32) {
        self.size
    }

    fn ensure_prepared(&mut self) -> Outcome {
        Ok(())
    }

    fn present(&mut self) -> Outcome {
        Ok(())
    }

    fn draw_pixel(&mut self, point: BackendCoord, _: BackendColor) -> Outcome {
        self.path([point], false)
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        _: &S,
    ) -> Outcome {
        self.path([from, to], false)
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        _: &S,
    ) -> Outcome {
        self.path(path, false)
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        vert: I,
        _: &S,
    ) -> Outcome {
        self.path(vert, true)
    }

    fn draw_text<T: BackendTextStyle>(&mut self, _: &str, _: &T, _: BackendCoord) -> Outcome {
        Err(DrawingErrorKind::DrawingError(Error))
    }
}
