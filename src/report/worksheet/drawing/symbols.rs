//! The strokes that drawings are made of, each written as SVG.

use crate::document::escape_html;
use std::fmt::Write as _;

type At = (f64, f64);

/// An SVG in the making.
#[derive(Debug, Default)]
pub struct Sketch {
    body: String,
}

impl Sketch {
    // Writing to a String cannot fail, so its results are passed over.

    pub fn line(&mut self, (x1, y1): At, (x2, y2): At) {
        let _ = write!(self.body, "<path d=\"M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}\"/>");
    }

    /// A thick conductor: the primary, a short.
    pub fn heavy(&mut self, (x1, y1): At, (x2, y2): At) {
        let _ = write!(
            self.body,
            "<path stroke-width=\"3.4\" d=\"M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}\"/>"
        );
    }

    /// The core: a double line.
    pub fn core(&mut self, (x1, y): At, (x2, _): At) {
        let (x1, x2) = (x1 - 8.0, x2 + 8.0);
        let _ = write!(
            self.body,
            "<path d=\"M{x1:.1} {:.1}H{x2:.1}M{x1:.1} {:.1}H{x2:.1}\"/>",
            y - 2.0,
            y + 2.0
        );
    }

    /// A winding: half circles in a row.
    pub fn coil(&mut self, (x1, y): At, (x2, _): At, bumps: u8) {
        let radius = (x2 - x1) / f64::from(bumps) / 2.0;
        let _ = write!(self.body, "<path d=\"M{x1:.1} {y:.1}");
        for _ in 0..bumps {
            let _ = write!(
                self.body,
                "a{radius:.2} {radius:.2} 0 0 1 {:.2} 0",
                2.0 * radius
            );
        }
        self.body.push_str("\"/>");
    }

    /// A winding from top to bottom.
    pub fn coil_down(&mut self, (x, y1): At, (_, y2): At, bumps: u8) {
        let radius = (y2 - y1) / f64::from(bumps) / 2.0;
        let _ = write!(self.body, "<path d=\"M{x:.1} {y1:.1}");
        for _ in 0..bumps {
            let _ = write!(
                self.body,
                "a{radius:.2} {radius:.2} 0 0 0 0 {:.2}",
                2.0 * radius
            );
        }
        self.body.push_str("\"/>");
    }

    pub fn terminal(&mut self, (x, y): At) {
        let _ = write!(
            self.body,
            "<circle class=\"paper\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\"/>"
        );
    }

    /// The polarity mark.
    pub fn dot(&mut self, (x, y): At) {
        let _ = write!(
            self.body,
            "<circle class=\"ink\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\"/>"
        );
    }

    /// A lead from a terminal, set off so that each clip shows, then straight down.
    pub fn clip(&mut self, (x1, y1): At, (x2, y2): At) {
        let _ = write!(
            self.body,
            "<path d=\"M{x1:.1} {:.1}L{x2:.1} {:.1}V{y2:.1}\"/>",
            y1 + 4.0,
            y1 + 12.0
        );
    }

    pub fn earth(&mut self, (x, y): At) {
        let bar =
            |half: f64, down: f64| format!("M{:.1} {:.1}H{:.1}", x - half, y + down, x + half);
        let _ = write!(
            self.body,
            "<path d=\"M{x:.1} {y:.1}v4{}{}{}\"/>",
            bar(11.0, 4.0),
            bar(7.0, 9.0),
            bar(3.0, 14.0)
        );
    }

    /// Earth of the instrument, with the word that matters.
    pub fn instrument_earth(&mut self, (x, y): At) {
        self.line((x, y), (x, y + 10.0));
        self.earth((x, y + 10.0));
        self.text(
            (x + 18.0, y + 27.0),
            "start",
            "instrument: first on, last off",
        );
    }

    pub fn meter(&mut self, at: At, letter: &str) {
        let _ = write!(
            self.body,
            "<circle class=\"paper\" cx=\"{:.1}\" cy=\"{:.1}\" r=\"15\"/>",
            at.0, at.1
        );
        self.strong((at.0, at.1 + 5.0), "middle", letter);
    }

    /// A meter between two places on one level, with its reading beside it.
    pub fn meter_in_line(&mut self, (from, to): (f64, f64), at: At, letter: &str, reading: &str) {
        self.line((from, at.1), (to, at.1));
        self.meter(at, letter);
        self.text((at.0 + 22.0, at.1 - 6.0), "start", reading);
    }

    /// A source of alternating voltage or current: a circle with one wave.
    pub fn source(&mut self, (x, y): At) {
        let _ = write!(
            self.body,
            "<circle class=\"paper\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"15\"/>"
        );
        let _ = write!(
            self.body,
            "<path d=\"M{:.1} {y:.1}q4.5 -11 9 0t9 0\"/>",
            x - 9.0
        );
    }

    pub fn source_in_line(&mut self, (from, to): (f64, f64), at: At, before: &str, behind: &str) {
        self.line((from, at.1), (to, at.1));
        self.source(at);
        self.text((at.0 - 22.0, at.1 - 6.0), "end", before);
        self.text((at.0 + 22.0, at.1 - 6.0), "start", behind);
    }

    /// A battery or source of direct current: long stroke plus, on the left.
    pub fn battery_in_line(&mut self, (from, to): (f64, f64), (x, y): At) {
        self.line((from, y), (x - 4.0, y));
        self.line((x + 4.0, y), (to, y));
        self.line((x - 4.0, y - 13.0), (x - 4.0, y + 13.0));
        self.heavy((x + 4.0, y - 7.0), (x + 4.0, y + 7.0));
        self.text((x - 10.0, y - 8.0), "end", "+");
        self.text((x + 12.0, y - 8.0), "start", "-");
    }

    /// An impedance: a rectangle, with its name above.
    pub fn impedance(&mut self, (x, y): At, text: &str) {
        let _ = write!(
            self.body,
            "<rect class=\"paper\" x=\"{:.1}\" y=\"{:.1}\" width=\"40\" height=\"18\"/>",
            x - 20.0,
            y - 9.0
        );
        self.text((x, y - 15.0), "middle", text);
    }

    /// The same between an upper and a lower conductor.
    pub fn upright_impedance(&mut self, (x, y): At) {
        let _ = write!(
            self.body,
            "<rect class=\"paper\" x=\"{:.1}\" y=\"{:.1}\" width=\"20\" height=\"44\"/>",
            x - 10.0,
            y - 22.0
        );
        self.strong((x, y + 5.0), "middle", "Z");
    }

    pub fn text(&mut self, at: At, anchor: &str, text: &str) {
        self.written(at, anchor, text, "t");
    }

    pub fn strong(&mut self, at: At, anchor: &str, text: &str) {
        self.written(at, anchor, text, "t b");
    }

    pub fn small(&mut self, at: At, anchor: &str, text: &str) {
        self.written(at, anchor, text, "t s");
    }

    fn written(&mut self, (x, y): At, anchor: &str, text: &str, class: &str) {
        if !text.is_empty() {
            let text = escape_html(text);
            let _ = write!(
                self.body,
                "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\">{text}</text>"
            );
        }
    }

    /// The whole element, with its name and description for those who cannot see it.
    pub fn finish(
        self,
        title: &str,
        description: &str,
        (left, top): At,
        (width, height): At,
    ) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"sketch\" viewBox=\"{left} {top} {width} {height}\" role=\"img\" \
             aria-label=\"{}\"><title>{}</title><desc>{}</desc>{}</svg>",
            escape_html(title),
            escape_html(title),
            escape_html(description),
            self.body
        )
    }
}
