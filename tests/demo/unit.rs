//! One CT of the job: its plate, its cores and the visits it had.

use super::model::{Faults, Insulation, Winding};

/// A core as stamped and as it really is.
#[derive(Clone)]
pub struct Core {
    pub name: String,
    pub marks: Vec<String>,
    /// Lines of `[core …]` as written on the plate.
    pub plate: String,
    /// Turns from the first terminal to each.
    pub taps: Vec<f64>,
    /// Declared pairs, as indices of `marks`, the full winding last.
    pub pairs: Vec<(usize, usize)>,
    pub in_service: (usize, usize),
    pub winding: Winding,
    /// Connected burden: ohm and degrees; none for a spare.
    pub load: Option<(f64, f64)>,
    /// A, of the resistance test.
    pub direct: f64,
    /// A; the exciting curve is taken on beyond its knee until this current is passed.
    pub reach: f64,
    /// The curve is written in mA, else in A.
    pub in_milliamps: bool,
    pub insulation: Insulation,
    /// The leads of the second and third terminal are exchanged.
    pub exchanged: bool,
    /// The ends of the winding are exchanged.
    pub reversed: bool,
}

impl Core {
    pub fn full(&self) -> (usize, usize) {
        (0, self.marks.len() - 1)
    }

    /// `1S1-1S2`
    pub fn pair(&self, (a, b): (usize, usize)) -> String {
        format!("{}-{}", self.marks[a], self.marks[b])
    }

    /// Turns that really lie between two terminals.
    pub fn turns(&self, (a, b): (usize, usize)) -> f64 {
        let at = |index: usize| match (self.exchanged, index) {
            (true, 1) => self.taps[2],
            (true, 2) => self.taps[1],
            _ => self.taps[index],
        };
        (at(b) - at(a)).abs()
    }

    /// Neighbouring terminals, where there are more than two.
    pub fn sections(&self) -> Vec<(usize, usize)> {
        let count = if self.marks.len() > 2 {
            self.marks.len() - 1
        } else {
            0
        };
        (0..count).map(|index| (index, index + 1)).collect()
    }
}

/// A CT; `header` holds everything above its first core.
#[derive(Clone)]
pub struct Unit {
    pub id: String,
    pub file: String,
    pub place: String,
    pub header: String,
    pub duties: String,
    pub cores: Vec<Core>,
    pub primary: Insulation,
    /// V d.c. on the primary.
    pub primary_test: f64,
    pub hz: f64,
    pub primary_state: String,
    /// Terminals P1 and P2 or H1 and H2.
    pub primary_marks: [&'static str; 2],
    /// Where the star point and the earth of its circuits are.
    pub earthed_at: &'static str,
}

/// Which instruments a visit uses.
#[derive(Clone, Copy)]
pub struct Kit {
    pub source: &'static str,
    pub bridge: &'static str,
    pub insulation: &'static str,
}

pub const KIT_2026: Kit = Kit {
    source: "M1",
    bridge: "R1",
    insulation: "I1",
};
pub const KIT_2022: Kit = Kit {
    source: "I2",
    bridge: "R0",
    insulation: "I2",
};
pub const KIT_2019: Kit = Kit {
    source: "M0",
    bridge: "R0",
    insulation: "I0",
};

/// A visit's head.
#[derive(Clone)]
pub struct Visit {
    pub date: &'static str,
    pub purpose: &'static str,
    pub tested_by: &'static str,
    pub reviewed_by: &'static str,
    /// C, true temperature of winding and air.
    pub celsius: f64,
    /// %
    pub humidity: f64,
    pub kit: Kit,
}

/// What was planted in a CT.
#[derive(Clone)]
pub struct Planted {
    /// Path below `records/`.
    pub file: String,
    pub ct: String,
    /// `shorted-turn`, `residual-magnetism`, `reversed-polarity`, `wrong-tap`, `wet-insulation`,
    /// `burden-over-rating`, `closed-primary-loop`, `class-not-met` or `none`.
    pub fault: &'static str,
    /// The core it is in; `all` where it is in the whole CT, `-` for none.
    pub core: &'static str,
}

/// A finished record with what was planted in it.
pub struct Record {
    pub text: String,
    pub place: String,
    pub planted: Planted,
    /// Files that lie beside it: path below `records/`, and text.
    pub beside: Vec<(String, String)>,
}

impl Unit {
    /// The same CT before anything happened to it.
    pub fn sound(&self) -> Self {
        let mut sound = self.clone();
        for core in &mut sound.cores {
            core.winding.faults = Faults::default();
            core.exchanged = false;
            core.reversed = false;
        }
        sound
    }

    /// The text above the first visit.
    pub fn head(&self) -> String {
        let cores: String = self
            .cores
            .iter()
            .map(|core| format!("\n[core {}]\n{}", core.name, core.plate))
            .collect();
        format!("{}{cores}{}", self.header, self.duties)
    }

    /// Closes the record.
    pub fn record(&self, visits: &str, fault: &'static str, core: &'static str) -> Record {
        Record {
            text: format!("{}{visits}", self.head()),
            place: self.place.clone(),
            beside: Vec::new(),
            planted: Planted {
                file: self.file.clone(),
                ct: self.id.clone(),
                fault,
                core,
            },
        }
    }
}
