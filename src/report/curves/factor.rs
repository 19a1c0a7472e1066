//! Accuracy limit factor or instrument security factor over the connected burden.

use super::axis::{Axis, Scale};
use super::figure::{Figure, Ruled};
use super::labels::mark;
use super::look::Shape;
use super::place::{Area, Ground, Side};
use super::series::{clean_points, drawable};
use super::ticks::Step;
use super::{FactorOverBurden, Mark};

const WIDTH: i32 = 12000;
const HEIGHT: i32 = 7200;
/// Height of the arrow that says at least.
const ARROW: i32 = 540;

impl FactorOverBurden {
    /// The chart as an SVG element; `id` starts the ids inside. Points that are negative or not
    /// finite are left out, and a note says how many.
    pub fn svg(&self, id: &str) -> String {
        let mut chart = self.clone();
        let mut skipped = clean_points(&mut chart.points, Scale::Linear, Scale::Linear);
        let finite = chart.points.len();
        chart.points.retain(|p| shown(*p));
        skipped += finite - chart.points.len();
        chart.connected = chart.connected.filter(|p| shown(*p));
        skipped += usize::from(self.connected.is_some() && chart.connected.is_none());
        skipped += usize::from(!shown(self.rated));
        let (x, y) = (
            Ruled {
                axis: chart.axis(|p| p.0),
                title: "burden / VA",
                length: WIDTH,
            },
            Ruled {
                axis: chart.axis(|p| p.1),
                title: "factor / 1",
                length: HEIGHT,
            },
        );
        let mut figure = Figure::new(&self.title, &x, &y);
        chart.draw(&mut figure);
        figure.key.skipped(skipped, "without a place on the axes");
        figure.finish(id, &self.title, &self.description)
    }

    fn axis(&self, part: impl Fn((f64, f64)) -> f64) -> Axis {
        let ends = [self.connected, Some(self.rated).filter(|p| shown(*p))];
        let all = self
            .points
            .iter()
            .copied()
            .chain(ends.into_iter().flatten());
        let most = all.map(part).fold(0.0, f64::max);
        let most = if most > 1e-300 { most } else { 1.0 };
        let (_, hi) = Step::at_least(most / 6.0).round_out(0.0, most * 1.1);
        Axis {
            scale: Scale::Linear,
            lo: 0.0,
            hi,
        }
    }

    fn draw(&self, figure: &mut Figure) {
        let mut ground = Ground::new(figure.frame);
        figure.curve(
            "curve-this",
            if self.at_least { "260 110" } else { "" },
            &self.points,
        );
        ground.curve(&self.points);
        figure.stamps("reading", Shape::Circle, &self.points);
        if self.at_least {
            figure.stamps("reading", Shape::Up, &self.points);
        }
        for (x, y) in self.points.iter().map(|p| figure.frame.place(*p)) {
            ground.keep_mark((x, y));
            if self.at_least {
                ground.keep_free(Area {
                    x: x - 80,
                    y: y - ARROW,
                    w: 160,
                    h: ARROW,
                });
            }
        }
        self.name(figure);
        let rated = Some(self.rated).filter(|p| shown(*p));
        let asked = rated.map(|p| ("rated", p, ("limit", Shape::Target)));
        let connected = self
            .connected
            .map(|p| ("connected burden", p, ("knee", Shape::Diamond)));
        let marks: Vec<_> = [asked, connected].into_iter().flatten().collect();
        for (_, at, _) in &marks {
            guides(figure, &mut ground, *at);
            ground.keep_mark(figure.frame.place(*at));
        }
        for (label, at, look) in marks {
            let value = format!("{} VA, factor {}", short(at.0), short(at.1));
            let one = Mark {
                label: label.to_string(),
                value,
                x: at.0,
                y: at.1,
            };
            mark(figure, &mut ground, &one, look, Side::Any);
        }
    }

    fn name(&self, figure: &mut Figure) {
        match (self.points.is_empty(), self.at_least) {
            (true, _) => {}
            (false, false) => {
                figure.key.entry(
                    "curve-this",
                    Some(""),
                    Some(Shape::Circle),
                    "from the excitation readings",
                );
            }
            (false, true) => {
                let text = "at least, from the excitation readings";
                figure
                    .key
                    .entry("curve-this", Some("260 110"), Some(Shape::Circle), text);
                figure.key.note(
                    "The arrows point up: the true factor is at or above the curve, for the limit was not reached \
                     within the excitation readings.",
                );
            }
        }
    }
}

fn shown(point: (f64, f64)) -> bool {
    point.0 >= 0.0 && point.1 >= 0.0 && drawable(point, Scale::Linear, Scale::Linear)
}

/// Thin lines from a point to both axes.
fn guides(figure: &mut Figure, ground: &mut Ground, at: (f64, f64)) {
    let (f, (x, y)) = (figure.frame, figure.frame.place(at));
    let data = format!("M{} {y}H{x}V{}", f.left, f.bottom);
    figure.path(
        "leader",
        r#"stroke-width="16" stroke-dasharray="60 80""#,
        &data,
    );
    ground.line((f.left, y), (x, y));
    ground.line((x, y), (x, f.bottom));
}

/// A number with at most three decimals, or a power of ten where it is very large or small.
fn short(value: f64) -> String {
    if value != 0.0 && !(1e-3..1e7).contains(&value) {
        return format!("{value:.2e}");
    }
    let text = format!("{value:.*}", if value >= 100.0 { 1 } else { 2 });
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
