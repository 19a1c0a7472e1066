//! Marks at points, told apart in black-and-white print too.

use plotters::element::{Drawable, PointCollection};
use plotters::style::ShapeStyle;
use plotters_backend::{BackendCoord, DrawingBackend, DrawingErrorKind};

/// A mark at a point, about 1.5 mm wide.
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
    /// A point to keep to the left of, with strokes on its right; and so on.
    WallRight,
    WallLeft,
    WallBelow,
    /// A point on a curve, larger than the curve's own marks.
    Ring,
    /// Nothing: the label alone.
    Bare,
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

const RADIUS: u32 = 60;

impl Shape {
    /// The strokes of the mark, hundredths of a millimetre from its point.
    fn strokes(self) -> &'static [&'static [BackendCoord]] {
        match self {
            Self::Circle | Self::Ring | Self::Bare => &[],
            Self::Square => &[&[(-53, -53), (53, -53), (53, 53), (-53, 53), (-53, -53)]],
            Self::Triangle => &[&[(0, -78), (70, 43), (-70, 43), (0, -78)]],
            Self::Diamond => &[&[(0, -88), (88, 0), (0, 88), (-88, 0), (0, -88)]],
            Self::Down => &[&[(0, 78), (70, -43), (-70, -43), (0, 78)]],
            Self::Plus => &[&[(-78, 0), (78, 0)], &[(0, -78), (0, 78)]],
            Self::Cross => &[&[(-57, -57), (57, 57)], &[(57, -57), (-57, 57)]],
            Self::WallRight => &[
                &[(0, -150), (0, 150)],
                &[(-60, 0), (0, 0)],
                &[(0, -110), (75, -35)],
                &[(0, 0), (75, 75)],
                &[(0, 110), (75, 185)],
            ],
            Self::WallLeft => &[
                &[(0, -150), (0, 150)],
                &[(0, 0), (60, 0)],
                &[(0, -110), (-75, -35)],
                &[(0, 0), (-75, 75)],
                &[(0, 110), (-75, 185)],
            ],
            Self::WallBelow => &[
                &[(-150, 0), (150, 0)],
                &[(0, -60), (0, 0)],
                &[(-110, 0), (-185, 75)],
                &[(0, 0), (-75, 75)],
                &[(110, 0), (35, 75)],
            ],
        }
    }

    /// How far the mark reaches from its point.
    pub(super) fn reach(self) -> i32 {
        match self {
            Self::WallRight | Self::WallLeft | Self::WallBelow => 190,
            Self::Bare => 0,
            Self::Ring => 130,
            _ => 95,
        }
    }

    /// Whether the mark is a limit.
    pub(super) fn is_wall(self) -> bool {
        matches!(self, Self::WallRight | Self::WallLeft | Self::WallBelow)
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
            let radius = match self.shape {
                Shape::Circle => Some(RADIUS),
                Shape::Ring => Some(2 * RADIUS),
                _ => None,
            };
            if let Some(radius) = radius {
                backend.draw_circle((x, y), radius, &self.style, false)?;
            }
            for stroke in self.shape.strokes() {
                let placed = stroke.iter().map(|(dx, dy)| (x + dx, y + dy));
                backend.draw_path(placed, &self.style)?;
            }
        }
        Ok(())
    }
}
