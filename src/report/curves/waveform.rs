//! Currents over time: the primary current by the rated ratio, and the secondary current.

use super::Waveform;
use super::axis::{Axis, Scale};
use super::figure::{Figure, Ruled};
use super::labels::mark;
use super::look::Shape;
use super::place::{Ground, Side};
use super::series::{clean_points, drawable};
use super::ticks::Step;

const WIDTH: i32 = 12000;
const HEIGHT: i32 = 7200;

impl Waveform {
    /// The chart as an SVG element; `id` starts the ids inside. Times are shown in milliseconds.
    /// Points that are not finite are left out, and a note says how many.
    pub fn svg(&self, id: &str) -> String {
        let mut chart = self.clone();
        let mut skipped =
            to_milliseconds(&mut chart.primary) + to_milliseconds(&mut chart.secondary);
        for mark in &mut chart.marks {
            mark.x *= 1e3;
        }
        chart
            .marks
            .retain(|m| drawable((m.x, m.y), Scale::Linear, Scale::Linear));
        skipped += self.marks.len() - chart.marks.len();
        let (x, y) = (
            Ruled {
                axis: chart.time(),
                title: "time / ms",
                length: WIDTH,
            },
            Ruled {
                axis: chart.current(),
                title: "current / A",
                length: HEIGHT,
            },
        );
        let mut figure = Figure::new(&self.title, &x, &y);
        chart.draw(&mut figure);
        figure.key.skipped(skipped, "without a finite value");
        figure.finish(id, &self.title, &self.description)
    }

    fn points(&self) -> impl Iterator<Item = (f64, f64)> {
        let marks = self.marks.iter().map(|m| (m.x, m.y));
        self.primary
            .iter()
            .chain(&self.secondary)
            .copied()
            .chain(marks)
    }

    fn time(&self) -> Axis {
        let (lo, hi) = span(self.points().map(|p| p.0));
        Axis {
            scale: Scale::Linear,
            lo,
            hi,
        }
    }

    fn current(&self) -> Axis {
        let (lo, hi) = span(self.points().map(|p| p.1).chain([0.0]));
        let room = (hi - lo) * 0.04;
        let (lo, hi) = Step::at_least((hi - lo) / 8.0).round_out(lo - room, hi + room);
        Axis {
            scale: Scale::Linear,
            lo,
            hi,
        }
    }

    fn draw(&self, figure: &mut Figure) {
        let mut ground = Ground::new(figure.frame);
        let f = figure.frame;
        let zero = f.place((f.x.lo, 0.0)).1;
        figure.path(
            "frame",
            r#"stroke-width="20""#,
            &format!("M{} {zero}H{}", f.left, f.right),
        );
        let dashed = "200 90";
        figure.curve("curve-factory", dashed, &self.primary);
        figure.curve("curve-this", "", &self.secondary);
        ground.curve(&self.primary);
        ground.curve(&self.secondary);
        if !self.primary.is_empty() {
            let text = "primary current divided by the rated ratio";
            figure.key.entry("curve-factory", Some(dashed), None, text);
        }
        if !self.secondary.is_empty() {
            figure
                .key
                .entry("curve-this", Some(""), None, "secondary current");
        }
        for one in &self.marks {
            ground.keep_mark(f.place((one.x, one.y)));
        }
        for one in &self.marks {
            mark(
                figure,
                &mut ground,
                one,
                ("knee", Shape::Diamond),
                Side::Any,
            );
        }
    }
}

fn to_milliseconds(points: &mut Vec<(f64, f64)>) -> usize {
    for point in points.iter_mut() {
        point.0 *= 1e3;
    }
    clean_points(points, Scale::Linear, Scale::Linear)
}

/// Least and greatest of the values, never equal; 0 to 1 if there are none.
fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (lo, hi) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| {
        (lo.min(v), hi.max(v))
    });
    if lo > hi {
        return (0.0, 1.0);
    }
    let least = lo.abs().max(hi.abs()).max(1e-290) * 1e-9;
    if hi - lo < least {
        (lo - 0.5 * least.max(1e-3), hi + 0.5 * least.max(1e-3))
    } else {
        (lo, hi)
    }
}
