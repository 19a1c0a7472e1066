//! Ratio correction factor over phase angle, with the parallelograms of the IEEE metering classes.

use super::axis::{Axis, Scale};
use super::figure::{Figure, Ruled, stroke};
use super::labels::mark;
use super::look::looks;
use super::place::{Ground, Side};
use super::series::drawable;
use super::ticks::Step;
use super::{Mark, Parallelogram, Role};

/// Minutes of phase angle that weigh as much as a ratio correction factor of 1 at a power factor of
/// 0.6 lagging: 10800/(pi tan(acos 0.6)) = 2578, rounded by the standard (IEEE C57.13, 5.3; from memory).
const MINUTES: f64 = 2600.0;
const WIDTH: i32 = 12000;
const HEIGHT: i32 = 8400;
const DASHES: [&str; 4] = ["", "260 110", "60 110", "420 110 60 110"];

impl Parallelogram {
    /// The chart as an SVG element; `id` starts the ids inside. Limits and points that are not finite
    /// are left out, and a note says how many.
    pub fn svg(&self, id: &str) -> String {
        let mut chart = self.clone();
        chart
            .limits
            .retain(|(_, lo, hi)| corners(*lo, *hi).iter().all(|p| linear(*p)));
        chart.points.retain(|(_, rcf, beta)| linear((*beta, *rcf)));
        let skipped =
            self.limits.len() + self.points.len() - chart.limits.len() - chart.points.len();
        let (x, y) = chart.axes();
        let mut figure = Figure::new(&self.title, &x, &y);
        chart.draw(&mut figure);
        figure.key.skipped(skipped, "without a place on the axes");
        if !chart.limits.is_empty() {
            figure.key.note(
                "Edges: RCF, and RCF \u{2212} β/2600, each between the limits of the class (IEEE C57.13); \
                 the edges belong to the inside. β is positive when the secondary current leads.",
            );
        }
        figure.finish(id, &self.title, &self.description)
    }

    fn axes(&self) -> (Ruled, Ruled) {
        let mut far = (0.0_f64, 0.0_f64);
        let corners = self.limits.iter().flat_map(|(_, lo, hi)| corners(*lo, *hi));
        for (beta, rcf) in corners.chain(self.points.iter().map(|(_, rcf, beta)| (*beta, *rcf))) {
            far = (far.0.max(beta.abs()), far.1.max((rcf - 1.0).abs()));
        }
        let beta = around(0.0, far.0, 10.0);
        let rcf = around(1.0, far.1, 0.003);
        (
            Ruled {
                axis: beta,
                title: "phase angle β / minutes",
                length: WIDTH,
            },
            Ruled {
                axis: rcf,
                title: "ratio correction factor / 1",
                length: HEIGHT,
            },
        )
    }

    fn draw(&self, figure: &mut Figure) {
        let mut ground = Ground::new(figure.frame);
        draw_centre(figure);
        let marks: Vec<Mark> = self
            .points
            .iter()
            .map(|(l, rcf, beta)| point(l, *beta, *rcf))
            .collect();
        for mark in &marks {
            ground.keep_mark(figure.frame.place((mark.x, mark.y)));
        }
        for ((name, lo, hi), dash) in self.limits.iter().zip(DASHES.into_iter().cycle()) {
            let mut ring = corners(*lo, *hi).to_vec();
            ring.extend(corners(*lo, *hi).first());
            let data = figure.frame.curve(&ring);
            figure.path("limit", &stroke(36, dash), &data);
            ground.curve(&ring);
            figure.key.entry("limit", Some(dash), None, name);
        }
        let looks = looks(&vec![Role::This; marks.len()], 0);
        for (one, look) in marks.iter().zip(looks) {
            mark(figure, &mut ground, one, ("reading", look.shape), Side::Any);
        }
    }
}

fn draw_centre(figure: &mut Figure) {
    let f = figure.frame;
    let (x, y) = f.place((0.0, 1.0));
    let data = format!("M{} {y}H{}M{x} {}V{}", f.left, f.right, f.top, f.bottom);
    figure.path("frame", r#"stroke-width="20""#, &data);
}

fn point(label: &str, x: f64, y: f64) -> Mark {
    Mark {
        label: label.to_string(),
        value: String::new(),
        x,
        y,
    }
}

fn linear(point: (f64, f64)) -> bool {
    drawable(point, Scale::Linear, Scale::Linear)
}

/// Corners (phase angle in minutes, RCF) of the region where RCF and RCF - beta/2600 both lie
/// between the two limits.
fn corners(one: f64, other: f64) -> [(f64, f64); 4] {
    let (lo, hi) = (one.min(other), one.max(other));
    let reach = MINUTES * (hi - lo);
    [(0.0, lo), (reach, hi), (0.0, hi), (-reach, lo)]
}

/// A linear axis that reaches equally far to both sides of its middle.
fn around(middle: f64, reach: f64, least: f64) -> Axis {
    let reach = 1.08 * if reach > least * 1e-3 { reach } else { least };
    let (lo, hi) = Step::at_least(reach / 5.0).round_out(-reach, reach);
    Axis {
        scale: Scale::Linear,
        lo: middle + lo,
        hi: middle + hi,
    }
}
