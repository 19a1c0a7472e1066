//! The 132 kV bays H07 to H11: three cores each, H07 sound, one kind of trouble in a CT elsewhere.

use super::bench::Bench;
use super::model::{Insulation, Iron, Winding};
use super::noise::Noise;
use super::unit::{Core, KIT_2026, Kit, Record, Unit, Visit};

const RATED: f64 = 600.0;
pub const PHASES: [&str; 3] = ["L1", "L2", "L3"];

/// The CT whose last resistance reading was first written down wrong.
const AMENDED: &str = "BRW-25-41302";

struct Bay {
    name: &'static str,
    serial: u32,
    date: &'static str,
    celsius: f64,
    humidity: f64,
    wires: u8,
    /// Fault and core by phase.
    planted: [(&'static str, &'static str); 3],
}

const SOUND: (&str, &str) = ("none", "-");
const BAYS: [Bay; 5] = [
    Bay {
        name: "H07",
        serial: 41301,
        date: "2026-09-14",
        celsius: 14.5,
        humidity: 61.0,
        wires: 4,
        planted: [SOUND; 3],
    },
    Bay {
        name: "H08",
        serial: 41304,
        date: "2026-09-16",
        celsius: 13.2,
        humidity: 66.0,
        wires: 4,
        planted: [("shorted-turn", "2S"), SOUND, ("residual-magnetism", "1S")],
    },
    Bay {
        name: "H09",
        serial: 41307,
        date: "2026-09-21",
        celsius: 15.8,
        humidity: 58.0,
        wires: 4,
        planted: [SOUND, ("reversed-polarity", "1S"), ("wrong-tap", "3S")],
    },
    Bay {
        name: "H10",
        serial: 41310,
        date: "2026-09-23",
        celsius: 12.4,
        humidity: 71.0,
        wires: 2,
        planted: [
            ("wet-insulation", "all"),
            ("burden-over-rating", "1S"),
            SOUND,
        ],
    },
    Bay {
        name: "H11",
        serial: 41313,
        date: "2026-09-28",
        celsius: 11.6,
        humidity: 64.0,
        wires: 4,
        planted: [SOUND, ("closed-primary-loop", "all"), SOUND],
    },
];

/// All fifteen records.
pub fn records() -> Vec<Record> {
    BAYS.iter()
        .flat_map(|bay| (0..3).map(|phase| record(bay, phase)))
        .collect()
}

fn record(bay: &Bay, phase: usize) -> Record {
    let (fault, place) = bay.planted[phase];
    let serial = bay.serial + phase as u32;
    let mut noise = Noise::seeded(&format!("BRW-25-{serial}"));
    let mut unit = unit(bay, phase, serial, &mut noise);
    let factory = if bay.name == "H08" {
        certificate(&unit, serial, &mut noise)
    } else {
        String::new()
    };
    plant(&mut unit, fault);
    let visits = factory + &commissioning(bay, &unit, fault, &mut noise);
    unit.record(&visits, fault, place)
}

fn unit(bay: &Bay, phase: usize, serial: u32, noise: &mut Noise) -> Unit {
    let (name, phase) = (bay.name, PHASES[phase]);
    let id = format!("BRW-25-{serial}");
    let file = format!(
        "skerrow/{0}/{0}-{1}.ctr",
        name.to_lowercase(),
        phase.to_lowercase()
    );
    let header = format!(
        "# {name} {phase}, one of three; all of it invented.\nformat: 1\n\n[ct]\nid: {id}\nmaker: Brandal Ring Works\nserial: 25-{serial}\nyear: 2025\n\
         standard: IEC 61869-2:2012\nhighest voltage: 145 kV\nfrequency: 50 Hz\ninsulation: oil and paper\nprimary turns: 1\n\n\
         [place since 2026-08-31]\nsite: Skerrow 132 kV\nbay: {name}\nphase: {phase}\np1 towards: busbar\n"
    );
    let cores = vec![limit_core(noise), knee_core(noise), metering_core(noise)];
    let primary = Insulation {
        minute: 95e9 * noise.spread(25.0),
        rise: 0.27,
    };
    Unit {
        id,
        file,
        header,
        cores,
        primary,
        place: format!("{name} {phase}"),
        duties: duties(),
        primary_test: 5000.0,
        hz: 50.0,
        primary_state: "P1 open, P2 earthed".to_owned(),
        primary_marks: ["P1", "P2"],
        earthed_at: "panel",
    }
}

fn duties() -> String {
    let duty = |core, burden, knee| {
        format!(
            "\n[duty {core} since 2026-08-31]\nfault current: 25 kA\nx/r: 14\nburden: {burden} ohm\nrequired knee: {knee} V\n"
        )
    };
    duty("1S", "1.10", "210") + &duty("2S", "1.40", "240")
}

/// A core of a make.
pub struct Make {
    pub name: &'static str,
    pub plate: &'static str,
    /// V, where its curve bends.
    pub bend: f64,
    /// T, there.
    pub flux: f64,
    /// A/m, there.
    pub field: f64,
    pub r75: f64,
    pub load: (f64, f64),
}

/// A core with its turns at each terminal; the terminals bear its name and their number.
pub fn core(make: &Make, taps: &[f64], noise: &mut Noise) -> Core {
    let bend = make.bend * noise.spread(2.0);
    let last = taps.len() - 1;
    let iron = Iron::for_bend(
        bend,
        taps[last],
        50.0,
        0.9,
        make.flux,
        make.field * noise.spread(6.0),
    );
    Core {
        name: make.name.to_owned(),
        marks: (1..=taps.len())
            .map(|n| format!("{}{n}", make.name))
            .collect(),
        plate: make.plate.to_owned(),
        taps: taps.to_vec(),
        pairs: (1..=last).map(|index| (0, index)).collect(),
        in_service: (0, last),
        winding: Winding {
            iron,
            turns: taps[last],
            primary_turns: 1.0,
            r75: make.r75 * noise.spread(1.0),
            faults: Default::default(),
        },
        load: Some((make.load.0 * noise.spread(3.0), make.load.1)),
        direct: 0.5,
        reach: 0.0,
        in_milliamps: true,
        insulation: Insulation {
            minute: 14e9 * noise.spread(30.0),
            rise: 0.2,
        },
        exchanged: false,
        reversed: false,
    }
}

fn limit_core(noise: &mut Noise) -> Core {
    let plate = "use: protection\nclass: 5P20\nburden: 15 VA                 # power factor of the class: 0.80\nratio: 600/1 A\nresistance: 3.40 ohm at 75 C\n";
    let make = Make {
        name: "1S",
        plate,
        bend: 462.0,
        flux: 1.65,
        field: 4.0,
        r75: 3.36,
        load: (1.10, 8.0),
    };
    core(&make, &[0.0, RATED], noise)
}

fn knee_core(noise: &mut Noise) -> Core {
    let plate = "use: protection\nclass: PX\nratio: 600/1 A\nknee emf: 300 V\nexciting current: 30 mA at 300 V\nresistance: 3.60 ohm at 75 C\n";
    let make = Make {
        name: "2S",
        plate,
        bend: 450.0,
        flux: 1.65,
        field: 4.2,
        r75: 3.42,
        load: (1.40, 6.0),
    };
    core(&make, &[0.0, RATED], noise)
}

fn metering_core(noise: &mut Noise) -> Core {
    let plate = "use: metering\nclass: 0.5 FS10\nburden: 10 VA\nresistance: 2.90 ohm at 75 C  # of the full winding\ntap      ratio/A\n3S1-3S2  300/1\n3S1-3S3  600/1\n";
    let make = Make {
        name: "3S",
        plate,
        bend: 70.0,
        flux: 0.75,
        field: 1.5,
        r75: 2.87,
        load: (4.20, 12.0),
    };
    let mut core = core(&make, &[0.0, 300.0, RATED], noise);
    // The security factor is shown where the current passes 10 % of FS times rated: 1 A.
    core.reach = 1.3;
    core
}

fn plant(unit: &mut Unit, fault: &str) {
    match fault {
        "shorted-turn" => unit.cores[1].winding.faults.shorted = Some((3.0, 0.10)),
        "residual-magnetism" => unit.cores[0].winding.faults.remanence = 0.88,
        "reversed-polarity" => unit.cores[0].reversed = true,
        "wrong-tap" => unit.cores[2].exchanged = true,
        "wet-insulation" => wet(unit),
        "burden-over-rating" => unit.cores[0].load = Some((24.3, 5.0)),
        "closed-primary-loop" => {
            unit.primary_state = "P1 earthed, P2 earthed".to_owned();
            for core in &mut unit.cores {
                core.winding.faults.primary_loop = Some((0.012, 0.018));
            }
        }
        _ => {}
    }
}

fn wet(unit: &mut Unit) {
    unit.primary = Insulation {
        minute: 0.31e9,
        rise: 0.03,
    };
    for (index, core) in unit.cores.iter_mut().enumerate() {
        core.insulation = Insulation {
            minute: 12e6 + 4e6 * index as f64,
            rise: 0.03,
        };
    }
}

/// The maker's curves, taken before anything happened to the CT.
fn certificate(unit: &Unit, serial: u32, noise: &mut Noise) -> String {
    let sound = unit.sound();
    let kit = Kit {
        source: "F1",
        ..KIT_2026
    };
    let visit = Visit {
        date: "2025-09-10",
        purpose: "factory",
        tested_by: "maker",
        reviewed_by: "",
        celsius: 21.0,
        humidity: 45.0,
        kit,
    };
    let extra = format!("excitation read from: certificate 25-{serial}, curve sheet\n");
    let mut bench = Bench::open(&sound, &visit, noise, &extra);
    bench.excitation();
    bench.line("\nnot done all but excitation: the certificate holds the curves only\n");
    bench.text
}

fn commissioning(bay: &Bay, unit: &Unit, fault: &str, noise: &mut Noise) -> String {
    let visit = Visit {
        date: bay.date,
        purpose: "commissioning",
        tested_by: "R. Anvik",
        reviewed_by: "S. Hollen",
        celsius: bay.celsius,
        humidity: bay.humidity,
        kit: KIT_2026,
    };
    let mut bench = Bench::open(unit, &visit, noise, "");
    bench.state();
    bench.self_check();
    bench.insulation();
    bench.polarity();
    bench.resistance(bay.wires);
    if unit.id == AMENDED {
        bench.line("amended: voltage was 0.75264; transcription; R. Anvik 2026-09-15\n");
    }
    bench.demagnetisation(if fault == "residual-magnetism" {
        &["1S"]
    } else {
        &[]
    });
    bench.excitation();
    bench.ratio();
    bench.burden("M1", 1.0);
    bench.restored("L. Foss");
    bench.line("\nnot done excitation on taps: full winding tested\n");
    if fault == "residual-magnetism" {
        bench.line("not done demagnetisation 1S: outage ended; to be repeated\n");
    }
    bench.text
}
