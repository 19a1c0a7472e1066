//! Labels inside the plot: marks with leaders, limits along their lines.

use super::figure::{Figure, LEADING, TEXT};
use super::ink::Frame;
use super::look::Shape;
use super::place::{Area, Ground, Side, Spot};
use super::text::{clean, width};
use super::{Limit, LimitKind, Mark};

/// Labels wider than this go to the key.
const WIDEST: i32 = 7000;

/// Draws a mark at its point and its two lines of text where there is room.
pub(super) fn mark(
    figure: &mut Figure,
    ground: &mut Ground,
    mark: &Mark,
    look: (&'static str, Shape),
    side: Side,
) {
    let (class, shape) = look;
    let lines: Vec<String> = [&mark.label, &mark.value]
        .map(|t| clean(t))
        .into_iter()
        .filter(|t| !t.is_empty())
        .collect();
    let point = figure.frame.place((mark.x, mark.y));
    if !inside(&figure.frame, point) {
        // Beyond the axes (absurd values stretch no chart): told in the key, not drawn at its edge.
        figure
            .key
            .entry(class, None, Some(shape), &lines.join(": "));
        return;
    }
    figure.stamps(class, shape, &[(mark.x, mark.y)]);
    match free_spot(ground, &lines, point, side) {
        Some(spot) => write(figure, class, &lines, point, spot),
        None => figure
            .key
            .entry(class, None, Some(shape), &lines.join(": ")),
    }
}

fn free_spot(ground: &mut Ground, lines: &[String], point: (i32, i32), side: Side) -> Option<Spot> {
    let w = lines.iter().map(|l| width(l, TEXT)).max()?;
    let h = 320 + LEADING * (lines.len() as i32 - 1);
    if w > WIDEST {
        None
    } else {
        ground.near((w, h), point, side)
    }
}

fn write(figure: &mut Figure, class: &str, lines: &[String], point: (i32, i32), spot: Spot) {
    let Area { x, y, w, .. } = spot.area;
    if let Some(end) = spot.leader {
        let from = rim(point, end);
        let data = format!("M{} {}L{} {}", from.0, from.1, end.0, end.1);
        figure.path("leader", r#"stroke-width="16""#, &data);
    }
    // The guess of the width is generous, so text keeps to the side of its point.
    let left = point.0 > x + w;
    let (anchor, at) = if left { ("end", x + w) } else { ("", x) };
    figure.rimmed(class, |figure| {
        for (row, line) in lines.iter().enumerate() {
            figure.text((at, y + 265 + LEADING * row as i32), anchor, line);
        }
    });
}

/// Where a leader leaves the mark at its point.
fn rim(point: (i32, i32), end: (i32, i32)) -> (i32, i32) {
    let (dx, dy) = (f64::from(end.0 - point.0), f64::from(end.1 - point.1));
    let part = 115.0 / (dx * dx + dy * dy).sqrt().max(115.0);
    let at = |start: i32, length: f64| start + (part * length).round() as i32;
    (at(point.0, dx), at(point.1, dy))
}

/// Draws the line or point of a limit.
pub(super) fn limit_line(figure: &mut Figure, ground: &mut Ground, limit: &Limit, dash: &str) {
    let f = figure.frame;
    match &limit.kind {
        LimitKind::Point(x, y) => {
            figure.stamps("limit", Shape::Target, &[(*x, *y)]);
            ground.keep_mark(f.place((*x, *y)));
        }
        LimitKind::Path(points) => {
            figure.curve("limit", dash, points);
            ground.curve(points);
        }
        LimitKind::Horizontal(y) => {
            let y = level(&f, *y);
            straight(figure, ground, (f.left, y), (f.right, y), dash);
        }
        LimitKind::Vertical(x) => {
            let x = across(&f, *x);
            straight(figure, ground, (x, f.bottom), (x, f.top), dash);
        }
    }
}

fn straight(
    figure: &mut Figure,
    ground: &mut Ground,
    from: (i32, i32),
    to: (i32, i32),
    dash: &str,
) {
    let data = format!("M{} {}L{} {}", from.0, from.1, to.0, to.1);
    figure.path("limit", &super::figure::stroke(32, dash), &data);
    ground.line(from, to);
}

/// Writes the name of a limit along its line, else beside it, else in the key.
pub(super) fn limit_name(
    figure: &mut Figure,
    ground: &mut Ground,
    limit: &Limit,
    dash: &'static str,
) {
    let f = figure.frame;
    let name = clean(&limit.name);
    if name.is_empty() {
        return;
    }
    let w = width(&name, TEXT);
    let lines = [name];
    let done = match &limit.kind {
        LimitKind::Horizontal(y) => on_level(figure, ground, &lines, w, level(&f, *y))
            .or_else(|| beside(figure, ground, &lines, (f.left + 1500, level(&f, *y)))),
        LimitKind::Vertical(x) => on_upright(figure, ground, &lines, w, across(&f, *x))
            .or_else(|| beside(figure, ground, &lines, (across(&f, *x), f.bottom - 1200))),
        LimitKind::Point(x, y) => beside(figure, ground, &lines, f.place((*x, *y))),
        LimitKind::Path(points) => match points.get(points.len() / 2) {
            Some(middle) => beside(figure, ground, &lines, f.place(*middle)),
            None => Some(()),
        },
    };
    if done.is_none() {
        let point = matches!(limit.kind, LimitKind::Point(..));
        let (dash, shape) = if point {
            (None, Some(Shape::Target))
        } else {
            (Some(dash), None)
        };
        figure.key.entry("limit", dash, shape, &lines.concat());
    }
}

/// Whether a place lies within the axes.
fn inside(frame: &Frame, point: (i32, i32)) -> bool {
    (frame.left..=frame.right).contains(&point.0) && (frame.top..=frame.bottom).contains(&point.1)
}

fn beside(
    figure: &mut Figure,
    ground: &mut Ground,
    lines: &[String],
    point: (i32, i32),
) -> Option<()> {
    if !inside(&figure.frame, point) {
        return None;
    }
    let spot = free_spot(ground, lines, point, Side::Any)?;
    write(figure, "limit", lines, point, spot);
    Some(())
}

fn on_level(
    figure: &mut Figure,
    ground: &mut Ground,
    lines: &[String],
    w: i32,
    y: i32,
) -> Option<()> {
    let f = figure.frame;
    // From the right, for an excitation curve has its knees on the left.
    let areas = (0..)
        .map(|n| f.right - 120 - w - 200 * n)
        .take_while(|x| *x > f.left + 60);
    let areas = areas.flat_map(|x| [y - 380, y + 60].map(|y| Area { x, y, w, h: 320 }));
    let area = ground.first(areas)?;
    figure.rimmed("limit", |figure| {
        figure.text((area.x, area.y + 265), "", &lines.concat())
    });
    Some(())
}

fn on_upright(
    figure: &mut Figure,
    ground: &mut Ground,
    lines: &[String],
    w: i32,
    x: i32,
) -> Option<()> {
    let f = figure.frame;
    let areas = (0..)
        .map(|n| f.bottom - 120 - w - 200 * n)
        .take_while(|y| *y > f.top + 60);
    let areas = areas.flat_map(|y| [x - 380, x + 60].map(|x| Area { x, y, w: 320, h: w }));
    let area = ground.first(areas)?;
    figure.rimmed("limit", |figure| {
        figure.upright((area.x + 265, area.y + area.h), "", &lines.concat());
    });
    Some(())
}

fn level(frame: &Frame, y: f64) -> i32 {
    let (from, to) = (frame.bottom, frame.top);
    from + (frame.y.part(y) * f64::from(to - from)).round() as i32
}

fn across(frame: &Frame, x: f64) -> i32 {
    let (from, to) = (frame.left, frame.right);
    from + (frame.x.part(x) * f64::from(to - from)).round() as i32
}
