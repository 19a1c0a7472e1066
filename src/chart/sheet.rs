//! A chart on its sheet: heading, plot, labels, key, and the SVG element around them.

use std::fmt::Write;

use plotters::drawing::IntoDrawingArea;
use plotters::element::PathElement;
use plotters::style::{FontStyle, IntoFont, TextStyle};

use super::key::{self, Entry, Sample};
use super::labels::Labels;
use super::layout::{HEADING, HEADING_LEADING, Layout, SHEET};
use super::pen::{DOTS, Pen, Use};
use super::plot::{self, Drawn, Sheet, style, write};
use super::space::Space;
use super::stamp::Stamp;
use super::strokes::Hand;
use super::svg::{Svg, TEXT};
use super::text::{clean, safe_id};
use super::valid::skipped_note;
use super::{Chart, Curve, Limit, strokes};
use crate::ground::calm::escape_html;

/// Higher than any sheet; how high it is shows when the key is written.
const TALL: u32 = 1_000_000;

impl Chart {
    /// The chart as an SVG element; `id` is made safe and starts every id inside. Points without a
    /// place on the axes are left out, and a note says how many.
    pub fn svg(self, id: &str) -> String {
        let (mut chart, skipped) = self.cleaned();
        let layout = Layout::of(&chart);
        chart.notes.extend(skipped_note(skipped));
        chart.notes.extend(layout.note.clone());
        if chart.curves.is_empty() && chart.marks.is_empty() {
            chart.notes.push("There are no values to draw.".to_owned());
        }
        let mut body = String::with_capacity(12 << 10);
        let height = chart.draw(&layout, &mut body);
        if height.is_err() {
            // Left out whole, never in part; title and description stay.
            body.clear();
        }
        let (id, w, h) = (safe_id(id), SHEET, layout.bottom() + height.unwrap_or(0));
        let (wide, high) = (millimetres(w), millimetres(h));
        let [title, description] =
            [&chart.title, &chart.description].map(|text| escape_html(&clean(text)));
        let mut svg = String::with_capacity(body.len() + 1024);
        // Writing to a string cannot fail.
        let _ = write!(
            svg,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"curve\" viewBox=\"0 0 {w} {h}\" \
             width=\"{wide}mm\" height=\"{high}mm\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" \
             font-family=\"sans-serif\" font-size=\"{TEXT}\" fill=\"currentColor\"><title id=\"{id}-title\">{title}\
             </title><desc id=\"{id}-desc\">{description}</desc>{body}</svg>"
        );
        svg
    }

    /// Draws all; gives the height of the key.
    fn draw<'a>(&self, layout: &Layout, body: &'a mut String) -> Drawn<i32> {
        // The last line of a sheet lies within it.
        let size = (SHEET.unsigned_abs() + 1, TALL);
        let root: Sheet<'a> = Svg::new(body, size).into_drawing_area();
        let (sheet, below) = root.split_vertically(layout.bottom() + 1);
        let style = TextStyle {
            font: ("sans-serif", HEADING, FontStyle::Bold).into_font(),
            ..style(HEADING, Pen::Plain, Use::Line)
        };
        write(&sheet, &layout.heading, (50, 60), HEADING_LEADING, &style)?;
        let (sheet, ends) = (&sheet, layout.across());
        plot::plot(sheet, layout)?;
        let looks = self.looks(layout);
        let mut space = Space::new(layout.frame);
        let is_limit = |curve: &&Curve| curve.pen == Pen::Limit;
        let first = self.curves.iter().filter(is_limit).count();
        let dashes = (first..).map(|n| Pen::Limit.dash(n));
        let limits: Vec<_> = self.limits.iter().zip(dashes).collect();
        let level = |limit: &Limit| layout.y.place(limit.at, layout.up());
        self.draw_bands(sheet, layout, &mut space)?;
        for (limit, dash) in &limits {
            let y = level(limit);
            let line = [(ends.0, y), (ends.1, y)];
            plot::line(sheet, line, Pen::Limit.line(*dash))?;
            space.line(line[0], line[1]);
            strokes::draw(sheet, &mut space, &line, Hand::Right)?;
        }
        self.draw_guides(sheet, layout, &mut space)?;
        self.draw_curves(sheet, &mut space, &looks)?;
        for mark in &self.marks {
            let (at, shape, style) = (layout.place(mark.at), mark.shape, mark.pen.mark());
            space.keep_mark(at, shape);
            sheet.draw(&Stamp { at, shape, style })?;
        }
        let mut labels = Labels {
            sheet,
            space,
            rest: Vec::new(),
            numbered: 0,
        };
        for (limit, dash) in limits {
            labels.limit(limit, dash, level(limit), ends)?;
        }
        for mark in &self.marks {
            labels.mark(mark, layout.place(mark.at))?;
        }
        let entries = self.entries(&looks).chain(self.band_entries());
        let entries: Vec<Entry> = entries.chain(labels.rest).chain(self.side()).collect();
        let room = (150, SHEET - 50);
        let height = key::draw(&entries, &self.notes, &below, room)?;
        root.present()?;
        Ok(height)
    }

    /// What the strokes say, where there are any.
    fn side(&self) -> Option<Entry> {
        let walls = self.marks.iter().any(|mark| mark.shape.is_wall());
        let lines = self.curves.iter().any(|curve| curve.off.is_some());
        (walls || lines || !self.limits.is_empty()).then(|| Entry {
            pen: Pen::Limit,
            sample: Sample::Limit(Pen::Limit.dash(0)),
            shape: None,
            text: "limit; strokes on the side to keep off".to_owned(),
        })
    }

    fn draw_guides(&self, sheet: &Sheet<'_>, layout: &Layout, space: &mut Space) -> Drawn<()> {
        let (left, bottom) = (layout.across().0, layout.up().0);
        for mark in self.marks.iter().filter(|mark| mark.guides) {
            let at = layout.place(mark.at);
            let corner = [(left, at.1), at, (at.0, bottom)];
            space.curve(corner.into_iter());
            sheet.draw(&PathElement::new(corner, Pen::Leader.line(DOTS)))?;
        }
        Ok(())
    }
}

fn millimetres(length: i32) -> String {
    format!("{}.{:02}", length / 100, length % 100)
}
