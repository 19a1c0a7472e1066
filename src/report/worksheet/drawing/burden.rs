//! The drawing for the connected burden: CT side parted at the links, source and meter on the circuit.

use super::symbols::{BLADE, Sketch};

const UPPER: f64 = 92.0;
const LOWER: f64 = 232.0;

/// Draws the circuit of a pair; `current` is what the source feeds.
#[must_use]
pub fn burden(title: &str, description: &str, marks: (&str, &str), current: &str) -> String {
    let mut s = Sketch::default();
    s.coil((40.0, UPPER), (40.0, LOWER), 6);
    for (y, mark) in [(UPPER, marks.0), (LOWER, marks.1)] {
        s.line((40.0, y), (166.0, y));
        s.terminal((84.0, y));
        s.strong((84.0, y - 10.0), "middle", mark);
        s.open_blade((166.0, y));
        s.line((166.0 + BLADE, y), (470.0, y));
    }
    s.heavy((124.0, UPPER), (124.0, LOWER));
    let short = [
        "short here first",
        "if the CT can",
        "carry current;",
        "prove the short",
    ];
    s.below("t s", (132.0, 140.0), "start", 15.0, short);
    for x in [270.0, 370.0] {
        s.line((x, UPPER), (x, LOWER));
    }
    s.meter((270.0, 130.0), "A");
    s.source((270.0, 190.0));
    s.meter((370.0, 162.0), "V");
    s.line((470.0, UPPER), (470.0, 140.0));
    s.line((470.0, 184.0), (470.0, LOWER));
    s.upright_impedance((470.0, 162.0));
    for (at, anchor, words) in [
        ((18.0, 30.0), "start", "CT side"),
        ((183.0, 62.0), "middle", "links open"),
        ((290.0, 214.0), "start", current),
        (
            (470.0, 30.0),
            "end",
            "outgoing circuit: leads, relay or meter",
        ),
        (
            (458.0, 250.0),
            "end",
            "star point and neutral as in service",
        ),
    ] {
        s.text(at, anchor, words);
    }
    s.finish(title, description, (0.0, 8.0), (520.0, 256.0))
}
