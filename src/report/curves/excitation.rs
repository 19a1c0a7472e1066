//! The excitation characteristic: voltage over exciting current, log-log.

use super::axis::Scale;
use super::decades::{Decades, WIDTH, equal_decades};
use super::figure::{Figure, Ruled};
use super::labels::{limit_line, limit_name, mark};
use super::look::{Shape, looks};
use super::place::{Ground, Side};
use super::series::{clean_points, draw_series, drawable};
use super::{Excitation, Limit, LimitKind};

/// Patterns of limit lines, so that two of them can be told apart.
const DASHES: [&str; 4] = ["170 110", "60 100", "380 110", "300 90 50 90"];

impl Excitation {
    /// The chart as an SVG element; `id` starts the ids inside. Points that are not positive and
    /// finite have no place on the axes: they are left out, and a note says how many.
    pub fn svg(&self, id: &str) -> String {
        let (chart, skipped) = self.cleaned();
        let axes = equal_decades(chart.all_points().into_iter());
        let length = |mm: f64| (mm * 100.0).round() as i32;
        let x = Ruled {
            axis: axes.x,
            title: "exciting current / A",
            length: length(WIDTH),
        };
        let y = Ruled {
            axis: axes.y,
            title: "voltage / V",
            length: length(axes.height),
        };
        let mut figure = Figure::new(&self.title, &x, &y);
        chart.draw(&mut figure);
        figure.key.skipped(skipped, "without a positive value");
        figure.key.note(scale_note(&axes));
        figure.finish(id, &self.title, &self.description)
    }

    /// The chart without what cannot be drawn, and how many points that were.
    fn cleaned(&self) -> (Excitation, usize) {
        let mut chart = self.clone();
        let mut skipped = 0;
        let mut sift = |points: &mut Vec<(f64, f64)>| {
            skipped += clean_points(points, Scale::Log, Scale::Log);
        };
        sift(&mut chart.curve);
        sift(&mut chart.readings);
        chart
            .others
            .iter_mut()
            .for_each(|other| sift(&mut other.points));
        let before = chart.knees.len() + chart.limits.len();
        chart
            .knees
            .retain(|m| drawable((m.x, m.y), Scale::Log, Scale::Log));
        chart.limits.retain_mut(|limit| limit.kind.keep());
        let after = chart.knees.len() + chart.limits.len();
        (chart, skipped + before - after)
    }

    fn all_points(&self) -> Vec<(f64, f64)> {
        let mut all = [&self.curve[..], &self.readings[..]].concat();
        all.extend(self.others.iter().flat_map(|other| &other.points));
        all.extend(self.knees.iter().map(|m| (m.x, m.y)));
        for limit in &self.limits {
            match &limit.kind {
                // Only one of the two has a value; 0 has no place and is passed over.
                LimitKind::Horizontal(y) => all.push((0.0, *y)),
                LimitKind::Vertical(x) => all.push((*x, 0.0)),
                LimitKind::Point(x, y) => all.push((*x, *y)),
                LimitKind::Path(points) => all.extend(points),
            }
        }
        all
    }

    fn draw(&self, figure: &mut Figure) {
        let mut ground = Ground::new(figure.frame);
        let limits: Vec<(&Limit, &'static str)> =
            self.limits.iter().zip(DASHES.into_iter().cycle()).collect();
        for (limit, dash) in &limits {
            limit_line(figure, &mut ground, limit, dash);
        }
        self.name_own(figure);
        self.draw_others(figure, &mut ground);
        self.draw_own(figure, &mut ground);
        for knee in &self.knees {
            ground.keep_mark(figure.frame.place((knee.x, knee.y)));
        }
        for (limit, dash) in limits {
            limit_name(figure, &mut ground, limit, dash);
        }
        // From the lowest up, so that the leaders fan out without crossing.
        let mut knees: Vec<_> = self.knees.iter().collect();
        knees.sort_by(|a, b| a.y.total_cmp(&b.y));
        for knee in knees {
            mark(
                figure,
                &mut ground,
                knee,
                ("knee", Shape::Diamond),
                Side::LowerRight,
            );
        }
    }

    fn draw_others(&self, figure: &mut Figure, ground: &mut Ground) {
        let roles: Vec<_> = self.others.iter().map(|s| s.role).collect();
        for (series, look) in self.others.iter().zip(looks(&roles, 1)) {
            draw_series(figure, ground, series, &look);
        }
    }

    fn draw_own(&self, figure: &mut Figure, ground: &mut Ground) {
        figure.curve("curve-this", "", &self.curve);
        ground.curve(&self.curve);
        figure.stamps("reading", Shape::Circle, &self.readings);
    }

    /// Names the core's own curve; first in the key, though drawn last.
    fn name_own(&self, figure: &mut Figure) {
        let (line, points) = (!self.curve.is_empty(), !self.readings.is_empty());
        let text = match (line, points) {
            (true, true) => "readings, interpolated",
            (true, false) => "interpolated",
            (false, true) => "readings",
            (false, false) => return,
        };
        figure.key.entry(
            "curve-this",
            line.then_some(""),
            points.then_some(Shape::Circle),
            text,
        );
    }
}

impl LimitKind {
    /// Drops what has no place on logarithmic axes; false if nothing is left.
    fn keep(&mut self) -> bool {
        match self {
            LimitKind::Horizontal(v) | LimitKind::Vertical(v) => Scale::Log.position(*v).is_some(),
            LimitKind::Point(x, y) => drawable((*x, *y), Scale::Log, Scale::Log),
            LimitKind::Path(points) => {
                clean_points(points, Scale::Log, Scale::Log);
                !points.is_empty()
            }
        }
    }
}

fn scale_note(axes: &Decades) -> String {
    let text = format!("{:.1}", axes.decade);
    let length = text.strip_suffix(".0").unwrap_or(&text);
    format!("Both axes logarithmic; one decade is {length} mm on either at natural size.")
}
