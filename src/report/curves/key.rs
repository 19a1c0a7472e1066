//! The key under a plot: what each line and mark stands for, then notes.

use super::figure::{Figure, LEADING, TEXT, stroke};
use super::look::Shape;
use super::text::{width, wrap};

/// Width of a sample and the gap behind it.
const SAMPLE: i32 = 850;
/// Least gap of two columns.
const GAP: i32 = 500;
/// Size of the notes, hundredths of a millimetre.
const NOTE: i32 = 270;

#[derive(Debug)]
struct Entry {
    class: &'static str,
    dash: Option<&'static str>,
    shape: Option<Shape>,
    text: String,
}

/// Entries and notes, in the order given.
#[derive(Debug, Default)]
pub(super) struct Key {
    entries: Vec<Entry>,
    notes: Vec<String>,
}

impl Key {
    /// A line (with its dash), a mark, or both, and its name.
    pub(super) fn entry(
        &mut self,
        class: &'static str,
        dash: Option<&'static str>,
        shape: Option<Shape>,
        text: &str,
    ) {
        self.entries.push(Entry {
            class,
            dash,
            shape,
            text: text.to_string(),
        });
    }

    /// A sentence under the key.
    pub(super) fn note(&mut self, text: impl Into<String>) {
        self.notes.push(text.into());
    }

    /// Says how many points have no place on the axes; nothing if none.
    pub(super) fn skipped(&mut self, count: usize, why: &str) {
        match count {
            0 => {}
            1 => self.note(format!("1 point {why} is not drawn.")),
            n => self.note(format!("{n} points {why} are not drawn.")),
        }
    }

    /// Writes the key in columns; gives the lower end of the sheet.
    pub(super) fn draw(self, figure: &mut Figure, left: i32) -> i32 {
        let right = figure.sheet_width() - 100;
        let wrapped: Vec<Vec<String>> = self
            .entries
            .iter()
            .map(|e| wrap(&e.text, TEXT, right - left - SAMPLE, 5))
            .collect();
        let widest = wrapped
            .iter()
            .flatten()
            .map(|l| width(l, TEXT))
            .max()
            .unwrap_or(0);
        let pitch = SAMPLE + widest + GAP;
        let columns = ((right - left + GAP) / pitch).clamp(1, 4) as usize;
        let mut y = figure.key_top() + 250;
        for (entries, texts) in self.entries.chunks(columns).zip(wrapped.chunks(columns)) {
            for ((entry, lines), column) in entries.iter().zip(texts).zip(0..) {
                write_entry(figure, entry, lines, (left + column * pitch, y));
            }
            let rows = texts.iter().map(Vec::len).max().unwrap_or(1).max(1);
            y += LEADING * rows as i32 + 50;
        }
        write_notes(figure, &self.notes, (left, right), y + 60)
    }
}

fn write_entry(figure: &mut Figure, entry: &Entry, lines: &[String], (x, y): (i32, i32)) {
    sample(figure, entry, (x, y - 105));
    for (row, line) in lines.iter().enumerate() {
        figure.text((x + SAMPLE, y + LEADING * row as i32), "", line);
    }
}

fn write_notes(
    figure: &mut Figure,
    notes: &[String],
    (left, right): (i32, i32),
    mut y: i32,
) -> i32 {
    let lines: Vec<String> = notes
        .iter()
        .flat_map(|note| wrap(note, NOTE, right - left, 6))
        .collect();
    if !lines.is_empty() {
        figure.group(&format!(r#"class="note" font-size="{NOTE}""#), |figure| {
            for line in &lines {
                figure.text((left, y), "", line);
                y += LEADING;
            }
        });
    }
    y - LEADING + 200
}

fn sample(figure: &mut Figure, entry: &Entry, (x, y): (i32, i32)) {
    if let Some(dash) = entry.dash {
        figure.path(
            entry.class,
            &stroke(if entry.class == "curve-this" { 48 } else { 30 }, dash),
            &format!("M{x} {y}h700"),
        );
    }
    if let Some(shape) = entry.shape {
        let mut data = String::new();
        // Writing to a string cannot fail.
        let _ = shape.write(&mut data, x + 350, y);
        figure.path(
            &format!("mark {}", entry.class),
            r#"stroke-width="30""#,
            &data,
        );
    }
}
