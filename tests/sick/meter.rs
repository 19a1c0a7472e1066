//! Instruments: limits of error, floor, digits; gains that stay within them for a whole visit.

use super::dice::Dice;
use super::sheet::Cell;
use crate::demo::write::sig;
use strum::VariantArray;

#[derive(Clone, Copy, Debug, PartialEq, Eq, VariantArray)]
pub enum Meter {
    ExcitingVolts,
    ExcitingAmperes,
    RatioVolts,
    RatioMillivolts,
    RatioPhase,
    BurdenVolts,
    BurdenAmperes,
    BurdenAngle,
    DirectAmperes,
    DirectVolts,
    Insulation,
    LeadOhms,
    Unity,
    Error,
    Displacement,
}

/// Limits of one function.
struct Limits {
    box_of: &'static str,
    measures: &'static str,
    tests: &'static str,
    from: &'static str,
    to: &'static str,
    /// Share of the reading, floor in SI of the reading, digits shown.
    share: f64,
    floor: f64,
    floor_word: &'static str,
    digits: i32,
}

use Meter::{
    BurdenAmperes, BurdenAngle, BurdenVolts, DirectAmperes, DirectVolts, Displacement, Error,
    ExcitingAmperes, ExcitingVolts, Insulation, LeadOhms, RatioMillivolts, RatioPhase, RatioVolts,
    Unity,
};

#[rustfmt::skip]
fn limits(meter: Meter) -> Limits {
    let (box_of, measures, tests, from, to, share, floor, floor_word, digits) = match meter {
        ExcitingVolts => ("M", "voltage", "excitation", "0 V", "3000 V", 0.002, 0.005, "5 mV", 4),
        ExcitingAmperes => ("M", "current", "excitation", "0 A", "20 A", 0.003, 4e-6, "0.004 mA", 4),
        RatioVolts => ("M", "voltage", "ratio", "2 V", "1000 V", 0.0005, 5e-4, "0.5 mV", 5),
        RatioMillivolts => ("M", "voltage", "ratio", "0 V", "2 V", 0.0005, 5e-6, "0.005 mV", 5),
        RatioPhase => ("M", "phase", "ratio", "-10800 arcmin", "10800 arcmin", 0.0, 2.0, "2 arcmin", 3),
        BurdenVolts => ("M", "voltage", "burden", "0 V", "100 V", 0.003, 0.001, "1 mV", 4),
        BurdenAmperes => ("M", "current", "burden", "0 A", "20 A", 0.003, 0.001, "1 mA", 4),
        BurdenAngle => ("M", "angle", "burden", "-180 deg", "180 deg", 0.0, 0.6, "0.6 deg", 3),
        DirectAmperes => ("R", "current", "", "0 A", "10 A", 0.001, 1e-5, "0.01 mA", 5),
        DirectVolts => ("R", "voltage", "", "0 V", "50 V", 0.001, 1e-5, "0.01 mV", 5),
        Insulation => ("I", "insulation", "", "0 ohm", "500 Gohm", 0.05, 1e4, "0.01 Mohm", 3),
        LeadOhms => ("M", "resistance", "", "0 ohm", "20 ohm", 0.01, 5e-4, "0.5 mohm", 3),
        Unity => ("M", "ratio", "", "50 %", "200 %", 0.0004, 0.0, "", 5),
        Error => ("K", "ratio-error", "", "-10 %", "10 %", 0.0, 0.01, "0.01 %", 3),
        Displacement => ("K", "phase", "", "-600 arcmin", "600 arcmin", 0.0, 0.5, "0.5 arcmin", 3),
    };
    Limits { box_of, measures, tests, from, to, share, floor, floor_word, digits }
}

/// Day of calibration and the day it runs to, by the last letter of a box: of today, of the earlier
/// visits, of the works.
const TIMES: [(&str, &str, &str); 3] = [
    ("1", "2026-01-15", "2027-01-15"),
    ("0", "2020-01-15", "2021-01-15"),
    ("9", "2015-01-15", "2020-01-15"),
];

/// The boxes of a visit.
#[derive(Clone, Debug)]
pub struct Kit {
    /// Last letter of its boxes.
    pub time: &'static str,
    seed: String,
    /// Near its limits of error.
    pub worn: bool,
}

impl Kit {
    pub fn new(case: &str, time: &'static str, worn: bool) -> Self {
        let seed = format!("{case}/kit {time}");
        Self { time, seed, worn }
    }

    pub fn id(&self, meter: Meter) -> String {
        format!("{}{}", limits(meter).box_of, self.time)
    }

    /// What it shows of a truth; `unit` is the factor from SI to what is written.
    pub fn read(&self, meter: Meter, key: &str, truth: f64, unit: f64) -> Cell {
        let Limits {
            share,
            floor,
            digits,
            ..
        } = limits(meter);
        let mut own = Dice::of(&format!("{}/{meter:?}", self.seed));
        let gain = if self.worn {
            own.sign() * 0.95
        } else {
            own.within(0.8)
        };
        let mut dice = Dice::of(&format!("{}/{meter:?}/{key}", self.seed));
        // Noise is a tenth of the limit, the rest is the gain's.
        let shown = truth
            + (gain * 0.9 + dice.within(0.1)) * share * truth.abs()
            + dice.within(0.5) * floor;
        let text = sig(shown * unit, digits);
        let last = text.split_once('.').map_or(0, |(_, rest)| rest.len());
        let digit = libm::pow(10.0, -(last as f64));
        Cell::Reading {
            text,
            limit: (share * truth.abs() + floor) * unit + digit,
        }
    }
}

/// `instruments.toml` of a case.
pub fn toml() -> String {
    let mut text = String::from("# Invented instruments.\n");
    for (time, from, to) in TIMES {
        for one in ["M", "R", "I", "K"] {
            text += &format!(
                "\n[[instrument]]\nid = \"{one}{time}\"\nwhat = \"set {one} for tests of CTs\"\ncalibrated = {from}\ndue = {to}\n"
            );
            for meter in Meter::VARIANTS
                .iter()
                .filter(|meter| limits(**meter).box_of == one)
            {
                text += &function(&limits(*meter));
            }
            text += "[[instrument.function]]\nmeasures = \"temperature\"\nfrom = \"-40 C\"\nto = \"80 C\"\nfloor = \"0.5 C\"\n";
        }
    }
    text
}

fn function(limits: &Limits) -> String {
    let Limits {
        measures,
        tests,
        from,
        to,
        share,
        floor_word,
        ..
    } = limits;
    let mut text = format!(
        "[[instrument.function]]\nmeasures = \"{measures}\"\nfrom = \"{from}\"\nto = \"{to}\"\ndigits = 1\n"
    );
    if *share > 0.0 {
        text += &format!("of_reading = \"{:.3} %\"\n", share * 100.0);
    }
    if !floor_word.is_empty() {
        text += &format!("floor = \"{floor_word}\"\n");
    }
    match *tests {
        "" => {}
        "excitation" => text += "tests = [\"excitation\", \"demagnetisation\"]\n",
        one => text += &format!("tests = [\"{one}\"]\n"),
    }
    text
}
