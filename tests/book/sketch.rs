//! Connection sketches for the chapters: the primary conductor through the cores, the terminals, and
//! what hangs between them. Drawn to no scale; the words say the rest.

use kneemark::chart::STYLE;
use std::fmt::Write as _;

/// What stands at a terminal besides leads.
#[derive(Clone, Copy)]
pub enum At {
    Earth,
    Open(&'static str),
}

/// A box between two terminals, such as a source or a meter, on a level of its own.
struct Link {
    from: usize,
    to: usize,
    level: i32,
    label: &'static str,
}

struct Terminal {
    mark: &'static str,
    x: i32,
    on_primary: bool,
    at: Option<At>,
}

/// A sketch in the making; units are hundredths of a millimetre.
pub struct Sketch {
    title: &'static str,
    description: &'static str,
    terminals: Vec<Terminal>,
    /// First and last terminal of each winding.
    windings: Vec<(usize, usize, &'static str)>,
    links: Vec<Link>,
    shorts: Vec<(usize, usize)>,
    testers: Vec<(usize, &'static str)>,
    next_x: i32,
}

const PITCH: i32 = 2200;
const PRIMARY: i32 = 3600;
const SECONDARY: i32 = 5600;
const LEVEL: i32 = 1300;
const INK: &str = r#"fill="none" stroke="currentColor" stroke-width="32""#;

impl Sketch {
    pub fn new(title: &'static str, description: &'static str) -> Self {
        Self {
            title,
            description,
            terminals: Vec::new(),
            windings: Vec::new(),
            links: Vec::new(),
            shorts: Vec::new(),
            testers: Vec::new(),
            next_x: 2600,
        }
    }

    /// A core with its terminals in the order of the winding.
    pub fn core(mut self, name: &'static str, marks: &[&'static str]) -> Self {
        let first = self.terminals.len();
        for mark in marks {
            self.terminals.push(Terminal {
                mark,
                x: self.next_x,
                on_primary: false,
                at: None,
            });
            self.next_x += PITCH;
        }
        self.next_x += 900;
        self.windings.push((first, self.terminals.len() - 1, name));
        self
    }

    /// Terminals without a winding, as those of a circuit.
    pub fn terminals(self, marks: [&'static str; 2]) -> Self {
        self.core("", &marks)
    }

    /// The primary; the last part, since it passes through all cores.
    pub fn primary(mut self, marks: [&'static str; 2]) -> Self {
        let end = self.next_x;
        for (mark, x) in marks.into_iter().zip([1300, end - 1300]) {
            self.terminals.push(Terminal {
                mark,
                x,
                on_primary: true,
                at: None,
            });
        }
        self
    }

    fn find(&self, mark: &str) -> usize {
        self.terminals
            .iter()
            .position(|terminal| terminal.mark == mark)
            .unwrap()
    }

    pub fn at(mut self, mark: &str, at: At) -> Self {
        let n = self.find(mark);
        self.terminals[n].at = Some(at);
        self
    }

    /// A box between two terminals; `level` 1 is nearest, -1 above. On the primary it stands above. What
    /// stands above a secondary has no plus.
    pub fn link(mut self, from: &str, to: &str, level: i32, label: &'static str) -> Self {
        let (from, to) = (self.find(from), self.find(to));
        self.links.push(Link {
            from,
            to,
            level,
            label,
        });
        self
    }

    pub fn short(mut self, from: &str, to: &str) -> Self {
        let pair = (self.find(from), self.find(to));
        self.shorts.push(pair);
        self
    }

    /// A tester between a terminal and earth.
    pub fn tester(mut self, mark: &str, label: &'static str) -> Self {
        self.testers.push((self.find(mark), label));
        self
    }

    pub fn svg(&self) -> String {
        let deepest = self
            .links
            .iter()
            .filter(|link| !self.terminals[link.from].on_primary)
            .map(|link| link.level)
            .max()
            .unwrap_or(1);
        // Without a primary there is nothing in the upper part.
        let top = if self.terminals.iter().any(|terminal| terminal.on_primary) {
            0
        } else {
            2900
        };
        let (width, height) = (
            self.next_x,
            SECONDARY + 900 + LEVEL * deepest.max(1) + 700 - top,
        );
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"curve\" viewBox=\"0 {top} {width} {height}\" width=\"{}mm\" height=\"{}mm\" \
             role=\"img\" font-family=\"sans-serif\" font-size=\"300\" fill=\"currentColor\"><title>{}</title><desc>{}</desc><style>{STYLE}</style>\
             <text x=\"300\" y=\"{}\" font-size=\"360\" font-weight=\"600\">{}</text>\n",
            width / 100,
            height / 100,
            self.title,
            self.description,
            top + 600,
            self.title
        );
        self.draw_windings(&mut out);
        self.draw_primary(&mut out);
        for link in &self.links {
            self.draw_link(&mut out, link);
        }
        for (from, to) in &self.shorts {
            let (a, b, y) = (
                self.terminals[*from].x,
                self.terminals[*to].x,
                SECONDARY + 900,
            );
            let _ = writeln!(
                out,
                "<path {INK} d=\"M{a} {SECONDARY}V{y}H{b}V{SECONDARY}\"/>"
            );
            text(&mut out, (a + b) / 2, y - 130, "short");
        }
        for (n, label) in &self.testers {
            self.draw_tester(&mut out, self.terminals[*n].x, label);
        }
        for terminal in &self.terminals {
            self.draw_terminal(&mut out, terminal);
        }
        out.push_str("</svg>\n");
        out
    }

    /// The turns between two neighbouring terminals as four bows, the core as a line above them.
    fn draw_windings(&self, out: &mut String) {
        for (first, last, name) in self.windings.iter().filter(|(.., name)| !name.is_empty()) {
            for n in *first..*last {
                let (from, to) = (self.terminals[n].x, self.terminals[n + 1].x);
                let bow = (to - from) / 4;
                let bows = format!("a{} {} 0 0 1 {bow} 0", bow / 2, bow / 2).repeat(4);
                let _ = writeln!(out, "<path {INK} d=\"M{from} {SECONDARY}{bows}\"/>");
            }
            let (a, b) = (self.terminals[*first].x, self.terminals[*last].x);
            let y = SECONDARY - 620;
            let _ = writeln!(out, "<path {INK} d=\"M{a} {y}H{b}M{a} {}H{b}\"/>", y - 110);
            text(out, (a + b) / 2, y - 300, name);
        }
    }

    fn draw_primary(&self, out: &mut String) {
        let ends: Vec<i32> = self
            .terminals
            .iter()
            .filter(|terminal| terminal.on_primary)
            .map(|terminal| terminal.x)
            .collect();
        if let [from, to] = ends[..] {
            let _ = writeln!(
                out,
                "<path fill=\"none\" stroke=\"currentColor\" stroke-width=\"70\" d=\"M{from} {PRIMARY}H{to}\"/>"
            );
        }
    }

    /// Leads from both terminals to a box in the middle; plus on the first one.
    fn draw_link(&self, out: &mut String, link: &Link) {
        let (a, b) = (&self.terminals[link.from], &self.terminals[link.to]);
        let (from_y, y) = if a.on_primary {
            (PRIMARY, PRIMARY - 1000)
        } else {
            (SECONDARY, SECONDARY + 500 + LEVEL * link.level)
        };
        // Leads of a deeper level run beside those of the nearer one.
        let beside = 230 * (link.level.abs() - 1);
        let (x, end, middle) = (a.x - beside, b.x + beside, (a.x + b.x) / 2);
        let half = 230 + 85 * i32::try_from(link.label.chars().count()).unwrap();
        let (left, right) = (middle - half, middle + half);
        let _ = writeln!(
            out,
            "<path {INK} d=\"M{} {from_y}H{x}V{y}H{left}M{right} {y}H{end}V{from_y}H{}\"/>",
            a.x, b.x
        );
        let _ = writeln!(
            out,
            "<rect {INK} x=\"{left}\" y=\"{}\" width=\"{}\" height=\"600\"/>",
            y - 300,
            2 * half
        );
        text(out, middle, y + 105, link.label);
        if link.level > 0 {
            text(out, left - 180, y - 110, "+");
            text(out, right + 180, y - 110, "−");
        }
    }

    fn draw_tester(&self, out: &mut String, x: i32, label: &str) {
        let (top, foot) = (SECONDARY + 1300, SECONDARY + 1900);
        let _ = writeln!(
            out,
            "<path {INK} d=\"M{x} {SECONDARY}V{top}M{x} {foot}V{}\"/>",
            foot + 300
        );
        let _ = writeln!(
            out,
            "<rect {INK} x=\"{}\" y=\"{top}\" width=\"1500\" height=\"600\"/>",
            x - 750
        );
        text(out, x, top + 400, label);
        earth(out, x, foot + 300);
    }

    fn draw_terminal(&self, out: &mut String, terminal: &Terminal) {
        let (x, y) = (
            terminal.x,
            if terminal.on_primary {
                PRIMARY
            } else {
                SECONDARY
            },
        );
        let _ = writeln!(out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"110\"/>");
        // Leads run outward, so that the inside is free.
        let last = self
            .windings
            .iter()
            .any(|(_, last, _)| self.terminals[*last].x == x);
        let outward = if x < self.next_x / 2 { -480 } else { 480 };
        let aside = if terminal.on_primary {
            (x + outward, y + 110)
        } else {
            (x + if last { -360 } else { 360 }, y + 400)
        };
        text(out, aside.0, aside.1, terminal.mark);
        match terminal.at {
            Some(At::Earth) => {
                // Beside the marks on a secondary, below them on the primary.
                let (down, top) = if terminal.on_primary {
                    (x, y + 620)
                } else {
                    (x + 480, y + 350)
                };
                let _ = writeln!(out, "<path {INK} d=\"M{x} {y}H{down}V{top}\"/>");
                earth(out, down, top);
            }
            Some(At::Open(words)) => text(
                out,
                x,
                if terminal.on_primary {
                    y - 330
                } else {
                    y + 760
                },
                words,
            ),
            None => {}
        }
    }
}

/// The sign of earth below a lead.
fn earth(out: &mut String, x: i32, y: i32) {
    for (n, half) in [260, 170, 80].into_iter().enumerate() {
        let y = y + 110 * i32::try_from(n).unwrap();
        let _ = writeln!(out, "<path {INK} d=\"M{} {y}H{}\"/>", x - half, x + half);
    }
}

fn text(out: &mut String, x: i32, y: i32, words: &str) {
    let _ = writeln!(
        out,
        "<text x=\"{x}\" y=\"{y}\" text-anchor=\"middle\">{words}</text>"
    );
}
