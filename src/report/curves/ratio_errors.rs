//! Ratio error or phase displacement over the primary current, with the limits of the class.

use super::axis::{Axis, Scale};
use super::figure::{Figure, Ruled, stroke};
use super::look::{Shape, looks};
use super::place::Ground;
use super::series::{clean_points, draw_series};
use super::ticks::{Step, stop_above, stop_below};
use super::{ErrorKind, RatioErrors};

const WIDTH: i32 = 12000;
const HEIGHT: i32 = 7600;
/// The usual range of the level axis: 1 % to 200 % of rated current, as log10.
const USUAL: (f64, f64) = (0.0, 2.301_029_995_663_981);

impl RatioErrors {
    /// The chart as an SVG element; `id` starts the ids inside. Points without a positive current or
    /// a finite error are left out, and a note says how many.
    pub fn svg(&self, id: &str) -> String {
        let mut chart = self.clone();
        let mut skipped = clean_points(&mut chart.envelope, Scale::Log, Scale::Linear);
        for run in &mut chart.runs {
            skipped += clean_points(&mut run.points, Scale::Log, Scale::Linear);
        }
        let (x, y) = (chart.level(), chart.upright());
        let mut figure = Figure::new(&self.title, &x, &y);
        chart.draw(&mut figure);
        figure.key.skipped(skipped, "without a place on the axes");
        figure.finish(id, &self.title, &self.description)
    }

    fn points(&self) -> impl Iterator<Item = (f64, f64)> {
        self.runs
            .iter()
            .flat_map(|run| &run.points)
            .chain(&self.envelope)
            .copied()
    }

    fn level(&self) -> Ruled {
        let (mut lo, mut hi) = USUAL;
        for log in self.points().filter_map(|p| Scale::Log.position(p.0)) {
            lo = if log < lo { stop_below(log) } else { lo };
            hi = if log > hi { stop_above(log) } else { hi };
        }
        // A little room keeps the marks at 1 % off the frame.
        let axis = Axis {
            scale: Scale::Log,
            lo: lo - 0.04,
            hi: hi + 0.02,
        };
        Ruled {
            axis,
            title: "primary current / % of rated current",
            length: WIDTH,
        }
    }

    fn upright(&self) -> Ruled {
        let most = self.points().map(|p| p.1.abs()).fold(0.0, f64::max);
        let most = if most > 1e-300 { most } else { 1.0 };
        let (lo, hi) = Step::at_least(most / 5.0).round_out(-most * 1.06, most * 1.06);
        let title = match self.quantity {
            ErrorKind::Ratio => "ratio error / %",
            ErrorKind::Phase => "phase displacement / minutes",
        };
        Ruled {
            axis: Axis {
                scale: Scale::Linear,
                lo,
                hi,
            },
            title,
            length: HEIGHT,
        }
    }

    fn draw(&self, figure: &mut Figure) {
        let mut ground = Ground::new(figure.frame);
        let f = figure.frame;
        let zero = f.place((1.0, 0.0)).1;
        figure.path(
            "frame",
            r#"stroke-width="20""#,
            &format!("M{} {zero}H{}", f.left, f.right),
        );
        self.draw_envelope(figure);
        let roles: Vec<_> = self.runs.iter().map(|run| run.role).collect();
        for (run, look) in self.runs.iter().zip(looks(&roles, 0)) {
            draw_series(figure, &mut ground, run, &look);
        }
    }

    fn draw_envelope(&self, figure: &mut Figure) {
        if self.envelope.is_empty() {
            return;
        }
        let upper: Vec<_> = self.envelope.iter().map(|(x, y)| (*x, y.abs())).collect();
        let lower: Vec<_> = upper.iter().map(|(x, y)| (*x, -y)).collect();
        let data = [figure.frame.curve(&upper), figure.frame.curve(&lower)].concat();
        figure.path("limit", &stroke(32, "170 110"), &data);
        // The marks point to the side on which the limit is kept.
        figure.stamps("limit", Shape::Down, &upper);
        figure.stamps("limit", Shape::Triangle, &lower);
        figure.key.entry(
            "limit",
            Some("170 110"),
            Some(Shape::Down),
            "limits of the class",
        );
        figure
            .key
            .note("The limits hold at the marked currents; the lines between only guide the eye.");
    }
}
