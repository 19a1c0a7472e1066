//! Random CTs: what a maker designs for a plate, and what leaves his works.

use super::core::{Class, Core, impedance};
use super::dice::Dice;
use super::insulation::{Kind, Wall};
use super::iron::{NICKEL, ORIENTED, Ring};
use super::winding::Conductor;

/// What the plate says of a core; typed from the design, and where it lies is a fault.
#[derive(Clone, Debug)]
pub struct Stamped {
    /// Rated primary current of each pair that the plate lists, full winding last.
    pub ratios: Vec<((usize, usize), f64)>,
    pub knee: Option<f64>,
    /// Limit of the exciting current at the knee e.m.f., A.
    pub exciting: Option<f64>,
    /// At 75 °C, ohm.
    pub resistance: Option<f64>,
}

/// How the primary may be connected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Primary {
    Plain,
    /// In series it has twice the turns, and half the rated current.
    Links,
    /// A cable passes the window so often.
    Passes(f64),
}

#[derive(Clone, Debug)]
pub struct Unit {
    pub connects: Primary,
    pub american: bool,
    pub hertz: f64,
    pub stated_hertz: f64,
    pub primary_turns: f64,
    /// Highest voltage for equipment, kV.
    pub highest: f64,
    pub primary: Wall,
    /// Resistance of the primary's own turns, ohm.
    pub primary_ohms: f64,
    pub cores: Vec<Core>,
    pub stamped: Vec<Stamped>,
}

const RATIOS: [f64; 16] = [
    50.0, 75.0, 100.0, 150.0, 200.0, 300.0, 400.0, 600.0, 800.0, 1000.0, 1200.0, 1600.0, 2000.0,
    2500.0, 3000.0, 4000.0,
];

/// How a winding is divided, in shares of the whole: even halves, odd steps, and the five terminals
/// of a multi-ratio CT in the United States (200, 100, 500, 400 of 1200; a design rule of the trade).
const DIVIDED: [&[f64]; 7] = [
    &[1.0],
    &[0.5, 0.5],
    &[0.25, 0.75],
    &[0.75, 0.25],
    &[0.25, 0.25, 0.5],
    &[0.5, 0.25, 0.25],
    &[0.25, 0.25, 0.25, 0.25],
];
const AMERICAN: &[f64] = &[2.0 / 12.0, 1.0 / 12.0, 5.0 / 12.0, 4.0 / 12.0];

impl Unit {
    /// A design. `wants` at least so many cores and terminals.
    pub fn design(dice: &mut Dice, cores: usize, terminals: usize) -> Self {
        let american = dice.chance(0.3);
        let hertz = if american { 60.0 } else { 50.0 };
        let full = if american && terminals > 3 {
            dice.pick(&[1200.0, 2400.0])
        } else {
            dice.pick(&RATIOS)
        };
        let rated = if american || dice.chance(0.35) {
            5.0
        } else {
            1.0
        };
        // Enough primary ampere-turns for a core of sensible size (common practice, no source).
        let primary_turns = libm::ceil(300.0 / full);
        let kind = dice.pick(&[Kind::OilPaper, Kind::CastResin, Kind::Gas, Kind::Dry]);
        let highest = match kind {
            Kind::CastResin | Kind::Dry => dice.pick(&[12.0, 24.0, 36.0]),
            _ => dice.pick(&[72.5, 145.0, 245.0]),
        };
        let primary = Wall {
            kind,
            ohms: dice.decades(2e10, 3e11),
            absorbs: dice.between(0.12, 0.35),
            wet: 1.0,
        };
        let count = cores.max(dice.pick(&[1, 2, 2, 3, 3, 4]));
        let connects = match dice.below(10) {
            0 if full >= 100.0 => Primary::Links,
            1 if primary_turns == 1.0 => Primary::Passes(dice.pick(&[2.0, 3.0])),
            _ => Primary::Plain,
        };
        let mut unit = Self {
            connects,
            american,
            hertz,
            stated_hertz: hertz,
            primary_turns,
            highest,
            primary,
            primary_ohms: dice.decades(2e-5, 3e-4) * primary_turns * primary_turns,
            cores: Vec::new(),
            stamped: Vec::new(),
        };
        for place in 0..count {
            unit.add_core(dice, place, count, full, rated, terminals);
        }
        unit
    }

    fn add_core(
        &mut self,
        dice: &mut Dice,
        place: usize,
        count: usize,
        full: f64,
        rated: f64,
        terminals: usize,
    ) {
        let all = libm::round(full * self.primary_turns / rated);
        let divided = divided(dice, full, all, terminals, self.american);
        let turns: Vec<f64> = divided.iter().map(|share| all * share).collect();
        let name = match (self.american, count) {
            (true, _) => ["X", "Y", "Z", "W"][place].to_owned(),
            (false, 1) => "S".to_owned(),
            (false, _) => format!("{}S", place + 1),
        };
        let prefix = name.clone();
        let marks = (1..=turns.len() + 1)
            .map(|n| format!("{prefix}{n}"))
            .collect();
        let class = self.class(dice, place, count);
        let burden = self.burden(dice, class, rated);
        let conductor = if dice.chance(0.05) {
            Conductor::Aluminium
        } else {
            Conductor::Copper
        };
        // Length of a turn and section of wire: common practice, no source.
        let metre = dice.between(0.24, 0.42);
        let wire = if rated > 2.0 {
            dice.between(3.0, 6.0)
        } else {
            dice.between(0.9, 2.0)
        };
        let ohms: Vec<f64> = turns
            .iter()
            .map(|turns| conductor.of_metre() * turns * metre / wire * dice.spread(1.0))
            .collect();
        let resistance = ohms.iter().sum::<f64>() * conductor.at(75.0);
        let ring = ring(dice, class, burden, rated, resistance, all, self.hertz);
        let circuit = circuit(dice, class, burden, rated);
        let core = Core {
            name,
            marks,
            class,
            rated,
            burden,
            leakage: resistance * dice.between(0.01, 0.08),
            turns,
            ohms,
            conductor,
            ring,
            wall: Wall {
                kind: Kind::Dry,
                ohms: dice.decades(3e9, 6e10),
                absorbs: dice.between(0.03, 0.15),
                wet: 1.0,
            },
            neutral: circuit.0 * dice.between(0.15, 0.4),
            circuit,
        };
        let stamped = stamp(dice, &core, self, full);
        self.cores.push(core);
        self.stamped.push(stamped);
    }

    fn class(&self, dice: &mut Dice, place: usize, count: usize) -> Class {
        let measures = if count == 1 {
            dice.chance(0.3)
        } else {
            place + 1 == count && dice.chance(0.7)
        };
        match (self.american, measures) {
            (true, true) => Class::Measuring(dice.pick(&["0.3B-0.5", "0.6B-0.5"]), None),
            (true, false) => Class::C(dice.pick(&[100.0, 200.0, 400.0])),
            (false, true) => Class::Measuring(
                dice.pick(&["0.2", "0.5", "0.2S", "0.5S"]),
                Some(dice.pick(&[5.0, 10.0])),
            ),
            (false, false) => match dice.below(10) {
                0..=3 => Class::P(5, dice.pick(&[10.0, 20.0])),
                4 => Class::P(10, dice.pick(&[10.0, 20.0])),
                5 => Class::Pr(5, dice.pick(&[10.0, 20.0])),
                _ => Class::Px,
            },
        }
    }

    fn burden(&self, dice: &mut Dice, class: Class, rated: f64) -> (f64, f64) {
        match class {
            // Standard burdens of 0.5 ohm at 0.9, and of class C at 0.5 (IEEE C57.13; from memory).
            Class::Measuring(..) if self.american => (12.5, 0.9),
            Class::C(volts) => (volts / (20.0 * 5.0) * rated * rated, 0.5),
            Class::Px => (0.0, 1.0),
            _ => {
                let volt_amperes = dice.pick(&[1.0, 2.5, 5.0, 10.0, 15.0, 30.0]);
                // Below 5 VA the power factor is 1 (IEC 61869-2:2012; from memory).
                (volt_amperes, if volt_amperes < 5.0 { 1.0 } else { 0.8 })
            }
        }
    }

    /// One that leaves the works: iron, copper and insulation scatter. `batch` moves all of them.
    pub fn made(&self, dice: &mut Dice) -> Self {
        let mut made = self.clone();
        made.primary.ohms *= dice.decades(0.8, 1.25);
        for core in &mut made.cores {
            // A few per cent of field, one of section, 1.5 of wire: common practice, no source.
            core.ring.iron.weak *= dice.spread(5.0);
            core.ring.iron.steep *= dice.spread(6.0);
            core.ring.area *= dice.spread(1.0);
            core.ring.gap *= dice.spread(2.0);
            let wire = dice.spread(1.5);
            for ohms in &mut core.ohms {
                *ohms *= wire * dice.spread(0.2);
            }
            core.wall.ohms *= dice.decades(0.8, 1.25);
        }
        made
    }

    pub fn standard(&self) -> &'static str {
        if self.american {
            "IEEE C57.13-2016"
        } else {
            "IEC 61869-2:2012"
        }
    }

    /// Marks of the primary.
    pub fn ends(&self) -> (&'static str, &'static str) {
        if self.american {
            ("H1", "H2")
        } else {
            ("P1", "P2")
        }
    }
}

/// Shares of the sections: whole turns and whole amperes only, and no tap under 25 A.
fn divided(
    dice: &mut Dice,
    full: f64,
    all: f64,
    terminals: usize,
    american: bool,
) -> &'static [f64] {
    let whole = |value: f64| (value - libm::round(value)).abs() < 1e-6;
    let fits = |shares: &&[f64]| {
        shares.len() + 1 >= terminals
            && shares
                .iter()
                .all(|share| whole(all * share) && whole(full * share) && full * share >= 25.0)
    };
    if american && fits(&AMERICAN) && dice.chance(0.6) {
        return AMERICAN;
    }
    let all: Vec<&'static [f64]> = DIVIDED.iter().copied().filter(fits).collect();
    if all.is_empty() {
        DIVIDED[0]
    } else {
        dice.pick(&all)
    }
}

/// A ring that holds its class with a margin, and no more iron than a maker would pay for.
fn ring(
    dice: &mut Dice,
    class: Class,
    burden: (f64, f64),
    rated: f64,
    resistance: f64,
    turns: f64,
    hertz: f64,
) -> Ring {
    let (r, x) = impedance(burden, rated);
    let asked = |factor: f64| factor * rated * libm::hypot(r + resistance, x);
    let margin = dice.between(1.05, 1.5);
    let (emf, share) = match class {
        Class::P(_, factor) | Class::Pr(_, factor) => (asked(factor) * margin, 0.82),
        Class::C(_) => (asked(20.0) * margin, 0.82),
        Class::Px => (
            dice.decades(15.0, 60.0)
                * rated
                * (resistance + dice.between(0.5, 8.0) / (rated * rated)),
            0.77,
        ),
        // Saturated before the security factor is reached.
        Class::Measuring(_, Some(factor)) => (asked(factor) * 0.8, 0.9),
        Class::Measuring(_, None) => (asked(8.0), 0.9),
    };
    let fine = matches!(class, Class::Measuring(..));
    let mut iron = dice.pick(&ORIENTED);
    if fine && (dice.chance(0.5) || turns * rated < 500.0) {
        iron = NICKEL;
    }
    let area =
        emf / turns / (libm::sqrt(2.0) * std::f64::consts::PI * hertz * iron.saturation * share);
    // Anti-remanence: at the bend the gap takes 0.5 to 2 % of the current that the class is made for.
    let gap = match class {
        Class::Pr(_, factor) => {
            let ampere_turns = dice.between(0.005, 0.02) * factor * rated * turns * libm::sqrt(2.0);
            4e-7 * std::f64::consts::PI * ampere_turns / (0.77 * iron.saturation)
        }
        _ => 0.0,
    };
    let path = dice.between(0.35, 0.9);
    Ring {
        iron,
        area,
        path,
        gap,
    }
}

/// The connected circuit: part of the rated burden; a measuring core needs a quarter of it at least.
fn circuit(dice: &mut Dice, class: Class, burden: (f64, f64), rated: f64) -> (f64, f64) {
    let volt_amperes = if burden.0 > 0.0 {
        burden.0
    } else {
        dice.between(1.0, 10.0)
    };
    let share = if class.measures() {
        dice.between(0.4, 0.85)
    } else {
        dice.between(0.15, 0.75)
    };
    let ohms = volt_amperes * share / (rated * rated);
    let angle = dice.between(0.05, 0.35);
    (ohms * libm::cos(angle), ohms * libm::sin(angle))
}

fn stamp(dice: &mut Dice, core: &Core, unit: &Unit, full: f64) -> Stamped {
    let pairs: Vec<(usize, usize)> = if unit.american {
        let ends = core.marks.len();
        (0..ends)
            .flat_map(|a| (a + 1..ends).map(move |b| (a, b)))
            .collect()
    } else {
        core.taps()
    };
    let mut ratios: Vec<_> = pairs
        .into_iter()
        .map(|pair| (pair, full * core.turns_of(pair) / core.all_turns()))
        .collect();
    ratios.sort_by(|a, b| a.1.total_cmp(&b.1));
    let resistance = core.ohms.iter().sum::<f64>() * core.conductor.at(75.0);
    let knee = core.bend(unit.hertz) / dice.between(1.15, 1.5);
    let knee = (core.class == Class::Px).then(|| rounded(knee));
    let exciting = knee.map(|knee| {
        let drawn = core
            .curve(unit.hertz, unit.hertz, 0.0)
            .at(knee / core.all_turns());
        rounded(drawn.total() / core.all_turns() * dice.between(1.4, 2.5))
    });
    Stamped {
        ratios,
        knee,
        exciting,
        resistance: (core.class == Class::Px || dice.chance(0.6))
            .then(|| rounded(resistance * 1.12)),
    }
}

/// To two digits, as a plate has it.
fn rounded(value: f64) -> f64 {
    let step = libm::pow(10.0, libm::floor(libm::log10(value)) - 1.0);
    libm::round(value / step) * step
}
