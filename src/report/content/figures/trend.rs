//! A value over the years: what was read, the straight line through it, and the limit that it leads to.

use super::super::Ctx;
use super::{Figure, Kind, Placed, axis, line};
use crate::chart::{Axes, Curve, Hand, Marks, Pen, Points, Range};
use crate::compare::{Drift, in_years};
use crate::derive::history::By;
use crate::judge::finding::Unit;
use crate::judge::verdict::expanded;
use crate::report::rows::Row;

/// Years that the line is drawn on.
const ON: f64 = 2.0;
/// A limit that lies further off is told in words.
const FURTHEST: f64 = 30.0;

impl Ctx<'_> {
    /// The chart of a value that drifts, with its SVG; they are numbered.
    pub(in super::super) fn trend(&self, row: &Row, number: usize) -> Option<(Placed, String)> {
        let (drift, unit) = (row.beside.drift.as_ref()?, row.unit?);
        let day = |visit: usize| Some(in_years(self.record.visits.get(visit)?.date.value));
        let mut read = Points::new();
        let mut spread = Vec::new();
        for (visit, value) in &drift.readings {
            let (at, u) = (day(*visit)?, expanded(self.w, *value, self.criteria)?);
            let to = |si: f64| (at, si * unit.per_si);
            read.push(to(value.si));
            // On a logarithmic axis nothing is drawn at zero.
            let least = match drift.by {
                By::Times => (value.si - u).max(0.1 * value.si),
                By::Difference | By::Percent => value.si - u,
            };
            let ends = vec![to(least), to(value.si + u)];
            spread.push(line("", Pen::Main, ends, Marks::None));
        }
        let (first, last) = (read.first()?.0, read.last()?.0);
        let fitted = fitted(drift, unit, (first, last));
        let end = fitted.last()?.0;
        let mut curves = vec![
            line("read, with ± U", Pen::Main, read, Marks::Along),
            line(
                "straight line, if it goes on",
                Pen::Second,
                fitted,
                Marks::None,
            ),
        ];
        curves.extend(drift.target.map(|target| {
            let level = drift.by.valued(target) * unit.per_si;
            let name = self.phrase(&row.limit).letters();
            let rises = drift.line.slope > 0.0;
            Curve {
                off: Some(if rises { Hand::Left } else { Hand::Right }),
                ..line(
                    name,
                    Pen::Limit,
                    vec![(first, level), (end, level)],
                    Marks::None,
                )
            }
        }));
        curves.extend(spread);
        let all = || curves.iter().flat_map(|curve| &curve.line).map(|at| at.1);
        let range = match drift.by {
            By::Times => Range::Log {
                from: all().fold(f64::INFINITY, f64::min),
                to: all().fold(0.0, f64::max),
            },
            By::Difference | By::Percent => {
                Range::Holding(*curves.first()?.line.first().map(|at| &at.1)?)
            }
        };
        let name = self.phrase(&row.full_name()).letters();
        let subject = self.phrase(&row.subject).letters();
        let title = format!("{subject}: {name}");
        let description = format!("{} readings over the years.", drift.readings.len());
        let axes = Axes::Plain {
            x: axis("year", Range::Tight, None),
            y: axis(format!("value / {}", unit.word), range, None),
        };
        let figure = Figure::new(Kind::Trend, title, description, axes, curves);
        Some(figure.placed(format!("{}trend-{number}", self.prefix)))
    }
}

/// The line from the first year on, through the last, to where it has passed its limit.
pub(super) fn fitted(drift: &Drift, unit: Unit, (first, last): (f64, f64)) -> Points {
    let line = &drift.line;
    let at = |year: f64| {
        let value = drift.by.valued(line.at(year - first));
        (year, value * unit.per_si)
    };
    let reached = drift
        .target
        .map(|target| first + line.reaches(target, line.slope));
    let end = reached
        .map_or(last, |reached| reached.min(last + FURTHEST))
        .max(last)
        + ON;
    [first, last, end].map(at).to_vec()
}
