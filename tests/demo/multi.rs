//! Sets with taps: the IEEE five-terminal CTs of the 60 Hz yard and the reactor differential with its spare.

use super::bench::Bench;
use super::model::{Insulation, Iron, Winding};
use super::noise::Noise;
use super::unit::{Core, KIT_2019, KIT_2022, KIT_2026, Kit, Record, Unit, Visit};

/// Three CTs of the 60 Hz yard and seven of the reactor.
pub fn records() -> Vec<Record> {
    let sides = [("line side", "line", 0), ("neutral side", "neutral", 3)];
    let reactor = sides
        .iter()
        .flat_map(|side| (0..3).map(move |phase| reactor(side, phase)));
    (0..3)
        .map(five_terminals)
        .chain(reactor)
        .chain(std::iter::once(spare()))
        .collect()
}

const TEN_PAIRS: [(usize, usize, u32); 10] = [
    (1, 2, 100),
    (0, 1, 200),
    (0, 2, 300),
    (3, 4, 400),
    (2, 3, 500),
    (1, 3, 600),
    (0, 3, 800),
    (2, 4, 900),
    (1, 4, 1000),
    (0, 4, 1200),
];

fn five_terminals(phase: usize) -> Record {
    let serial = 8801 + phase;
    let id = format!("TRK-19-{serial}");
    let mut noise = Noise::seeded(&id);
    let unit = five_terminal_unit(phase, serial, id, &mut noise);
    let kit = Kit {
        source: "F0",
        ..KIT_2019
    };
    let factory = Visit {
        date: "2018-12-04",
        purpose: "factory",
        tested_by: "maker",
        reviewed_by: "",
        celsius: 20.5,
        humidity: 40.0,
        kit,
    };
    let first = Visit {
        date: "2019-05-21",
        purpose: "commissioning",
        tested_by: "L. Foss",
        reviewed_by: "S. Hollen",
        celsius: 16.0,
        humidity: 52.0,
        kit: KIT_2019,
    };
    let second = Visit {
        date: "2026-10-06",
        purpose: "maintenance",
        tested_by: "R. Anvik",
        reviewed_by: "S. Hollen",
        celsius: 9.5,
        humidity: 68.0,
        kit: KIT_2026,
    };
    let mut bench = Bench::open(
        &unit,
        &factory,
        &mut noise,
        &format!("excitation read from: certificate {serial}, curve sheet\n"),
    );
    bench.excitation();
    bench.line("\nnot done all but excitation: the certificate holds the curve only\n");
    let mut visits = bench.text;
    visits += &whole_visit(&unit, &first, &mut noise, 5.0);
    let mut later = unit.clone();
    if phase == DAMP {
        later.cores[0].insulation.minute *= 0.3;
        visits += &between(&later);
        later.cores[0].insulation.minute *= 0.35;
    }
    visits += &whole_visit(&later, &second, &mut noise, 5.0);
    let (fault, core) = match phase == DAMP {
        true => ("falling-insulation", "X"),
        false => ("none", "-"),
    };
    unit.record(&visits, fault, core)
}

/// The phase whose secondary insulation falls from visit to visit, still far above what the client asks.
const DAMP: usize = 1;

/// A short visit between the two whole ones.
fn between(unit: &Unit) -> String {
    let visit = Visit {
        date: "2022-09-13",
        purpose: "maintenance",
        tested_by: "L. Foss",
        reviewed_by: "S. Hollen",
        celsius: 13.0,
        humidity: 71.0,
        kit: KIT_2022,
    };
    let mut noise = Noise::seeded(&format!("{}, 2022", unit.id));
    let mut bench = Bench::open(unit, &visit, &mut noise, "");
    bench.state();
    bench.insulation();
    bench.line("\nnot done all but insulation: the outage was for the terminal box only\n");
    bench.text
}

/// The usual order: direct current first, the core free of it afterwards.
fn whole_visit(unit: &Unit, visit: &Visit, noise: &mut Noise, rated: f64) -> String {
    let mut bench = Bench::open(unit, visit, noise, "");
    bench.state();
    bench.self_check();
    bench.insulation();
    bench.polarity();
    bench.resistance(4);
    bench.demagnetisation(&[]);
    bench.excitation();
    bench.ratio();
    bench.burden(visit.kit.source, rated);
    bench.restored("E. Lund");
    bench.line("\nnot done excitation on taps: full winding tested\n");
    bench.text
}

fn five_terminal_unit(phase: usize, serial: usize, id: String, noise: &mut Noise) -> Unit {
    let visits = if phase == DAMP { "four" } else { "three" };
    let phase = ["L1", "L2", "L3"][phase];
    let header = format!(
        "# E1 {phase} of the 60 Hz yard: five terminals, {visits} visits; all of it invented.\nformat: 1\n\n[ct]\nid: {id}\nmaker: Trask Coil\nserial: {serial}\nyear: 2018\n\
         standard: IEEE C57.13-2008\nhighest voltage: 123 kV\nfrequency: 60 Hz\ninsulation: oil and paper\nprimary turns: 1\n\n\
         [place since 2019-05-06]\nsite: Skerrow 60 Hz yard\nbay: E1\nphase: {phase}\np1 towards: busbar\n"
    );
    let duties = "\n[duty X since 2019-05-06]\ntap in service: X1-X5\nfault current: 20 kA\nx/r: 12\nburden: 1.50 ohm\nrequired knee: 500 V\n";
    Unit {
        id,
        header,
        file: format!("skerrow/e1/e1-{}.ctr", phase.to_lowercase()),
        place: format!("E1 {phase}"),
        duties: duties.to_owned(),
        cores: vec![five_terminal_core(noise)],
        primary: Insulation {
            minute: 120e9 * noise.spread(25.0),
            rise: 0.25,
        },
        primary_test: 5000.0,
        hz: 60.0,
        primary_state: "H1 open, H2 earthed".to_owned(),
        primary_marks: ["H1", "H2"],
        earthed_at: "panel",
    }
}

fn five_terminal_core(noise: &mut Noise) -> Core {
    let marks: Vec<String> = (1..=5).map(|n| format!("X{n}")).collect();
    let mut plate =
        "use: protection\nclass: C800\nratio: 1200:5\nresistance: 0.62 ohm at 75 C  # maker's certificate\ntap    ratio/A\n".to_owned();
    for (a, b, primary) in TEN_PAIRS {
        plate += &format!("{}-{}  {primary}:5\n", marks[a], marks[b]);
    }
    let iron = Iron::for_bend(
        905.0 * noise.spread(1.5),
        240.0,
        60.0,
        1.0,
        1.6,
        16.0 * noise.spread(5.0),
    );
    Core {
        name: "X".to_owned(),
        marks,
        plate,
        taps: vec![0.0, 40.0, 60.0, 160.0, 240.0],
        pairs: TEN_PAIRS.iter().map(|(a, b, _)| (*a, *b)).collect(),
        in_service: (0, 4),
        winding: Winding {
            iron,
            turns: 240.0,
            primary_turns: 1.0,
            r75: 0.613 * noise.spread(0.8),
            faults: Default::default(),
        },
        load: Some((1.50 * noise.spread(2.0), 20.0)),
        direct: 1.0,
        reach: 0.0,
        in_milliamps: false,
        insulation: Insulation {
            minute: 9e9 * noise.spread(30.0),
            rise: 0.2,
        },
        exchanged: false,
        reversed: false,
    }
}

const FIRST_OF_SET: &str = "HLV-26-5201";
const SET: &str = "H12 reactor differential";

fn reactor((side, short, offset): &(&str, &str, usize), phase: usize) -> Record {
    let serial = 5201 + offset + phase;
    let id = format!("HLV-26-{serial}");
    let mut noise = Noise::seeded(&id);
    let phase = ["L1", "L2", "L3"][phase];
    let place = format!(
        "\n[place since 2026-09-30]\nsite: Skerrow 132 kV\nbay: H12 {side}\nphase: {phase}\nset: {SET}\np1 towards: {}\n",
        if *offset == 0 { "line" } else { "star point" }
    );
    let mut unit = reactor_unit(id, serial, &place, &mut noise);
    unit.file = format!("skerrow/h12/h12-{short}-{}.ctr", phase.to_lowercase());
    unit.place = format!("H12 {side} {phase}");
    unit.duties =
        "\n[duty S since 2026-09-30]\ntap in service: S1-S3\nfault current: 8 kA\nx/r: 18\nburden: 2.20 ohm\nrequired knee: 200 V\n"
            .to_owned();
    let visit = Visit {
        date: "2026-10-12",
        purpose: "commissioning",
        tested_by: "R. Anvik",
        reviewed_by: "S. Hollen",
        celsius: 10.5,
        humidity: 63.0,
        kit: KIT_2026,
    };
    let visits = whole_visit(&unit, &visit, &mut noise, 1.0);
    unit.record(&visits, "none", "-")
}

fn reactor_unit(id: String, serial: usize, place: &str, noise: &mut Noise) -> Unit {
    let header = format!(
        "# One of seven of the {SET}; all of it invented.\nformat: 1\n\n[ct]\nid: {id}\nmaker: Halvard Kjernefabrikk\nserial: 26-{serial}\nyear: 2026\n\
         standard: IEC 61869-2:2012\nhighest voltage: 145 kV\nfrequency: 50 Hz\ninsulation: oil and paper\nprimary turns: 1\n{place}"
    );
    Unit {
        id,
        header,
        file: String::new(),
        place: String::new(),
        duties: String::new(),
        cores: vec![reactor_core(noise)],
        primary: Insulation {
            minute: 88e9 * noise.spread(25.0),
            rise: 0.28,
        },
        primary_test: 5000.0,
        hz: 50.0,
        primary_state: "P1 open, P2 earthed".to_owned(),
        primary_marks: ["P1", "P2"],
        earthed_at: "panel",
    }
}

fn reactor_core(noise: &mut Noise) -> Core {
    let plate = "marks: S1 S2 S3\nuse: protection\nclass: PX\ntap    ratio/A  knee/V  exciting/mA  resistance/ohm\nS1-S2  300/1    150     60           1.75\nS1-S3  600/1    300     30           3.50\n";
    let iron = Iron::for_bend(
        470.0 * noise.spread(1.5),
        600.0,
        50.0,
        0.95,
        1.65,
        4.0 * noise.spread(5.0),
    );
    Core {
        name: "S".to_owned(),
        marks: vec!["S1".to_owned(), "S2".to_owned(), "S3".to_owned()],
        plate: plate.to_owned(),
        taps: vec![0.0, 300.0, 600.0],
        pairs: vec![(0, 1), (0, 2)],
        in_service: (0, 2),
        winding: Winding {
            iron,
            turns: 600.0,
            primary_turns: 1.0,
            r75: 3.32 * noise.spread(0.8),
            faults: Default::default(),
        },
        load: Some((2.20 * noise.spread(2.0), 7.0)),
        direct: 0.5,
        reach: 0.0,
        in_milliamps: true,
        insulation: Insulation {
            minute: 12e9 * noise.spread(30.0),
            rise: 0.2,
        },
        exchanged: false,
        reversed: false,
    }
}

fn spare() -> Record {
    let serial = 5207;
    let id = format!("HLV-26-{serial}");
    let mut noise = Noise::seeded(&id);
    let place = format!("\n[place since 2026-09-30]\nsite: Skerrow 132 kV\nspare for: {SET}\n");
    let mut unit = reactor_unit(id, serial, &place, &mut noise);
    unit.file = "skerrow/h12/h12-spare.ctr".to_owned();
    unit.place = "H12 spare".to_owned();
    unit.cores[0].plate =
        format!("like: {FIRST_OF_SET}             # same plate, read and confirmed\n");
    unit.cores[0].load = None;
    unit.primary_state = "P1 open, P2 open".to_owned();
    let visit = Visit {
        date: "2026-10-13",
        purpose: "receiving",
        tested_by: "R. Anvik",
        reviewed_by: "S. Hollen",
        celsius: 12.0,
        humidity: 55.0,
        kit: KIT_2026,
    };
    let mut bench = Bench::open(&unit, &visit, &mut noise, "");
    bench.state();
    bench.self_check();
    bench.insulation();
    bench.polarity();
    bench.resistance(4);
    bench.demagnetisation(&[]);
    bench.excitation();
    bench.ratio();
    bench.restored("E. Lund");
    bench.line(
        "\nnot done excitation on taps: full winding tested\nnot done burden: spare in the store\n",
    );
    unit.record(&bench.text, "none", "-")
}
