//! The chart as plotters builds it: axes, mesh, labels and titles of the axes.

use std::convert::Infallible;

use plotters::chart::{ChartBuilder, ChartContext, LabelAreaPosition};
use plotters::coord::Shift;
use plotters::coord::cartesian::Cartesian2d;
use plotters::drawing::{DrawingArea, DrawingAreaErrorKind};
use plotters::element::Rectangle;
use plotters::series::LineSeries;
use plotters::style::{Color, ShapeStyle, TextStyle};

use super::layout::{BEFORE_KEY, EDGE, Layout, UNDER};
use super::pen::{FULL, Pen, Use};
use super::ruler::Ruler;
use super::svg::{Svg, TEXT};

/// Distance of two lines of ordinary text.
pub(super) const LEADING: i32 = 320;
const TICK: i32 = 50;
/// Longer below, so that the first name there does not meet the lowest one beside the plot.
const TICK_BELOW: i32 = 130;

pub(super) type Sheet<'a> = DrawingArea<Svg<'a>, Shift>;
pub(super) type Plot<'a> = ChartContext<'a, Svg<'a>, Cartesian2d<Ruler, Ruler>>;
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
    lines: &[String],
    (x, y): (i32, i32),
    leading: i32,
    style: &TextStyle<'_>,
) -> Drawn<()> {
    let mut rows = lines.iter().zip(0..);
    rows.try_for_each(|(line, row)| sheet.draw_text(line, style, (x, y + leading * row)))
}

/// The axes with their mesh, labels, titles and frame.
pub(super) fn plot<'a>(sheet: &Sheet<'a>, layout: &Layout) -> Drawn<Plot<'a>> {
    let mut plot = ChartBuilder::on(sheet)
        .margin_top(layout.top)
        .margin_right(layout.right)
        .margin_bottom(BEFORE_KEY)
        .margin_left(EDGE)
        .x_label_area_size(UNDER)
        .y_label_area_size(layout.left - EDGE)
        .build_cartesian_2d(layout.x.clone(), layout.y.clone())?;
    let (frame, grid) = (Pen::Frame.line(FULL), Pen::Grid.colour(FULL, Use::Line));
    let [x, y] = layout.titles;
    plot.configure_mesh()
        .light_line_style(ShapeStyle::from(grid.mix(0.13)).stroke_width(10))
        .bold_line_style(ShapeStyle::from(grid.mix(0.34)).stroke_width(10))
        .axis_style(frame)
        .set_all_tick_mark_size(TICK)
        .set_tick_mark_size(LabelAreaPosition::Bottom, TICK_BELOW)
        .label_style(style(TEXT, Pen::Plain, Use::Line))
        .x_desc(x)
        .y_desc(y)
        .draw()?;
    let (xs, ys) = (plot.x_range(), plot.y_range());
    plot.draw_series([Rectangle::new(
        [(xs.start, ys.end), (xs.end, ys.start)],
        frame,
    )])?;
    let [at_x, at_y] = layout.origins;
    if let Some(x) = at_x {
        plot.draw_series(LineSeries::new([(x, ys.start), (x, ys.end)], frame))?;
    }
    if let Some(y) = at_y {
        across(&mut plot, y, frame)?;
    }
    Ok(plot)
}

/// A level line through the whole plot; gives its place.
pub(super) fn across(plot: &mut Plot<'_>, y: f64, style: ShapeStyle) -> Drawn<i32> {
    let xs = plot.x_range();
    plot.draw_series(LineSeries::new([(xs.start, y), (xs.end, y)], style))?;
    Ok(plot.backend_coord(&(xs.start, y)).1)
}
