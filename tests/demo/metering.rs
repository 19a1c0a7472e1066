//! Two metering sets shown by primary current, and one low-voltage ring CT.

use super::bench::Bench;
use super::complex::Complex;
use super::instrument::read;
use super::loaded::Comparison;
use super::model::{Insulation, Iron, Loaded, Winding};
use super::noise::Noise;
use super::unit::{Core, KIT_2026, Kit, Record, Unit, Visit};
use super::write::{sig, table};

struct Set {
    bay: &'static str,
    serial: u32,
    class: &'static str,
    va: f64,
    primary: f64,
    bend: f64,
    field: f64,
    r75: f64,
    load: (f64, f64),
    percent: &'static [f64],
    date: &'static str,
    /// The phase whose core has lost its permeability.
    spoilt: Option<usize>,
}

const SETS: [Set; 2] = [
    Set {
        bay: "K03",
        serial: 1208,
        class: "0.2S FS5",
        va: 10.0,
        primary: 400.0,
        bend: 10.2,
        field: 1.1,
        r75: 0.115,
        load: (0.24, 14.0),
        percent: &[1.0, 5.0, 20.0, 100.0, 120.0],
        date: "2026-10-20",
        spoilt: None,
    },
    Set {
        bay: "K04",
        serial: 1214,
        class: "0.5 FS10",
        va: 15.0,
        primary: 300.0,
        bend: 18.0,
        field: 1.9,
        r75: 0.092,
        load: (0.31, 11.0),
        percent: &[5.0, 20.0, 100.0, 120.0],
        date: "2026-10-21",
        spoilt: Some(1),
    },
];

/// Six metering CTs and the ring.
pub fn records() -> Vec<Record> {
    let sets = SETS
        .iter()
        .flat_map(|set| (0..3).map(move |phase| metering(set, phase)));
    sets.chain(std::iter::once(ring())).collect()
}

fn metering(set: &Set, phase: usize) -> Record {
    let serial = set.serial + phase as u32;
    let id = format!("BRW-24-0{serial}");
    let mut noise = Noise::seeded(&id);
    let mut unit = unit(set, phase, serial, id, &mut noise);
    let spoilt = set.spoilt == Some(phase);
    if spoilt {
        unit.cores[0].winding.iron.field *= 11.0;
    }
    let kit = Kit {
        source: "K1",
        ..KIT_2026
    };
    let visit = Visit {
        date: set.date,
        purpose: "commissioning",
        tested_by: "M. Tveit",
        reviewed_by: "S. Hollen",
        celsius: 17.5,
        humidity: 47.0,
        kit,
    };
    let mut bench = Bench::open(&unit, &visit, &mut noise, "reference: N1\n");
    bench.state();
    bench.insulation();
    bench.resistance(4);
    bench.line("\n[polarity S1-S2]\nmethod: comparison\nresult: as marked\n");
    // The bridge left its direct current in the core; a heavy burden and falling primary current free it, from
    // above 1.2 times rated current by more than its U.
    bench.line(&format!(
        "\n[demagnetisation S1-S2]\nmethod: closed\nstart: {:.0} A\nend: 0 A\n",
        set.primary * 1.25
    ));
    for (va, power_factor) in [
        (set.va, 0.8),
        (set.va / 4.0, if set.va / 4.0 < 5.0 { 1.0 } else { 0.8 }),
    ] {
        let job = Comparison {
            by: "K1",
            links: None,
            rated: [set.primary, 5.0],
            percent: set.percent,
            va,
            power_factor,
        };
        bench.comparison(&unit.cores[0], &job);
    }
    bench.burden("M1", 5.0);
    bench.restored("L. Foss");
    bench.line("\nnot done excitation: class was shown directly; FS not asked for\n");
    let (fault, core) = if spoilt {
        ("class-not-met", "S")
    } else {
        ("none", "-")
    };
    unit.record(&bench.text, fault, core)
}

fn unit(set: &Set, phase: usize, serial: u32, id: String, noise: &mut Noise) -> Unit {
    let phase = ["L1", "L2", "L3"][phase];
    let header = format!(
        "# {} {phase}, metering; all of it invented.\nformat: 1\n\n[ct]\nid: {id}\nmaker: Brandal Ring Works\nserial: 24-0{serial}\nyear: 2024\n\
         standard: IEC 61869-2:2012\nhighest voltage: 36 kV\nfrequency: 50 Hz\ninsulation: cast resin\nprimary turns: 1\n\n\
         [place since 2026-10-01]\nsite: Skerrow 33 kV\nbay: {}\nphase: {phase}\np1 towards: busbar\n",
        set.bay, set.bay
    );
    Unit {
        id,
        header,
        file: format!(
            "skerrow/{0}/{0}-{1}.ctr",
            set.bay.to_lowercase(),
            phase.to_lowercase()
        ),
        place: format!("{} {phase}", set.bay),
        duties: String::new(),
        cores: vec![core(set, noise)],
        primary: Insulation {
            minute: 70e9 * noise.spread(25.0),
            rise: 0.12,
        },
        primary_test: 5000.0,
        hz: 50.0,
        primary_state: "P1 open, P2 earthed".to_owned(),
        primary_marks: ["P1", "P2"],
        earthed_at: "cubicle",
    }
}

fn core(set: &Set, noise: &mut Noise) -> Core {
    let turns = set.primary / 5.0;
    let plate = format!(
        "marks: S1 S2\nuse: metering\nclass: {}\nburden: {} VA\nratio: {}/5 A\n",
        set.class, set.va, set.primary
    );
    let iron = Iron::for_bend(
        set.bend * noise.spread(1.5),
        turns,
        50.0,
        0.5,
        0.75,
        set.field * noise.spread(5.0),
    );
    Core {
        name: "S".to_owned(),
        marks: vec!["S1".to_owned(), "S2".to_owned()],
        plate,
        taps: vec![0.0, turns],
        pairs: vec![(0, 1)],
        in_service: (0, 1),
        winding: Winding {
            iron,
            turns,
            primary_turns: 1.0,
            r75: set.r75 * noise.spread(1.0),
            faults: Default::default(),
        },
        load: Some((set.load.0 * noise.spread(2.0), set.load.1)),
        direct: 1.0,
        reach: 0.0,
        in_milliamps: true,
        insulation: Insulation {
            minute: 16e9 * noise.spread(30.0),
            rise: 0.1,
        },
        exchanged: false,
        reversed: false,
    }
}

/// A window CT on a cable that passes twice: the least that a job may ask.
fn ring() -> Record {
    let id = "LYR-25-88120".to_owned();
    let mut noise = Noise::seeded(&id);
    let header = "# Low-voltage ring of the auxiliary supply; all of it invented.\nformat: 1\n\n[ct]\nid: LYR-25-88120\nmaker: Lyse Ringer\nserial: 88120\nyear: 2025\n\
        standard: IEC 61869-2:2012\nhighest voltage: 0.72 kV\nfrequency: 50 Hz\npasses: 2                     # of the cable; the ratio is for one\n\n\
        [place since 2026-10-01]\nsite: Skerrow auxiliaries\nbay: Q4\nphase: L3\n";
    let plate = "marks: S1 S2\nuse: metering\nclass: 1\nburden: 5 VA\nratio: 200/5 A\n";
    let visit = "\n[visit 2026-10-22]\npurpose: commissioning\ntested by: M. Tveit\nreviewed by: S. Hollen\nambient: 20.5 C\ninstrument: C1\n";
    let text = format!(
        "{header}\n[core S]\n{plate}{visit}{}\n[polarity S1-S2]\nmethod: comparison\nresult: as marked\n{}",
        ring_readings(&mut noise),
        ["insulation", "resistance", "demagnetisation", "excitation"]
            .map(|test| format!("\nnot done {test}: agreed scope is ratio, polarity, burden"))
            .concat()
    );
    let planted = super::unit::Planted {
        file: "skerrow/aux/q4-l3.ctr".to_owned(),
        ct: id,
        fault: "none",
        core: "-",
    };
    Record {
        text: text + "\n",
        place: "Q4 L3".to_owned(),
        planted,
        beside: Vec::new(),
    }
}

fn ring_readings(noise: &mut Noise) -> String {
    let iron = Iron::for_bend(9.0, 40.0, 50.0, 0.3, 1.0, 1.6);
    let winding = Winding {
        iron,
        turns: 40.0,
        primary_turns: 2.0,
        r75: 0.06,
        faults: Default::default(),
    };
    let burden = Complex::polar(0.084, 5.0);
    // Of the plate at one pass; with two passes half of it.
    let loaded = Loaded {
        turns: 40.0,
        rated_ratio: 20.0,
        burden,
    };
    let (error, _) = winding.errors(&loaded, 100.2, 20.5, 50.0);
    let secondary = 100.2 / 20.0 * (1.0 + error);
    let mut shown =
        |what: &str, test: &str, truth: f64| sig(read("C1", [test, what], truth, noise), 4);
    let ratio = vec![vec![
        shown("current", "ratio", 100.2),
        shown("current", "ratio", secondary),
    ]];
    let volts = vec![vec![
        "phase-neutral".to_owned(),
        shown("current", "burden", 5.0),
        shown("voltage", "burden", 5.0 * 0.084),
        "-".to_owned(),
    ]];
    format!(
        "\n[ratio S1-S2]\nmethod: current\nburden: connected\n{}\n[burden S1-S2]\n{}",
        table(&["primary/A", "secondary/A"], &ratio),
        table(&["loop", "current/A", "voltage/V", "angle/deg"], &volts)
    )
}
