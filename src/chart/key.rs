//! The key under a plot: what each line and mark stands for, then notes.

use plotters::element::Polygon;

use super::pen::{Dash, FULL, Pen, Use};
use super::plot::{self, Drawn, LEADING, Sheet, style, write};
use super::stamp::{Shape, Stamp};
use super::strokes::{Hand, strokes};
use super::svg::TEXT;
use super::text::{width, wrap};

/// Length of a sample line, and the start of the text behind it.
const SAMPLE: (i32, i32) = (600, 720);
/// Gap of two entries in a line.
const GAP: i32 = 300;

/// What stands in front of a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sample {
    None,
    Line(Dash),
    Band,
    /// A limit's line, with strokes below it.
    Limit(Dash),
}

/// A line, a mark, or both, and its name.
#[derive(Debug)]
pub(super) struct Entry {
    pub pen: Pen,
    pub sample: Sample,
    pub shape: Option<Shape>,
    pub text: String,
}

/// Writes entries behind each other in lines, then the notes; gives the height that they took.
pub(super) fn draw(
    entries: &[Entry],
    notes: &[String],
    sheet: &Sheet<'_>,
    (left, right): (i32, i32),
) -> Drawn<i32> {
    let wrapped: Vec<Vec<String>> = entries
        .iter()
        .map(|entry| wrap(&entry.text, TEXT, right - left - SAMPLE.1, 5))
        .collect();
    let text = style(TEXT, Pen::Plain, Use::Line);
    let (mut x, mut y, mut rows) = (left, 0, 0);
    for (entry, lines) in entries.iter().zip(&wrapped) {
        let widths = lines.iter().map(|line| width(line, TEXT));
        let wide = SAMPLE.1 + widths.max().unwrap_or(0);
        if x > left && x + wide > right {
            (x, y) = (left, y + rows * LEADING + 40);
            rows = 0;
        }
        sample(sheet, entry, (x, y + 110))?;
        write(sheet, lines, (x + SAMPLE.1, y), LEADING, &text)?;
        rows = rows.max(lines.len() as i32).max(1);
        x += wide + GAP;
    }
    y += rows * LEADING + 40;
    let lines: Vec<String> = notes
        .iter()
        .flat_map(|note| wrap(note, TEXT, right - left, 8))
        .collect();
    y += 40;
    let note = style(TEXT, Pen::Note, Use::Line);
    write(sheet, &lines, (left, y), LEADING, &note)?;
    Ok(y + LEADING * lines.len() as i32 + 40)
}

fn sample(sheet: &Sheet<'_>, entry: &Entry, (x, y): (i32, i32)) -> Drawn<()> {
    let line = [(x, y), (x + SAMPLE.0, y)];
    match entry.sample {
        Sample::None => {}
        Sample::Line(dash) => plot::line(sheet, line, entry.pen.line(dash))?,
        Sample::Band => {
            let [low, high, end] = [y + 80, y - 80, x + SAMPLE.0];
            let ring = vec![(x, low), (x, high), (end, high), (end, low)];
            sheet.draw(&Polygon::new(ring, entry.pen.colour(FULL, Use::Fill)))?;
        }
        Sample::Limit(dash) => {
            for stroke in strokes(&line, Hand::Right) {
                plot::line(sheet, stroke, entry.pen.line(FULL).stroke_width(18))?;
            }
            plot::line(sheet, line, entry.pen.line(dash))?;
        }
    }
    if let Some(shape) = entry.shape {
        let (at, style) = ((x + SAMPLE.0 / 2, y), entry.pen.mark());
        sheet.draw(&Stamp { at, shape, style })?;
    }
    Ok(())
}
