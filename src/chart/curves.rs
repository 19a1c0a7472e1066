//! Curves: their dashes and marks, their lines on the plot, their lines in the key.

use plotters::element::PathElement;
use plotters_backend::BackendCoord;

use super::key::{Entry, Sample};
use super::layout::Layout;
use super::pen::Dash;
use super::plot::{Drawn, Sheet};
use super::space::Space;
use super::stamp::{SHAPES, Shape, Stamp};
use super::{Chart, Marks, strokes};

/// Marks on a dense line keep this distance.
const APART: i32 = 450;

/// How a curve is drawn: the dash tells the pen's curves apart, the mark all of them.
pub(super) struct Look {
    dash: Dash,
    shape: Option<Shape>,
    /// The places of its line and of its marks.
    path: Vec<BackendCoord>,
    marked: Vec<BackendCoord>,
}

impl Chart {
    pub(super) fn looks(&self, layout: &Layout) -> Vec<Look> {
        let places = |points: &[(f64, f64)]| -> Vec<BackendCoord> {
            points.iter().map(|at| layout.place(*at)).collect()
        };
        let mut looks: Vec<Look> = Vec::new();
        for (index, curve) in self.curves.iter().enumerate() {
            // A curve without a name goes with the one before it.
            let before = self.curves.iter().take(index);
            let alike = before.filter(|other| !other.name.is_empty() && other.pen == curve.pen);
            let alike = alike.count();
            let n = alike.saturating_sub(usize::from(curve.name.is_empty()));
            let path = places(&curve.line);
            let (shape, marked) = match &curve.marks {
                Marks::None => (None, Vec::new()),
                Marks::At(shape, points) => (Some(*shape), spaced(places(points), 0)),
                Marks::Along => {
                    let shape = SHAPES.iter().cycle().nth(index).copied();
                    (shape, spaced(path.clone(), index))
                }
            };
            looks.push(Look {
                dash: curve.pen.dash(n),
                shape,
                path,
                marked,
            });
        }
        looks
    }

    /// The first curve last, so that it lies on top.
    pub(super) fn draw_curves(
        &self,
        sheet: &Sheet<'_>,
        space: &mut Space,
        looks: &[Look],
    ) -> Drawn<()> {
        for (curve, look) in self.curves.iter().zip(looks).rev() {
            space.curve(look.path.iter().copied());
            if let Some(off) = curve.off {
                strokes::draw(sheet, space, &look.path, off)?;
            }
            if !look.path.is_empty() {
                let style = curve.pen.line(look.dash);
                sheet.draw(&PathElement::new(look.path.as_slice(), style))?;
            }
            if let Some(shape) = look.shape {
                let style = curve.pen.mark();
                for at in look.marked.iter().copied() {
                    space.keep_mark(at, shape);
                    sheet.draw(&Stamp { at, shape, style })?;
                }
            }
        }
        Ok(())
    }

    pub(super) fn entries(&self, looks: &[Look]) -> impl Iterator<Item = Entry> {
        let all = self.curves.iter().zip(looks);
        let named = all.filter(|(curve, _)| !curve.name.is_empty());
        named.map(|(curve, look)| Entry {
            pen: curve.pen,
            sample: match curve.off {
                _ if curve.line.is_empty() => Sample::None,
                Some(_) => Sample::Limit(look.dash),
                None => Sample::Line(look.dash),
            },
            shape: look.shape.filter(|_| !look.marked.is_empty()),
            text: curve.name.clone(),
        })
    }
}

/// The places that carry a mark: all of a few, some of many, those of the `n`-th curve beside those of
/// the one before, so that curves which lie on each other show both.
fn spaced(mut places: Vec<BackendCoord>, n: usize) -> Vec<BackendCoord> {
    let Some(mut last) = places.first().copied().filter(|_| places.len() > 40) else {
        return places;
    };
    let mut wanted = APART * (n % 3) as i32 / 3;
    places.retain(|at| {
        let far = (last.0 - at.0).abs().max((last.1 - at.1).abs()) >= wanted;
        if far {
            (last, wanted) = (*at, APART);
        }
        far
    });
    places
}
