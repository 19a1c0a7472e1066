//! The key under a plot: what each line and mark stands for, then notes.

use plotters::element::PathElement;

use super::pen::{Dash, Pen, Use};
use super::plot::{Drawn, LEADING, Sheet, style, write};
use super::stamp::{Shape, Stamp};
use super::svg::TEXT;
use super::text::{width, wrap};

/// Length of a sample line, and the start of the text behind it.
const SAMPLE: (i32, i32) = (700, 850);
/// Least gap of two columns.
const GAP: i32 = 500;
/// Size of the notes, hundredths of a millimetre.
const NOTE: i32 = 270;

/// A line, a mark, or both, and its name.
#[derive(Debug)]
pub(super) struct Entry {
    pub pen: Pen,
    pub dash: Option<Dash>,
    pub shape: Option<Shape>,
    pub text: String,
}

/// Writes entries in columns, then the notes; gives the height that they took.
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
    let widths = wrapped.iter().flatten().map(|line| width(line, TEXT));
    let pitch = SAMPLE.1 + widths.max().unwrap_or(0) + GAP;
    let columns = ((right - left + GAP) / pitch).clamp(1, 4) as usize;
    let text = style(TEXT, Pen::Plain, Use::Line);
    let mut y = 0;
    for (entries, texts) in entries.chunks(columns).zip(wrapped.chunks(columns)) {
        for ((entry, lines), column) in entries.iter().zip(texts).zip(0..) {
            let x = left + column * pitch;
            sample(sheet, entry, (x, y + 125))?;
            write(sheet, lines, (x + SAMPLE.1, y), LEADING, &text)?;
        }
        let rows = texts.iter().map(Vec::len).max().unwrap_or(0).max(1);
        y += LEADING * rows as i32 + 50;
    }
    let lines: Vec<String> = notes
        .iter()
        .flat_map(|note| wrap(note, NOTE, right - left, 6))
        .collect();
    y += 60;
    let note = style(NOTE, Pen::Note, Use::Line);
    write(sheet, &lines, (left, y), LEADING, &note)?;
    Ok(y + LEADING * lines.len() as i32 + 40)
}

fn sample(sheet: &Sheet<'_>, entry: &Entry, (x, y): (i32, i32)) -> Drawn<()> {
    if let Some(dash) = entry.dash {
        let line = vec![(x, y), (x + SAMPLE.0, y)];
        sheet.draw(&PathElement::new(line, entry.pen.line(dash)))?;
    }
    if let Some(shape) = entry.shape {
        let (at, style) = ((x + SAMPLE.0 / 2, y), entry.pen.mark());
        sheet.draw(&Stamp { at, shape, style })?;
    }
    Ok(())
}
