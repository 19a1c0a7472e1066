//! The interposing CT that the metering core of H13 L1 feeds.

use super::circuit::Device;
use super::{NETWORK, PERMIT, PHASES, RATED};
use crate::demo::bench::Bench;
use crate::demo::loaded::Comparison;
use crate::demo::model::Insulation;
use crate::demo::noise::Noise;
use crate::demo::unit::{Core, KIT_2026, Record, Unit, Visit};
use crate::demo::write::{sig, table};
use crate::demo::yard::{Make, core};

const ID: &str = "LYR-26-70071";

/// The phase whose metering core feeds it.
pub const BEHIND: usize = 0;

/// The meter behind it, set to the overall ratio.
const METER: Device = Device {
    core: 0,
    mark: "P1",
    ratio: "600/1",
};

pub fn record() -> Record {
    let mut noise = Noise::seeded(ID);
    let unit = unit(&mut noise);
    let visit = Visit {
        date: "2026-10-06",
        purpose: "commissioning",
        tested_by: "R. Anvik",
        reviewed_by: "S. Hollen",
        celsius: 19.5,
        humidity: 48.0,
        kit: KIT_2026,
    };
    let mut bench = Bench::open(&unit, &visit, &mut noise, "reference: N1\n");
    bench.state();
    bench.self_check();
    bench.insulation();
    bench.line("\n[polarity S1-S2]\nmethod: comparison\nresult: as marked\n");
    bench.resistance(4);
    let ohms = 0.0571 * (234.5 + 19.5) / (234.5 + 75.0);
    let amps = bench.read("R1", ["primary-resistance", "current"], 1.0);
    let volts = bench.read("R1", ["primary-resistance", "voltage"], ohms);
    let rows = [vec![sig(amps, 5), sig(volts * 1e3, 4)]];
    let body = table(&["current/A", "voltage/mV"], &rows);
    bench.line(&format!(
        "\n[primary-resistance]\ninstrument: R1\nwires: 4\ntemperature: 19.5 +- 1 C\n{body}"
    ));
    bench.demagnetisation(&[]);
    bench.excitation();
    for (va, power_factor) in [(5.0, 0.8), (1.25, 1.0)] {
        let run = Comparison {
            by: "K1",
            links: None,
            rated: [5.0, 1.0],
            percent: &[5.0, 20.0, 100.0, 120.0],
            va,
            power_factor,
        };
        bench.comparison(&unit.cores[0], &run);
    }
    bench.burden("M1", 1.0);
    bench.restored("L. Foss");
    let mut visits = bench.text;
    visits += &before_energising(&unit, &mut noise);
    visits += &after_energising(&unit, &mut noise);
    unit.record(&visits, "none", "-")
}

fn before_energising(unit: &Unit, noise: &mut Noise) -> String {
    let visit = super::visit("2026-10-07", "before energising", 19.8);
    let mut bench = Bench::open(unit, &visit, noise, PERMIT);
    bench.devices(&[METER], PHASES[BEHIND]);
    bench.test_links("as found", |_: &Core| "shorted");
    bench.continuity();
    bench.single_earth();
    bench.test_links("as left", |_: &Core| "through");
    bench.restored("E. Lund");
    bench.text
}

fn after_energising(unit: &Unit, noise: &mut Noise) -> String {
    let visit = super::visit("2026-10-09", "after energising", 20.1);
    let mut bench = Bench::open(unit, &visit, noise, "");
    bench.load(&NETWORK, &[(METER, RATED)]);
    bench.text
}

fn unit(noise: &mut Noise) -> Unit {
    let main = super::id(BEHIND);
    let make = Make {
        name: "S",
        plate: "marks: S1 S2\nuse: metering\nclass: 0.5 FS10\nburden: 5 VA\nratio: 5/1 A\nresistance: 0.95 ohm at 75 C\n",
        bend: 42.0,
        flux: 0.75,
        field: 1.0,
        r75: 0.91,
        load: (2.10, 6.0),
    };
    let mut core = core(&make, &[0.0, 100.0], noise);
    core.winding.primary_turns = 20.0;
    core.reach = 1.3;
    Unit {
        id: ID.to_owned(),
        file: "skerrow/h13/h13-interposing-l1.ctr".to_owned(),
        place: "H13 panel L1".to_owned(),
        header: format!(
            "# In the panel of H13, behind 2S of L1: the input of P1 for L1 is one for 1 A. All of it is invented.\nformat: 1\n\n[ct]\nid: {ID}\nmaker: Lyse Ringer\nserial: 70071\nyear: 2026\n\
             standard: IEC 61869-2:2012\nhighest voltage: 0.72 kV\nfrequency: 50 Hz\ninsulation: cast resin\nprimary turns: 20\n\
             primary resistance: 0.060 ohm at 75 C\n\n[place since 2026-09-20]\nsite: Skerrow 132 kV\nbay: H13 panel\nphase: L1\nfed by: {main} 2S\n"
        ),
        duties: String::new(),
        cores: vec![core],
        primary: Insulation {
            minute: 21e9,
            rise: 0.1,
        },
        primary_test: 1000.0,
        hz: 50.0,
        primary_state: "P1 open, P2 open".to_owned(),
        primary_marks: ["P1", "P2"],
        earthed_at: "panel",
    }
}
