//! One core of a CT, as it is: iron, turns, terminals, ohms.

use super::insulation::Wall;
use super::iron::{Curve, Ring};
use super::winding::Conductor;

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Class {
    /// Accuracy limit class: per cent, factor.
    P(u8, f64),
    /// Class by knee e.m.f.
    Px,
    /// Anti-remanence class: per cent, factor.
    Pr(u8, f64),
    /// Measuring class: word and security factor.
    Measuring(&'static str, Option<f64>),
    /// Secondary terminal voltage at 20 times 5 A.
    C(f64),
}

impl Class {
    pub fn word(self) -> String {
        match self {
            Self::P(per_cent, factor) => format!("{per_cent}P{factor}"),
            Self::Pr(per_cent, factor) => format!("{per_cent}PR{factor}"),
            Self::Px => "PX".to_owned(),
            Self::Measuring(word, Some(factor)) => format!("{word} FS{factor}"),
            Self::Measuring(word, None) => word.to_owned(),
            Self::C(volts) => format!("C{volts}"),
        }
    }

    pub fn measures(self) -> bool {
        matches!(self, Self::Measuring(..))
    }
}

#[derive(Clone, Debug)]
pub struct Core {
    pub name: String,
    /// Stamped terminals, in winding order.
    pub marks: Vec<String>,
    pub class: Class,
    /// Rated secondary current, A, and rated burden, VA with its power factor.
    pub rated: f64,
    pub burden: (f64, f64),
    /// Turns of each section between neighbouring terminals, and their ohms at 20 °C.
    pub turns: Vec<f64>,
    pub ohms: Vec<f64>,
    pub conductor: Conductor,
    /// Leakage reactance of the full winding, ohm.
    pub leakage: f64,
    pub ring: Ring,
    pub wall: Wall,
    /// Connected circuit, ohm: R and X, of which its neutral lead has R.
    pub circuit: (f64, f64),
    pub neutral: f64,
}

/// Two terminals of a core by their places in `marks`.
pub type Pair = (usize, usize);

impl Core {
    pub fn full(&self) -> Pair {
        (0, self.marks.len() - 1)
    }

    /// The pairs from the first terminal, full winding last.
    pub fn taps(&self) -> Vec<Pair> {
        (1..self.marks.len()).map(|end| (0, end)).collect()
    }

    pub fn sections(&self) -> Vec<Pair> {
        (1..self.marks.len()).map(|end| (end - 1, end)).collect()
    }

    /// What two pairs have in common, the lower end first.
    pub fn common(one: Pair, other: Pair) -> Option<Pair> {
        let low = one.0.min(one.1).max(other.0.min(other.1));
        let high = one.0.max(one.1).min(other.0.max(other.1));
        (low < high).then_some((low, high))
    }

    pub fn word(&self, pair: Pair) -> String {
        format!("{}-{}", self.marks[pair.0], self.marks[pair.1])
    }

    /// Turns of a pair; negative the wrong way round.
    pub fn turns_of(&self, pair: Pair) -> f64 {
        signed(&self.turns, pair)
    }

    pub fn all_turns(&self) -> f64 {
        self.turns.iter().sum()
    }

    pub fn ohms_of(&self, pair: Pair, celsius: f64) -> f64 {
        signed(&self.ohms, pair).abs() * self.conductor.at(celsius)
    }

    pub fn curve(&self, hertz: f64, rated: f64, left: f64) -> Curve {
        self.ring.curve(hertz, rated, left)
    }

    /// Whether a measuring core keeps its class with a good margin under rated burden: the whole exciting
    /// current within 0.6 of the limit of the ratio error (the steps of the limits are a little
    /// under those of IEC 61869-2 and IEEE C57.13; from memory).
    pub fn holds_class(&self, hertz: f64) -> bool {
        let Class::Measuring(word, _) = self.class else {
            return false;
        };
        let base: f64 = word
            .get(..3)
            .and_then(|base| base.parse().ok())
            .unwrap_or(0.2);
        let fine = word.ends_with('S');
        let steps = [
            (1.0, 3.0, true),
            (5.0, if fine { 1.6 } else { 3.0 }, false),
            (20.0, if fine { 1.0 } else { 1.6 }, false),
            (100.0, 1.0, false),
        ];
        let curve = self.curve(hertz, hertz, 0.0);
        let (r, x) = impedance(self.burden, self.rated);
        let ohms = libm::hypot(r + self.ohms_of(self.full(), 75.0), x + self.leakage);
        steps
            .iter()
            .filter(|step| fine || !step.2)
            .all(|(per_cent, times, _)| {
                let amperes = self.rated * per_cent / 100.0;
                let drawn = curve.at(amperes * ohms / self.all_turns()).total() / self.all_turns();
                drawn / amperes * 100.0 < 0.6 * base * times
            })
    }

    /// E.m.f. of the full winding where the exciting current begins to run away (77 % of saturation).
    pub fn bend(&self, hertz: f64) -> f64 {
        self.ring.volts_per_turn(0.77, hertz) * self.all_turns()
    }
}

fn signed(parts: &[f64], pair: Pair) -> f64 {
    if pair.0 <= pair.1 {
        parts[pair.0..pair.1].iter().sum()
    } else {
        -parts[pair.1..pair.0].iter().sum::<f64>()
    }
}

/// Magnitude of a burden's impedance and the power factor: R and X, ohm.
pub fn impedance(burden: (f64, f64), rated: f64) -> (f64, f64) {
    let ohms = burden.0 / (rated * rated);
    (
        ohms * burden.1,
        ohms * (1.0 - burden.1 * burden.1).max(0.0).sqrt(),
    )
}
