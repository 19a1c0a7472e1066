//! Ratio correction factor over phase angle, with the parallelograms of an IEEE metering class.

use super::{Figure, Kind, Unit, axis, line, mark};
use crate::chart::{Axes, Curve, Hand, Mark, Marks, Pen, Points, Range, Shape};
use crate::derive::kinds::ratio::Run;
use crate::judge::finding::unit::MINUTE_OF_ARC;
use crate::judge::words::rounded;
use crate::standards::{MeteringRow, angle_constant, ieee_metering};
use crate::trade::Pair;

/// Points are told apart by shape.
const SHAPES: [Shape; 4] = [
    Shape::Circle,
    Shape::Square,
    Shape::Triangle,
    Shape::Diamond,
];

impl Unit<'_> {
    pub(super) fn parallelogram(&self, pair: Pair, name: &str, runs: &[&Run]) -> Option<Figure> {
        let points = runs
            .iter()
            .flat_map(|run| run.points.iter().map(move |point| (run, point)));
        let points = points.filter_map(|(run, point)| {
            let percent = rounded(point.percent, 3);
            let label = format!("{percent} %, {}", self.taken(run, runs));
            let minutes = point.phase?.si * MINUTE_OF_ARC.per_si;
            Some((label, (minutes, point.rcf?.si)))
        });
        let marks: Vec<Mark> = points
            .zip(SHAPES.into_iter().cycle())
            .map(|((label, at), shape)| mark(label, String::new(), at, shape, Pen::Main))
            .collect();
        if marks.is_empty() {
            return None;
        }
        let rows = ieee_metering(name).map(|class| class.rows.as_slice());
        let limit = |row: &MeteringRow| {
            self.record.plate.cite(&row.cited)?;
            let told = format!("{name} at {} % of rated current", row.percent);
            let corners = corners(row.tcf_min, row.tcf_max, angle_constant()?.limit);
            Some(Curve {
                off: Some(Hand::Right),
                ..line(told, Pen::Limit, corners, Marks::None)
            })
        };
        let rows = rows.unwrap_or_default().iter();
        let curves: Vec<Curve> = rows.filter_map(limit).collect();
        let minutes = angle_constant().map_or(0.0, |row| row.limit);
        let edges = format!(
            "Edges: RCF, and RCF \u{2212} β/{minutes}, each between the limits of the class (IEEE C57.13); \
             the edges belong to the inside. β is positive when the secondary current leads."
        );
        let edges = (!curves.is_empty()).then_some(edges);
        let around = |title, middle, least| {
            let range = Range::Around { middle, least };
            axis(title, range, Some(middle))
        };
        let title = format!("Metering accuracy, {}, class {name}", self.core_pair(pair));
        let description = format!("{} points with the limits of the class.", marks.len());
        let axes = Axes::Plain {
            x: around("phase angle β / minutes", 0.0, 10.0),
            y: around("ratio correction factor / 1", 1.0, 0.003),
        };
        let figure = Figure::new(Kind::Metering, title, description, axes, curves);
        Some(figure.marked(marks).noted(edges.as_deref()))
    }
}

/// Around the region where RCF and RCF - beta/minutes both lie between the two limits: phase angle in
/// minutes, RCF.
fn corners(lo: f64, hi: f64, minutes: f64) -> Points {
    let reach = minutes * (hi - lo);
    vec![(0.0, lo), (reach, hi), (0.0, hi), (-reach, lo), (0.0, lo)]
}

#[cfg(test)]
mod tests {
    /// Corners of class 0.3 at 100 % of rated current: 2600 x 0.006 = 15.6 minutes (IEEE C57.13,
    /// 5.3, from memory).
    #[test]
    fn the_parallelogram_has_its_published_corners() {
        let ring = super::corners(0.997, 1.003, 2600.0);
        let expected = [
            (0.0, 0.997),
            (15.6, 1.003),
            (0.0, 1.003),
            (-15.6, 0.997),
            (0.0, 0.997),
        ];
        for (corner, right) in ring.iter().zip(expected) {
            assert!(
                (corner.0 - right.0).abs() < 1e-9 && corner.1 == right.1,
                "{corner:?}"
            );
        }
        assert_eq!(ring.len(), expected.len());
    }
}
