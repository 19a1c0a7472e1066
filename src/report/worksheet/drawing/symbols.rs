//! The strokes that drawings are made of, each written as SVG.

use crate::document::escape_html;

type At = (f64, f64);

/// How far behind its first contact the conductor goes on after an open switch.
pub const BLADE: f64 = 38.0;

/// An SVG in the making.
#[derive(Debug, Default)]
pub struct Sketch {
    body: String,
}

impl Sketch {
    fn path(&mut self, d: &str) {
        self.body += &format!("<path d=\"{d}\"/>");
    }

    pub fn line(&mut self, (x1, y1): At, (x2, y2): At) {
        self.path(&format!("M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}"));
    }

    /// A line from one place to the next.
    pub fn lines(&mut self, places: &[At]) {
        let words = places.iter().map(|(x, y)| format!("{x:.1} {y:.1}"));
        self.path(&format!("M{}", words.collect::<Vec<_>>().join("L")));
    }

    /// An open switch or link, its blade off: two contacts [`BLADE`] apart, but for the radius of the second.
    pub fn open_blade(&mut self, (x, y): At) {
        self.terminal((x, y));
        self.line((x + 3.0, y - 3.0), (x + 26.0, y - 18.0));
        self.terminal((x + BLADE - 4.0, y));
    }

    /// A thick conductor: the primary, a short.
    pub fn heavy(&mut self, (x1, y1): At, (x2, y2): At) {
        let d = format!("M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}");
        self.body += &format!("<path stroke-width=\"3.4\" d=\"{d}\"/>");
    }

    /// The core: a double line.
    pub fn core(&mut self, (x1, y): At, (x2, _): At) {
        for y in [y - 2.0, y + 2.0] {
            self.line((x1 - 8.0, y), (x2 + 8.0, y));
        }
    }

    /// A winding, to the right or down: half circles in a row.
    pub fn coil(&mut self, (x1, y1): At, (x2, y2): At, bumps: u8) {
        let (dx, dy) = ((x2 - x1) / f64::from(bumps), (y2 - y1) / f64::from(bumps));
        let (radius, sweep) = ((dx + dy) / 2.0, u8::from(dy == 0.0));
        let bump = format!("a{radius:.2} {radius:.2} 0 0 {sweep} {dx:.2} {dy:.2}");
        let bumps = bump.repeat(usize::from(bumps));
        self.path(&format!("M{x1:.1} {y1:.1}{bumps}"));
    }

    fn circle(&mut self, class: &str, (x, y): At, radius: u8) {
        self.body +=
            &format!("<circle class=\"{class}\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\"/>");
    }

    /// A box around a place.
    fn rect(&mut self, (x, y): At, (width, height): At) {
        let (left, top) = (x - width / 2.0, y - height / 2.0);
        self.body += &format!(
            "<rect class=\"paper\" x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width}\" height=\"{height}\"/>"
        );
    }

    pub fn terminal(&mut self, at: At) {
        self.circle("paper", at, 4);
    }

    /// The polarity mark.
    pub fn dot(&mut self, at: At) {
        self.circle("ink", at, 3);
    }

    /// A lead from a terminal, set off so that each clip shows, then straight down.
    pub fn clip(&mut self, (x1, y1): At, (x2, y2): At) {
        self.lines(&[(x1, y1 + 4.0), (x2, y1 + 12.0), (x2, y2)]);
    }

    /// Earth, at the end of a lead of some length.
    pub fn earth(&mut self, (x, y): At, lead: f64) {
        let foot = y + lead + 4.0;
        self.line((x, y), (x, foot));
        for (half, down) in [(11.0, 0.0), (7.0, 5.0), (3.0, 10.0)] {
            self.line((x - half, foot + down), (x + half, foot + down));
        }
    }

    /// Earth of the instrument, with the word that matters.
    pub fn instrument_earth(&mut self, (x, y): At) {
        self.earth((x, y), 10.0);
        let words = "instrument: first on, last off";
        self.text((x - 16.0, y + 27.0), "end", words);
    }

    pub fn meter(&mut self, at: At, letter: &str) {
        self.circle("paper", at, 15);
        self.strong((at.0, at.1 + 5.0), "middle", letter);
    }

    /// A source of alternating voltage or current: a circle with one wave.
    pub fn source(&mut self, (x, y): At) {
        self.circle("paper", (x, y), 15);
        self.path(&format!("M{:.1} {y:.1}q4.5 -11 9 0t9 0", x - 9.0));
    }

    /// Words on both sides of a symbol, a little above its level.
    pub fn around(&mut self, (x, y): At, before: &str, behind: &str) {
        self.text((x - 22.0, y - 6.0), "end", before);
        self.text((x + 22.0, y - 6.0), "start", behind);
    }

    /// A battery or source of direct current: long stroke plus, on the left.
    pub fn battery(&mut self, (from, to): (f64, f64), (x, y): At) {
        self.line((from, y), (x - 4.0, y));
        self.line((x + 4.0, y), (to, y));
        self.line((x - 4.0, y - 13.0), (x - 4.0, y + 13.0));
        self.heavy((x + 4.0, y - 7.0), (x + 4.0, y + 7.0));
        self.text((x - 10.0, y - 8.0), "end", "+");
        self.text((x + 12.0, y - 8.0), "start", "-");
    }

    /// An impedance: a rectangle, with its name above.
    pub fn impedance(&mut self, (x, y): At, text: &str) {
        self.rect((x, y), (40.0, 18.0));
        self.text((x, y - 15.0), "middle", text);
    }

    /// The same between an upper and a lower conductor.
    pub fn upright_impedance(&mut self, (x, y): At) {
        self.rect((x, y), (20.0, 44.0));
        self.strong((x, y + 5.0), "middle", "Z");
    }

    pub fn text(&mut self, at: At, anchor: &str, text: &str) {
        self.written("t", at, anchor, text);
    }

    pub fn strong(&mut self, at: At, anchor: &str, text: &str) {
        self.written("t b", at, anchor, text);
    }

    /// Small lines, each below the one before.
    pub fn small<'t>(&mut self, at: At, anchor: &str, lines: impl IntoIterator<Item = &'t str>) {
        self.below("t s", at, anchor, 14.0, lines);
    }

    /// Lines of a class, each so far below the one before.
    pub fn below<'t>(
        &mut self,
        class: &str,
        (x, y): At,
        anchor: &str,
        step: f64,
        lines: impl IntoIterator<Item = &'t str>,
    ) {
        for (line, text) in (0u8..).zip(lines) {
            self.written(class, (x, y + step * f64::from(line)), anchor, text);
        }
    }

    fn written(&mut self, class: &str, (x, y): At, anchor: &str, text: &str) {
        if !text.is_empty() {
            let text = escape_html(text);
            self.body += &format!(
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
        let (title, description) = (escape_html(title), escape_html(description));
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"sketch\" viewBox=\"{left} {top} {width} {height}\" role=\"img\" \
             aria-label=\"{title}\"><title>{title}</title><desc>{description}</desc>{}</svg>",
            self.body
        )
    }
}
