//! Curves: their dashes and marks, their lines on the plot, their lines in the key.

use plotters::series::LineSeries;

use super::key::{Entry, Sample};
use super::pen::Dash;
use super::plot::{Drawn, Plot, Sheet};
use super::space::Space;
use super::stamp::{SHAPES, Shape, Stamp};
use super::{Chart, Marks, Points, strokes};

/// Marks on a dense line keep this distance.
const APART: i32 = 450;

/// How a curve is drawn: the dash tells the pen's curves apart, the mark all of them.
pub(super) struct Look {
    dash: Dash,
    shape: Option<Shape>,
    marked: Points,
}

impl Chart {
    pub(super) fn looks(&self, plot: &Plot<'_>) -> Vec<Look> {
        let mut looks: Vec<Look> = Vec::new();
        for (index, curve) in self.curves.iter().enumerate() {
            // A curve without a name goes with the one before it.
            let before = self.curves.iter().take(index);
            let alike = before.filter(|other| !other.name.is_empty() && other.pen == curve.pen);
            let alike = alike.count();
            let n = alike.saturating_sub(usize::from(curve.name.is_empty()));
            let (shape, marked) = match &curve.marks {
                Marks::None => (None, Points::new()),
                Marks::At(shape, points) => (Some(*shape), spaced(plot, points, 0)),
                Marks::Along => {
                    let shape = SHAPES.iter().cycle().nth(index).copied();
                    (shape, spaced(plot, &curve.line, index))
                }
            };
            looks.push(Look {
                dash: curve.pen.dash(n),
                shape,
                marked,
            });
        }
        looks
    }

    /// The first curve last, so that it lies on top.
    pub(super) fn draw_curves(
        &self,
        sheet: &Sheet<'_>,
        plot: &mut Plot<'_>,
        space: &mut Space,
        looks: &[Look],
    ) -> Drawn<()> {
        for (curve, look) in self.curves.iter().zip(looks).rev() {
            let path: Vec<_> = curve.line.iter().map(|at| plot.backend_coord(at)).collect();
            space.curve(path.iter().copied());
            if let Some(off) = curve.off {
                strokes::draw(sheet, space, &path, off)?;
            }
            if !curve.line.is_empty() {
                let line = curve.line.iter().copied();
                plot.draw_series(LineSeries::new(line, curve.pen.line(look.dash)))?;
            }
            if let Some(shape) = look.shape {
                let style = curve.pen.mark();
                let places = look.marked.iter().map(|at| plot.backend_coord(at));
                places.for_each(|place| space.keep_mark(place, shape));
                let stamps = look.marked.iter().map(|at| Stamp {
                    at: *at,
                    shape,
                    style,
                });
                plot.draw_series(stamps)?;
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

/// The points that carry a mark: all of a few, some of many, those of the `n`-th curve beside those of
/// the one before, so that curves which lie on each other show both.
fn spaced(plot: &Plot<'_>, points: &[(f64, f64)], n: usize) -> Points {
    if points.len() <= 40 {
        return points.to_vec();
    }
    let places = points.iter().map(|point| plot.backend_coord(point));
    let places: Vec<(i32, i32)> = places.collect();
    let Some(mut last) = places.first().copied() else {
        return Points::new();
    };
    let mut wanted = APART * (n % 3) as i32 / 3;
    let mut kept = Points::new();
    for (point, at) in points.iter().zip(places) {
        if (last.0 - at.0).abs().max((last.1 - at.1).abs()) >= wanted {
            kept.push(*point);
            (last, wanted) = (at, APART);
        }
    }
    kept
}
