//! The drawing for the connected burden: CT side parted at the links, source and meter on the circuit.

use super::symbols::Sketch;

const UPPER: f64 = 92.0;
const LOWER: f64 = 232.0;

/// Draws the circuit of a pair; `current` is what the source feeds.
#[must_use]
pub fn burden(title: &str, description: &str, marks: (&str, &str), current: &str) -> String {
    let mut s = Sketch::default();
    s.text((18.0, 30.0), "start", "CT side");
    s.coil_down((40.0, UPPER), (40.0, LOWER), 6);
    for (y, mark) in [(UPPER, marks.0), (LOWER, marks.1)] {
        s.line((40.0, y), (166.0, y));
        s.terminal((84.0, y));
        s.strong((84.0, y - 10.0), "middle", mark);
        // An open link: the blade stands off.
        s.terminal((166.0, y));
        s.line((169.0, y - 3.0), (192.0, y - 18.0));
        s.terminal((200.0, y));
        s.line((204.0, y), (470.0, y));
    }
    s.heavy((124.0, UPPER), (124.0, LOWER));
    for (line, text) in (0u8..).zip([
        "short here first",
        "if the CT can",
        "carry current;",
        "prove the short",
    ]) {
        s.small((132.0, 140.0 + 15.0 * f64::from(line)), "start", text);
    }
    s.text((183.0, 62.0), "middle", "links open");
    s.line((270.0, UPPER), (270.0, LOWER));
    s.meter((270.0, 130.0), "A");
    s.source((270.0, 190.0));
    s.text((290.0, 214.0), "start", current);
    s.line((370.0, UPPER), (370.0, LOWER));
    s.meter((370.0, 162.0), "V");
    s.line((470.0, UPPER), (470.0, 140.0));
    s.line((470.0, 184.0), (470.0, LOWER));
    s.upright_impedance((470.0, 162.0));
    s.text(
        (470.0, 30.0),
        "end",
        "outgoing circuit: leads, relay or meter",
    );
    s.text(
        (458.0, 250.0),
        "end",
        "star point and neutral as in service",
    );
    s.finish(title, description, (0.0, 8.0), (520.0, 256.0))
}
