//! Marks at points, told apart in black-and-white print too.

use plotters::element::{Drawable, PointCollection};
use plotters::style::ShapeStyle;
use plotters_backend::{BackendCoord, DrawingBackend, DrawingErrorKind};

/// A mark at a point, about 2 mm wide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    Circle,
    Square,
    Triangle,
    Diamond,
    /// A triangle on its tip.
    Down,
    Plus,
    Cross,
    /// A larger square with a cross in it: a point that is asked for.
    Target,
}

/// The shapes of curves that have no shape of their own, in their order.
pub(super) const SHAPES: [Shape; 7] = [
    Shape::Circle,
    Shape::Square,
    Shape::Triangle,
    Shape::Diamond,
    Shape::Down,
    Shape::Plus,
    Shape::Cross,
];

const RADIUS: u32 = 85;

impl Shape {
    /// The strokes of the mark, hundredths of a millimetre from its point.
    fn strokes(self) -> &'static [&'static [BackendCoord]] {
        match self {
            Self::Circle => &[],
            Self::Square => &[&[(-75, -75), (75, -75), (75, 75), (-75, 75), (-75, -75)]],
            Self::Triangle => &[&[(0, -110), (100, 60), (-100, 60), (0, -110)]],
            Self::Diamond => &[&[(0, -110), (110, 0), (0, 110), (-110, 0), (0, -110)]],
            Self::Down => &[&[(0, 110), (100, -60), (-100, -60), (0, 110)]],
            Self::Plus => &[&[(-110, 0), (110, 0)], &[(0, -110), (0, 110)]],
            Self::Cross => &[&[(-80, -80), (80, 80)], &[(80, -80), (-80, 80)]],
            Self::Target => &[
                &[
                    (-120, -120),
                    (120, -120),
                    (120, 120),
                    (-120, 120),
                    (-120, -120),
                ],
                &[(-120, -120), (120, 120)],
                &[(120, -120), (-120, 120)],
            ],
        }
    }
}

/// A shape at a point, as an element of plotters.
pub(super) struct Stamp<Coord> {
    pub at: Coord,
    pub shape: Shape,
    pub style: ShapeStyle,
}

impl<'a, Coord> PointCollection<'a, Coord> for &'a Stamp<Coord> {
    type Point = &'a Coord;
    type IntoIter = std::iter::Once<&'a Coord>;

    fn point_iter(self) -> Self::IntoIter {
        std::iter::once(&self.at)
    }
}

impl<Coord, DB: DrawingBackend> Drawable<DB> for Stamp<Coord> {
    fn draw<I: Iterator<Item = BackendCoord>>(
        &self,
        points: I,
        backend: &mut DB,
        _: (u32, u32),
    ) -> Result<(), DrawingErrorKind<DB::ErrorType>> {
        for (x, y) in points {
            if self.shape == Shape::Circle {
                backend.draw_circle((x, y), RADIUS, &self.style, false)?;
            }
            for stroke in self.shape.strokes() {
                let placed = stroke.iter().map(|(dx, dy)| (x + dx, y + dy));
                backend.draw_path(placed, &self.style)?;
            }
        }
        Ok(())
    }
}
