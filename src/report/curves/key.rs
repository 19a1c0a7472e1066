//! The key under a plot: what each line and mark stands for, then notes.

use super::figure::{Figure, LEADING, TEXT, stroke};
use super::look::Shape;
use super::text::{width, wrap};

const SAMPLE: i32 = 850;
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

    /// Writes the key; gives the lower end of the sheet.
    pub(super) fn draw(self, figure: &mut Figure, left: i32) -> i32 {
        let right = figure.sheet_width() - 100;
        let mut y = figure.key_top() + 250;
        let mut x = left;
        let mut used = false;
        for entry in &self.entries {
            let lines = wrap(&entry.text, TEXT, right - left - SAMPLE, 5);
            let w = SAMPLE + lines.iter().map(|l| width(l, TEXT)).max().unwrap_or(0);
            if x > left && x + w > right {
                (x, y) = (left, y + LEADING + 50);
            }
            sample(figure, entry, (x, y - 105));
            for (row, line) in lines.iter().enumerate() {
                figure.text((x + SAMPLE, y + LEADING * row as i32), "", line);
            }
            x += w + 550;
            if lines.len() > 1 {
                (x, y) = (left, y + LEADING * lines.len() as i32 + 50);
            }
            used = x > left;
        }
        if used {
            y += LEADING + 80;
        }
        let lines: Vec<String> = self
            .notes
            .iter()
            .flat_map(|note| wrap(note, NOTE, right - left, 6))
            .collect();
        figure.group(&format!(r#"class="note" font-size="{NOTE}""#), |figure| {
            for line in &lines {
                figure.text((left, y), "", line);
                y += LEADING;
            }
        });
        y - LEADING + 200
    }
}

fn sample(figure: &mut Figure, entry: &Entry, (x, y): (i32, i32)) {
    if let Some(dash) = entry.dash {
        figure.path(entry.class, &stroke(45, dash), &format!("M{x} {y}h700"));
    }
    if let Some(shape) = entry.shape {
        let mut data = String::new();
        // Writing to a string cannot fail.
        let _ = shape.write(&mut data, x + 350, y);
        figure.path(entry.class, r#"stroke-width="30""#, &data);
    }
}
