//! Labels inside the plot: marks with leaders, limits along their lines. What finds no room leaves a
//! number there, and is told in the key.

use std::borrow::Cow;

use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::key::{Entry, Sample};
use super::pen::{Dash, FULL, Pen, Use};
use super::plot::{self, Drawn, LEADING, Sheet, style, write};
use super::space::{Area, Side, Space, Spot};
use super::svg::TEXT;
use super::text::{clean, width};
use super::{Limit, Mark};

/// Labels wider than this go to the key.
const WIDEST: i32 = 4200;
/// Height of a line of text, and the room above it.
const HEIGHT: i32 = 270;
const ABOVE: i32 = 25;
/// A number stands this near to its point.
const NUMBER_REACH: i32 = 400;

/// Writes labels on a sheet.
pub(super) struct Labels<'a, 's> {
    pub sheet: &'s Sheet<'a>,
    pub space: Space,
    /// What found no room.
    pub rest: Vec<Entry>,
    /// How many of them left a number.
    pub numbered: usize,
}

impl Labels<'_, '_> {
    /// Writes the lines of a mark near its point, with a leader where it is not quite near.
    pub(super) fn mark(&mut self, mark: &Mark, point: (i32, i32)) -> Drawn<()> {
        let lines = [&mark.label, &mark.value].map(|text| clean(text));
        let filled = lines.into_iter().filter(|line| !line.is_empty());
        let lines: Vec<Cow<'_, str>> = filled.collect();
        if lines.is_empty() {
            return Ok(());
        }
        match self.near(&lines, point, mark.side) {
            Some(spot) => self.write(mark.pen, &lines, point, spot),
            None => self.number(
                point,
                Entry {
                    pen: mark.pen,
                    sample: Sample::None,
                    shape: Some(mark.shape),
                    text: lines.join(": "),
                },
            ),
        }
    }

    /// Writes the name of a limit along its line from `left` to `right`, else beside it.
    pub(super) fn limit(
        &mut self,
        limit: &Limit,
        dash: Dash,
        y: i32,
        (left, right): (i32, i32),
    ) -> Drawn<()> {
        let pen = Pen::Limit;
        let lines = [clean(&limit.name)];
        let [name] = &lines;
        let w = width(name, TEXT);
        if w == 0 {
            return Ok(());
        }
        // From the right, for a rising curve has most of its marks on the left.
        let places = (left + 60..right - 60 - w).rev().step_by(100);
        // Below there are strokes.
        let sides = |x: i32| [y - 150 - HEIGHT, y + 230].map(|y| Area { x, y, w, h: HEIGHT });
        if let Some(area) = self.space.first(places.flat_map(sides)) {
            return self.lines(pen, &lines, (area.x, area.y), HPos::Left);
        }
        let point = (right - 300, y);
        match self.near(&lines, point, Side::Any) {
            Some(spot) => self.write(pen, &lines, point, spot),
            None => self.number(
                point,
                Entry {
                    pen,
                    sample: Sample::Limit(dash),
                    shape: None,
                    text: name.to_string(),
                },
            ),
        }
    }

    /// Writes a number near a point, if there is room, and the entry with it in the key.
    fn number(&mut self, point: (i32, i32), mut entry: Entry) -> Drawn<()> {
        let number = format!("({})", self.numbered + 1);
        let size = (width(&number, TEXT), HEIGHT);
        let near = |x: i32, y: i32| Area {
            x: point.0 + x,
            y: point.1 + y,
            w: size.0,
            h: size.1,
        };
        let out = (0..NUMBER_REACH / 50).map(|n| 100 + n * 50);
        let around = out.flat_map(|far| {
            let (w, h) = size;
            [
                near(far, -h / 2),
                near(-w / 2, far),
                near(-far - w, -h / 2),
                near(-w / 2, -far - h),
                near(far, far),
                near(-far - w, -far - h),
            ]
        });
        if let Some(area) = self.space.first(around) {
            self.numbered += 1;
            entry.text = format!("{number} {}", entry.text);
            self.lines(entry.pen, &[number], (area.x, area.y), HPos::Left)?;
        }
        self.rest.push(entry);
        Ok(())
    }

    fn near(&mut self, lines: &[Cow<'_, str>], point: (i32, i32), side: Side) -> Option<Spot> {
        let w = lines.iter().map(|line| width(line, TEXT)).max()?;
        let h = HEIGHT + LEADING * (lines.len() as i32 - 1);
        (w <= WIDEST).then(|| self.space.near((w, h), point, side))?
    }

    fn write(&self, pen: Pen, lines: &[Cow<'_, str>], point: (i32, i32), spot: Spot) -> Drawn<()> {
        let Area { x, y, w, .. } = spot.area;
        if let Some(end) = spot.leader {
            let leader = [rim(point, end), end];
            plot::line(self.sheet, leader, Pen::Leader.line(FULL))?;
        }
        // The guess of the width is generous, so text keeps to the side of its point.
        let (anchor, x) = if point.0 > x + w / 2 {
            (HPos::Right, x + w)
        } else {
            (HPos::Left, x)
        };
        self.lines(pen, lines, (x, y), anchor)
    }

    fn lines(
        &self,
        pen: Pen,
        lines: &[impl AsRef<str>],
        (x, y): (i32, i32),
        anchor: HPos,
    ) -> Drawn<()> {
        let style = style(TEXT, pen, Use::Label).pos(Pos::new(anchor, VPos::Top));
        write(self.sheet, lines, (x, y + ABOVE), LEADING, &style)
    }
}

/// Where a leader leaves the mark at its point.
fn rim(point: (i32, i32), end: (i32, i32)) -> (i32, i32) {
    let (dx, dy) = (f64::from(end.0 - point.0), f64::from(end.1 - point.1));
    let part = 90.0 / (dx * dx + dy * dy).sqrt().max(90.0);
    let at = |start: i32, length: f64| start + (part * length).round() as i32;
    (at(point.0, dx), at(point.1, dy))
}
