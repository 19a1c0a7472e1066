//! What plotters draws on: sheets, their text, the plot's mesh with labels and titles.

use std::convert::Infallible;
use std::iter::{Empty, empty};

use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, DrawingAreaErrorKind};
use plotters::element::{Drawable, PathElement, PointCollection, Rectangle};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontTransform, ShapeStyle, TextStyle};
use plotters_backend::{BackendCoord, DrawingBackend, DrawingErrorKind};

use super::layout::{EDGE, Layout, UNDER};
use super::pen::{FULL, Pen, Use};
use super::step::Decimal;
use super::svg::{Svg, TEXT};
use super::ticks::Tick;

/// Distance of two lines of ordinary text.
pub(super) const LEADING: i32 = 320;
const TICK: i32 = 50;
/// Longer below, so that the first name there does not meet the lowest one beside the plot.
const TICK_BELOW: i32 = 130;

pub(super) type Sheet<'a> = DrawingArea<Svg<'a>, Shift>;
/// The backend cannot fail, plotters' sharing of it could.
pub(super) type Drawn<T> = Result<T, DrawingAreaErrorKind<Infallible>>;

/// The style of a text whose place is its upper left corner.
pub(super) fn style(size: i32, pen: Pen, with: Use) -> TextStyle<'static> {
    TextStyle {
        color: pen.colour(FULL, with).to_backend_color(),
        ..TextStyle::from(("sans-serif", size))
    }
}

/// Lines of text below each other.
pub(super) fn write(
    sheet: &Sheet<'_>,
    lines: &[impl AsRef<str>],
    (x, y): (i32, i32),
    leading: i32,
    style: &TextStyle<'_>,
) -> Drawn<()> {
    let mut rows = lines.iter().zip(0..);
    rows.try_for_each(|(line, row)| sheet.draw_text(line.as_ref(), style, (x, y + leading * row)))
}

/// The axes with their mesh, labels, titles and frame.
pub(super) fn plot(sheet: &Sheet<'_>, layout: &Layout) -> Drawn<()> {
    let (frame, text) = (Pen::Frame.line(FULL), style(TEXT, Pen::Plain, Use::Line));
    let ((left, right), (low, top)) = (layout.across(), layout.up());
    let [title, upright] = &layout.titles;
    let at = |h, v| text.pos(Pos::new(h, v));
    sheet.draw(&Mesh {
        layout,
        labelled: false,
    })?;
    let turned = at(HPos::Center, VPos::Top).transform(FontTransform::Rotate270);
    sheet.draw_text(upright, &turned, (EDGE, top + (low - top + 1) / 2))?;
    // Below and to the left of the plot stands a line of its own.
    let (below, beside) = (low + 1, left - 1);
    let middle = left + (right - left + 1) / 2;
    let under = at(HPos::Center, VPos::Bottom);
    sheet.draw_text(title, &under, (middle, below + UNDER))?;
    sheet.draw(&Mesh {
        layout,
        labelled: true,
    })?;
    line(sheet, [(beside, top), (beside, low)], frame)?;
    let names = at(HPos::Right, VPos::Center);
    let mut name = String::new();
    for (y, label) in labels(&layout.y.ticks) {
        let y = layout.y.place(y, layout.up());
        name.clear();
        label.push(&mut name);
        sheet.draw_text(&name, &names, (left - 2 * TICK, y))?;
        line(sheet, [(beside - TICK, y), (beside, y)], frame)?;
    }
    line(sheet, [(left, below), (right, below)], frame)?;
    let names = at(HPos::Center, VPos::Top);
    for (x, label) in labels(&layout.x.ticks) {
        let x = layout.x.place(x, layout.across());
        name.clear();
        label.push(&mut name);
        sheet.draw_text(&name, &names, (x, below + 2 * TICK_BELOW))?;
        line(sheet, [(x, below), (x, below + TICK_BELOW)], frame)?;
    }
    sheet.draw(&Rectangle::new([(left, top), (right, low)], frame))?;
    let [at_x, at_y] = layout.origins;
    if let Some(x) = at_x {
        let x = layout.x.place(x, layout.across());
        line(sheet, [(x, low), (x, top)], frame)?;
    }
    if let Some(y) = at_y {
        let y = layout.y.place(y, layout.up());
        line(sheet, [(left, y), (right, y)], frame)?;
    }
    Ok(())
}

fn labels(ticks: &[Tick]) -> impl Iterator<Item = (f64, Decimal)> {
    ticks
        .iter()
        .filter_map(|tick| Some((tick.value, tick.label?)))
}

/// A straight line.
pub(super) fn line(sheet: &Sheet<'_>, ends: [BackendCoord; 2], style: ShapeStyle) -> Drawn<()> {
    sheet.draw(&PathElement::new(ends, style))
}

/// The lines that rule a plot, those with a label or the others, as an element of plotters. Its own
/// mesh asks an axis for key points that it chooses by their number.
struct Mesh<'l> {
    layout: &'l Layout,
    labelled: bool,
}

impl PointCollection<'_, BackendCoord> for &Mesh<'_> {
    type Point = BackendCoord;
    type IntoIter = Empty<BackendCoord>;

    fn point_iter(self) -> Self::IntoIter {
        empty()
    }
}

impl<DB: DrawingBackend> Drawable<DB> for Mesh<'_> {
    fn draw<I: Iterator<Item = BackendCoord>>(
        &self,
        _: I,
        backend: &mut DB,
        _: (u32, u32),
    ) -> Result<(), DrawingErrorKind<DB::ErrorType>> {
        let Self { layout, labelled } = self;
        let share = if *labelled { 0.34 } else { 0.13 };
        let style = Pen::Grid.colour(FULL, Use::Line).mix(share);
        let style = ShapeStyle::from(style).stroke_width(10);
        let ((left, right), (low, top)) = (layout.across(), layout.up());
        let own = |tick: &&Tick| tick.label.is_some() == *labelled;
        for tick in layout.x.ticks.iter().filter(own) {
            let x = layout.x.place(tick.value, (left, right));
            backend.draw_line((x, low), (x, top), &style)?;
        }
        for tick in layout.y.ticks.iter().filter(own) {
            let y = layout.y.place(tick.value, (low, top));
            backend.draw_line((left, y), (right, y), &style)?;
        }
        Ok(())
    }
}
