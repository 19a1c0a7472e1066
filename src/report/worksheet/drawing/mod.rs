//! Connection drawings: a winding with its terminals as stamped, the primary through its core, source,
//! meters, earths. Lines and plain symbols in the general sense of IEC 60617; black on white; text stays
//! text.

mod burden;
mod symbols;

pub use burden::burden;

use self::symbols::Sketch;

/// What an end of the primary does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    Open,
    Earthed,
}

/// What is connected to the primary.
#[derive(Clone, Debug, PartialEq)]
pub enum Primary {
    /// Each end for itself.
    Ends(End, End),
    /// A voltmeter between the ends, the second one earthed, with what it is to show.
    Sensed(String),
    /// A current source between the ends, with its current.
    Driven(String),
    /// A battery between the ends, plus on the first.
    Battery,
    /// Both ends tied to the insulation tester.
    Tested,
    /// Both ends tied and earthed.
    TiedAndEarthed,
}

/// What is connected to the winding under test.
#[derive(Clone, Debug, PartialEq)]
pub enum Secondary {
    /// A source of alternating voltage, with a voltmeter and an ammeter, and lines that say how high.
    Alternating(Vec<String>),
    /// A source of direct current, with a voltmeter clipped inside.
    Direct(String),
    /// A meter alone: its letter, and what stands beside it; without that, its plus.
    Meter(&'static str, &'static str),
    /// An ammeter and a burden in a loop.
    Loop(String),
    /// All terminals tied to the insulation tester.
    Tested,
    /// All terminals tied and earthed.
    TiedAndEarthed,
}

/// A terminal of the winding.
#[derive(Clone, Debug, PartialEq)]
pub struct Terminal {
    pub mark: String,
    /// What it reaches, for one that stays open.
    pub open: Option<Vec<String>>,
}

/// A drawing before it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    pub title: String,
    pub description: String,
    pub primary_marks: (String, String),
    pub primary: Primary,
    /// Whether the primary is somebody else's: its marks are sides of the window, and nothing is put to it
    /// but a lead of one's own.
    pub foreign: bool,
    pub core: String,
    pub terminals: Vec<Terminal>,
    /// Turns between neighbouring terminals, as text.
    pub sections: Vec<String>,
    /// Positions of the driven terminals.
    pub driven: (usize, usize),
    pub secondary: Secondary,
    /// Other cores, shorted and earthed: one line each.
    pub others: Vec<String>,
}

const WIDTH: f64 = 520.0;
const LEFT: f64 = 30.0;
const RIGHT: f64 = 500.0;
const TOP: f64 = 30.0;
const PRIMARY: f64 = 92.0;
const SWITCH: f64 = 110.0;
const CORE: f64 = 124.0;
const WINDING: f64 = 146.0;
const TERMINAL: f64 = 192.0;
const SENSE: f64 = 256.0;
const SOURCE: f64 = 308.0;
const HEIGHT: f64 = 366.0;

/// Draws it as one `<svg>` element.
#[must_use]
pub fn draw(picture: &Picture) -> String {
    let mut sketch = Sketch::default();
    primary(picture, &mut sketch);
    let end = if picture.others.is_empty() {
        455.0
    } else {
        345.0
    };
    winding(picture, (65.0, end), &mut sketch);
    secondary(picture, (65.0, end), &mut sketch);
    if !picture.others.is_empty() {
        others(&picture.others, &mut sketch);
    }
    let (top, bottom) = extent(picture);
    sketch.finish(
        &picture.title,
        &picture.description,
        (0.0, top),
        (WIDTH, bottom - top),
    )
}

/// Where the paper can be cut above and below.
fn extent(picture: &Picture) -> (f64, f64) {
    let top = if matches!(picture.primary, Primary::Ends(..)) {
        // A line of words more stands above a primary that is somebody else's.
        PRIMARY - if picture.foreign { 42.0 } else { 32.0 }
    } else {
        4.0
    };
    let bottom = match picture.secondary {
        Secondary::Alternating(_) | Secondary::Direct(_) => HEIGHT,
        Secondary::Meter(..) => SENSE + 26.0,
        Secondary::Loop(_) => SOURCE + 34.0,
        Secondary::Tested => SENSE + 76.0,
        Secondary::TiedAndEarthed => TERMINAL + 66.0,
    };
    #[allow(clippy::cast_precision_loss, reason = "a few lines of text")]
    let words = if picture.others.is_empty() {
        0.0
    } else {
        TERMINAL + 62.0 + 14.0 * picture.others.len() as f64
    };
    (top, bottom.max(words))
}

fn primary(picture: &Picture, s: &mut Sketch) {
    s.heavy((LEFT, PRIMARY), (RIGHT, PRIMARY));
    let (first, second) = &picture.primary_marks;
    if picture.foreign {
        let (first, second) = (format!("{first} side"), format!("{second} side"));
        s.text((LEFT + 8.0, PRIMARY - 8.0), "start", &first);
        s.text((RIGHT - 8.0, PRIMARY - 8.0), "end", &second);
        let is_own = matches!(
            picture.primary,
            Primary::Sensed(_) | Primary::Driven(_) | Primary::Battery
        );
        let (words, above) = if is_own {
            ("own lead through the window", 8.0)
        } else {
            // Too long to stand between the names of the sides.
            (
                "not the unit's: isolated, earthed at one side at most",
                22.0,
            )
        };
        s.text((WIDTH / 2.0, PRIMARY - above), "middle", words);
    } else {
        s.terminal((LEFT, PRIMARY));
        s.terminal((RIGHT, PRIMARY));
        s.text((LEFT + 8.0, PRIMARY - 8.0), "start", first);
        s.text((RIGHT - 8.0, PRIMARY - 8.0), "end", second);
    }
    s.dot((LEFT + 44.0, PRIMARY + 9.0));
    let (middle, level) = (WIDTH / 2.0, 60.0);
    let loop_to = |s: &mut Sketch, y: f64| {
        let (left, right) = ((LEFT, PRIMARY), (RIGHT, PRIMARY));
        s.lines(&[left, (LEFT, y), (RIGHT, y), right]);
    };
    // A lead of one's own has no earth of the primary to keep.
    let earth = |s: &mut Sketch| {
        if !picture.foreign {
            end(End::Earthed, RIGHT, "end", s);
        }
    };
    match &picture.primary {
        Primary::Ends(first, second) => {
            if !picture.foreign {
                end(*first, LEFT, "start", s);
                end(*second, RIGHT, "end", s);
            }
        }
        Primary::Sensed(reading) => {
            loop_to(s, TOP);
            s.meter((middle, TOP), "V");
            s.around((middle, TOP), "", reading);
            earth(s);
        }
        Primary::Driven(current) => {
            loop_to(s, TOP);
            s.source((middle, TOP));
            s.around((middle, TOP), "high current", current);
            earth(s);
        }
        Primary::Battery => {
            for x in [LEFT, RIGHT] {
                s.line((x, PRIMARY), (x, TOP));
            }
            s.line((LEFT, TOP), (SWITCH, TOP));
            s.open_blade((SWITCH, TOP));
            s.text((SWITCH - 6.0, TOP - 9.0), "end", "switch");
            s.battery((SWITCH + symbols::BLADE, RIGHT), (middle, TOP));
            earth(s);
        }
        Primary::Tested => {
            loop_to(s, level);
            s.line((middle, level), (middle, TOP));
            s.meter((middle, TOP), "\u{3a9}");
            s.text((middle - 24.0, TOP + 5.0), "end", "insulation tester +");
            s.line((middle + 16.0, TOP), (middle + 60.0, TOP));
            s.earth((middle + 60.0, TOP), 0.0);
        }
        Primary::TiedAndEarthed => {
            loop_to(s, level);
            s.text((middle, 52.0), "middle", "tied together, earthed");
            end(End::Earthed, LEFT, "start", s);
        }
    }
}

fn end(end: End, x: f64, anchor: &str, s: &mut Sketch) {
    match end {
        End::Open => s.text((x, PRIMARY + 22.0), anchor, "open"),
        End::Earthed => s.earth((x, PRIMARY), 16.0),
    }
}

/// Places of the terminals along the winding.
fn places(count: usize, (from, to): (f64, f64)) -> Vec<f64> {
    let steps = count.saturating_sub(1).max(1);
    #[allow(
        clippy::cast_precision_loss,
        reason = "a winding has at most twenty terminals"
    )]
    (0..count)
        .map(|at| from + (to - from) * at as f64 / steps as f64)
        .collect()
}

fn winding(picture: &Picture, (from, to): (f64, f64), s: &mut Sketch) {
    s.core((from, CORE), (to, CORE));
    s.text(((from + to) / 2.0, CORE - 9.0), "middle", &picture.core);
    let places = places(picture.terminals.len(), (from, to));
    let bumps = if picture.terminals.len() == 2 { 12 } else { 4 };
    for (index, pair) in places.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        s.coil((*a, WINDING), (*b, WINDING), bumps);
        if let Some(turns) = picture.sections.get(index) {
            let at = ((a + b) / 2.0, WINDING + 20.0);
            s.small(at, "middle", [turns.as_str()]);
        }
    }
    s.dot((from - 12.0, WINDING + 2.0));
    for (index, (terminal, x)) in picture.terminals.iter().zip(&places).enumerate() {
        s.line((*x, WINDING), (*x, TERMINAL));
        s.terminal((*x, TERMINAL));
        let last = index + 1 == picture.terminals.len();
        let (at, anchor) = if last {
            (x - 7.0, "end")
        } else {
            (x + 7.0, "start")
        };
        s.strong((at, TERMINAL - 6.0), anchor, &terminal.mark);
        let open = terminal.open.iter().flatten().map(String::as_str);
        s.below("t", (*x, TERMINAL + 19.0), "middle", 15.0, open);
    }
}

fn secondary(picture: &Picture, span: (f64, f64), s: &mut Sketch) {
    let places = places(picture.terminals.len(), span);
    let place = |at: usize| places.get(at).copied().unwrap_or(span.0);
    let (a, b) = (place(picture.driven.0), place(picture.driven.1));
    let middle = (a + b) / 2.0;
    match &picture.secondary {
        Secondary::Alternating(_) | Secondary::Direct(_) => {
            sensed(s, (a + 9.0, b - 9.0), (a, b), SENSE, "V");
            s.clip((a, TERMINAL), (a - 9.0, SOURCE));
            s.clip((b, TERMINAL), (b + 9.0, SOURCE));
            let (span, at) = ((a - 9.0, b + 9.0), (middle, SOURCE));
            if let Secondary::Direct(told) = &picture.secondary {
                s.battery(span, at);
                s.text((middle + 34.0, SOURCE - 8.0), "start", told);
            }
            if let Secondary::Alternating(told) = &picture.secondary {
                s.line((span.0, SOURCE), (span.1, SOURCE));
                s.source(at);
                let mut told = told.iter().map(String::as_str);
                s.around(at, "", told.next().unwrap_or_default());
                s.below("t", (middle + 22.0, SOURCE + 16.0), "start", 15.0, told);
            }
            s.meter((a + 42.0, SOURCE), "A");
            // The one earth of the core under test, on the minus lead.
            s.earth((b + 9.0, SOURCE), 8.0);
            s.text((b + 24.0, SOURCE + 42.0), "end", "the core's one earth");
            s.instrument_earth((middle, SOURCE + 15.0));
        }
        Secondary::Meter(letter, beside) => {
            sensed(s, (a, b), (a, b), SENSE, letter);
            if beside.is_empty() {
                s.text((a + 6.0, SENSE - 6.0), "start", "+");
            } else {
                s.text((middle + 20.0, SENSE - 6.0), "start", beside);
                s.earth((b, SENSE), 8.0);
            }
        }
        Secondary::Loop(text) => {
            sensed(s, (a, b), (a, b), SOURCE, "A");
            s.impedance((b - 70.0, SOURCE), text);
            s.earth((b, SOURCE), 8.0);
        }
        Secondary::Tested | Secondary::TiedAndEarthed => {
            tied(&places, &picture.secondary, middle, s);
        }
    }
}

/// A meter on a level, between leads from two terminals.
fn sensed(s: &mut Sketch, (from, to): (f64, f64), (a, b): (f64, f64), y: f64, letter: &str) {
    s.clip((a, TERMINAL), (from, y));
    s.clip((b, TERMINAL), (to, y));
    s.line((from, y), (to, y));
    s.meter(((a + b) / 2.0, y), letter);
}

/// All terminals joined below, to the tester or to earth.
fn tied(places: &[f64], secondary: &Secondary, middle: f64, s: &mut Sketch) {
    let bar = TERMINAL + 24.0;
    for x in places {
        s.line((*x, TERMINAL), (*x, bar));
    }
    if let (Some(first), Some(last)) = (places.first(), places.last()) {
        s.heavy((*first, bar), (*last, bar));
    }
    if *secondary == Secondary::TiedAndEarthed {
        return s.earth((middle, bar), 16.0);
    }
    s.line((middle, bar), (middle, SENSE + 14.0));
    s.meter((middle, SENSE + 14.0), "\u{3a9}");
    s.text((middle - 24.0, SENSE + 19.0), "end", "tester +");
    s.earth((middle, SENSE + 30.0), 20.0);
    let words = "-, and the instrument's earth";
    s.text((middle + 20.0, SENSE + 62.0), "start", words);
}

fn others(lines: &[String], s: &mut Sketch) {
    let (from, to) = (392.0, 462.0);
    let (middle, short) = ((from + to) / 2.0, TERMINAL + 14.0);
    s.core((from, CORE), (to, CORE));
    s.text((middle, CORE - 9.0), "middle", "other cores");
    s.coil((from, WINDING), (to, WINDING), 5);
    for x in [from, to] {
        s.line((x, WINDING), (x, short));
        s.terminal((x, TERMINAL));
    }
    s.heavy((from, short), (to, short));
    s.earth((middle, short), 10.0);
    let words = std::iter::once("shorted, earthed").chain(lines.iter().map(String::as_str));
    s.small((middle, TERMINAL + 54.0), "middle", words);
}
