//! The sheet that all charts share: title, ruled frame, axis titles, layers, and the finished SVG.

use std::fmt::Write;

use super::axis::{Axis, Scale};
use super::ink::Frame;
use super::key::Key;
use super::look::Shape;
use super::text::{clean, escape_into, safe_id, width, wrap};
use super::ticks::{Room, Tick, Weight};

/// Size of ordinary text, hundredths of a millimetre.
pub(super) const TEXT: i32 = 300;
/// Distance of two lines of ordinary text.
pub(super) const LEADING: i32 = 400;
const HEADING: i32 = 360;
/// Least distance of two labels of the upright axis, millimetres.
const LABEL_GAP: f64 = 6.0;

/// What an axis shows and what it is called.
pub(super) struct Ruled {
    pub axis: Axis,
    pub title: &'static str,
    /// Length, hundredths of a millimetre.
    pub length: i32,
}

/// A chart in the making.
pub(super) struct Figure {
    pub frame: Frame,
    pub key: Key,
    body: String,
    width: i32,
    end: i32,
    drawn: bool,
}

impl Figure {
    /// Title, grid, frame and axis titles; the plot itself is still empty.
    pub(super) fn new(title: &str, x: &Ruled, y: &Ruled) -> Figure {
        let y_ticks = y.axis.ticks(Room {
            length: mm(y.length),
            gap: LABEL_GAP,
        });
        let left = 680 + widest(&y_ticks).max(400);
        let x_ticks = fitted(&x.axis, mm(x.length));
        let sheet = left + x.length + 500.max(widest(&x_ticks) / 2 + 60);
        let lines = wrap(title, HEADING, sheet - 100, 4);
        let top = 170 + 470 * lines.len() as i32 + if lines.is_empty() { 80 } else { 130 };
        let frame = Frame {
            left,
            top,
            right: left + x.length,
            bottom: top + y.length,
            x: x.axis,
            y: y.axis,
        };
        let mut figure = Figure {
            frame,
            key: Key::default(),
            body: String::new(),
            width: sheet,
            end: top + y.length + 1250,
            drawn: false,
        };
        figure.heading(&lines);
        figure.grid(&x_ticks, &y_ticks);
        figure.labels(&x_ticks, &y_ticks);
        figure.axis_titles(x.title, y.title);
        figure
    }

    fn heading(&mut self, lines: &[String]) {
        let with = format!(r#"class="heading" font-size="{HEADING}" font-weight="600""#);
        self.group(&with, |figure| {
            for (row, line) in lines.iter().enumerate() {
                figure.text((50, 430 + 470 * row as i32), "", line);
            }
        });
    }

    /// A group with the attributes given.
    pub(super) fn group(&mut self, with: &str, inside: impl FnOnce(&mut Figure)) {
        let _ = write!(self.body, "<g {with}>");
        inside(self);
        self.body.push_str("</g>");
    }

    fn grid(&mut self, x: &[Tick], y: &[Tick]) {
        for (weight, opacity) in [(Weight::Light, ".13"), (Weight::Strong, ".34")] {
            let mut data = String::new();
            for tick in x.iter().filter(|t| t.weight == weight) {
                let _ = write!(
                    data,
                    "M{} {}V{}",
                    self.across(tick.at),
                    self.frame.top,
                    self.frame.bottom
                );
            }
            for tick in y.iter().filter(|t| t.weight == weight) {
                let _ = write!(
                    data,
                    "M{} {}H{}",
                    self.frame.left,
                    self.down(tick.at),
                    self.frame.right
                );
            }
            self.path(
                "grid",
                &format!(r#"stroke-width="12" stroke-opacity="{opacity}""#),
                &data,
            );
        }
        let f = self.frame;
        let edge = format!("M{} {}H{}V{}H{}z", f.left, f.top, f.right, f.bottom, f.left);
        self.path("frame", r#"stroke-width="20""#, &edge);
    }

    fn across(&self, at: f64) -> i32 {
        let (from, to) = (self.frame.left, self.frame.right);
        from + (self.frame.x.share(at) * f64::from(to - from)).round() as i32
    }

    fn down(&self, at: f64) -> i32 {
        let (from, to) = (self.frame.bottom, self.frame.top);
        from + (self.frame.y.share(at) * f64::from(to - from)).round() as i32
    }

    fn labels(&mut self, x: &[Tick], y: &[Tick]) {
        self.group(r#"class="tick" text-anchor="middle""#, |figure| {
            for (tick, label) in named(x) {
                figure.text(
                    (figure.across(tick.at), figure.frame.bottom + 430),
                    "",
                    label,
                );
            }
        });
        self.group(r#"class="tick" text-anchor="end""#, |figure| {
            for (tick, label) in named(y) {
                figure.text(
                    (figure.frame.left - 160, figure.down(tick.at) + 105),
                    "",
                    label,
                );
            }
        });
    }

    fn axis_titles(&mut self, x: &str, y: &str) {
        let f = self.frame;
        self.text(((f.left + f.right) / 2, f.bottom + 900), "middle", x);
        self.upright((330, (f.top + f.bottom) / 2), "middle", y);
    }

    /// A line of text; the place is the start, middle or end of its base line.
    pub(super) fn text(&mut self, (x, y): (i32, i32), anchor: &str, text: &str) {
        let _ = write!(self.body, r#"<text x="{x}" y="{y}""#);
        self.anchored(anchor, text);
    }

    /// A line of text that reads from bottom to top.
    pub(super) fn upright(&mut self, (x, y): (i32, i32), anchor: &str, text: &str) {
        let _ = write!(
            self.body,
            r#"<text transform="translate({x} {y})rotate(-90)""#
        );
        self.anchored(anchor, text);
    }

    fn anchored(&mut self, anchor: &str, text: &str) {
        if !anchor.is_empty() {
            let _ = write!(self.body, r#" text-anchor="{anchor}""#);
        }
        self.body.push('>');
        escape_into(&mut self.body, &clean(text));
        self.body.push_str("</text>");
    }

    /// A group of texts that stand on a rim of the paper's colour, so that the grid does not run
    /// through them.
    pub(super) fn rimmed(&mut self, class: &str, inside: impl FnOnce(&mut Figure)) {
        let rim =
            r##"stroke="#fff" stroke-width="70" stroke-linejoin="round" paint-order="stroke""##;
        self.group(&format!(r#"class="label {class}" {rim}"#), inside);
    }

    /// A path without filling; nothing is written if there is no data.
    pub(super) fn path(&mut self, class: &str, with: &str, data: &str) {
        if !data.is_empty() {
            let paint = r#"fill="none" stroke="currentColor""#;
            let _ = write!(
                self.body,
                r#"<path class="{class}" {paint} {with} d="{data}"/>"#
            );
        }
    }

    /// A curve through points of the plot.
    pub(super) fn curve(&mut self, class: &str, dash: &str, points: &[(f64, f64)]) {
        // The core in question stands out by weight too.
        let with = stroke(if class == "curve-this" { 48 } else { 30 }, dash);
        self.drawn |= !points.is_empty();
        self.path(class, &with, &self.frame.curve(points));
    }

    /// A mark at each point.
    pub(super) fn stamps(&mut self, class: &str, shape: Shape, points: &[(f64, f64)]) {
        self.drawn |= !points.is_empty();
        let data = self.frame.stamps(points, shape);
        self.path(&format!("mark {class}"), r#"stroke-width="30""#, &data);
    }

    /// The SVG element. `id` is made safe and starts every id inside.
    pub(super) fn finish(mut self, id: &str, title: &str, description: &str) -> String {
        if !self.drawn {
            self.key.note("There are no values to draw.");
        }
        let key = std::mem::take(&mut self.key);
        let left = self.frame.left.min(1500);
        let end = key.draw(&mut self, left);
        let (id, w, h) = (safe_id(id), self.width, end.max(self.end));
        let mut out = format!(
            concat!(
                r#"<svg xmlns="http://www.w3.org/2000/svg" class="curve" viewBox="0 0 {w} {h}" "#,
                r#"width="{wide}mm" height="{high}mm" role="img" aria-labelledby="{id}-title {id}-desc" "#,
                r#"font-family="sans-serif" font-size="{text}" fill="currentColor"><title id="{id}-title">"#
            ),
            w = w,
            h = h,
            id = id,
            wide = hundredths(w),
            high = hundredths(h),
            text = TEXT,
        );
        escape_into(&mut out, &clean(title));
        let _ = write!(out, r#"</title><desc id="{id}-desc">"#);
        escape_into(&mut out, &clean(description));
        out.push_str("</desc>");
        out.push_str(&self.body);
        out.push_str("</svg>");
        out
    }

    /// The base line under the axis title, where the key begins.
    pub(super) fn key_top(&self) -> i32 {
        self.end
    }

    /// The room for text across the sheet.
    pub(super) fn sheet_width(&self) -> i32 {
        self.width
    }
}

/// Attributes of a stroke.
pub(super) fn stroke(width: i32, dash: &str) -> String {
    match dash {
        "" => format!(r#"stroke-width="{width}" stroke-linejoin="round" stroke-linecap="round""#),
        dash => {
            format!(r#"stroke-width="{width}" stroke-linejoin="round" stroke-dasharray="{dash}""#)
        }
    }
}

fn mm(length: i32) -> f64 {
    f64::from(length) / 100.0
}

fn hundredths(length: i32) -> String {
    format!("{}.{:02}", length / 100, length % 100)
}

fn named(ticks: &[Tick]) -> impl Iterator<Item = (&Tick, &str)> {
    ticks
        .iter()
        .filter_map(|tick| Some((tick, tick.label.as_deref()?)))
}

fn widest(ticks: &[Tick]) -> i32 {
    named(ticks)
        .map(|(_, label)| width(label, TEXT))
        .max()
        .unwrap_or(0)
}

/// Ticks of the level axis, as dense as the width of their own labels allows.
fn fitted(axis: &Axis, length: f64) -> Vec<Tick> {
    let mut gap = if axis.scale == Scale::Log { 9.0 } else { 14.0 };
    let mut ticks = axis.ticks(Room { length, gap });
    for _ in 0..3 {
        let needed = mm(widest(&ticks)) + 2.0;
        if needed <= gap {
            break;
        }
        gap = needed;
        ticks = axis.ticks(Room { length, gap });
    }
    ticks
}
