//! The summation CT of three auxiliary circuits.

use crate::demo::bench::Bench;
use crate::demo::model::Insulation;
use crate::demo::noise::Noise;
use crate::demo::unit::{KIT_2026, Record, Unit, Visit};
use crate::demo::write::{sig, table};
use crate::demo::yard::{Make, core};

const ID: &str = "LYR-26-70080";
const INPUTS: [&str; 3] = ["1P1-1P2", "2P1-2P2", "3P1-3P2"];

pub fn record() -> Record {
    let mut noise = Noise::seeded(ID);
    let unit = unit(&mut noise);
    let visit = Visit {
        date: "2026-10-22",
        purpose: "commissioning",
        tested_by: "M. Tveit",
        reviewed_by: "S. Hollen",
        celsius: 20.5,
        humidity: 44.0,
        kit: KIT_2026,
    };
    let mut bench = Bench::open(&unit, &visit, &mut noise, "");
    bench.state();
    bench.self_check();
    bench.insulation();
    let rows =
        INPUTS.map(|input| vec!["S1-S2".to_owned(), input.to_owned(), "as marked".to_owned()]);
    let body = crate::demo::write::piped(&["on", "input", "result"], &rows);
    bench.line(&format!("\n[polarity]\nmethod: comparison\n{body}"));
    bench.resistance(4);
    bench.demagnetisation(&[]);
    bench.excitation();
    // 300 turns, 20 on each input: 5 A in one input give a third of 1 A.
    let mut rows = Vec::new();
    for input in INPUTS {
        let set = 12.0 * bench.noise.spread(0.5);
        let winding = &unit.cores[0].winding;
        let (induced, phase) = winding.induced(winding.turns, set, 20.5, 50.0);
        let applied = bench.read("M1", ["ratio", "voltage"], set);
        let induced = bench.read("M1", ["ratio", "voltage"], induced);
        let phase = bench.read("M1", ["ratio", "phase"], phase);
        rows.push(vec![
            input.to_owned(),
            sig(applied, 5),
            sig(induced, 5),
            format!("{phase:.1}"),
        ]);
    }
    let body = table(&["input", "applied/V", "induced/V", "phase/arcmin"], &rows);
    bench.line(&format!("\n[ratio S1-S2]\nmethod: voltage\n{body}"));
    bench.burden("M1", 1.0);
    bench.restored("L. Foss");
    unit.record(&bench.text, "none", "-")
}

fn unit(noise: &mut Noise) -> Unit {
    let make = Make {
        name: "S",
        plate: "marks: S1 S2\nuse: metering\nclass: 1\nburden: 10 VA\nratio: 5+5+5/1 A\n",
        bend: 60.0,
        flux: 0.8,
        field: 1.5,
        r75: 1.42,
        load: (3.30, 6.0),
    };
    let mut core = core(&make, &[0.0, 300.0], noise);
    core.winding.primary_turns = 20.0;
    Unit {
        id: ID.to_owned(),
        file: "skerrow/aux/sum-l3.ctr".to_owned(),
        place: "Q1 to Q3 L3".to_owned(),
        header: format!(
            "# Sum of three circuits of the auxiliary supply; all of it invented.\nformat: 1\n\n[ct]\nid: {ID}\nmaker: Lyse Ringer\nserial: 70080\nyear: 2026\n\
             standard: IEC 61869-2:2012\nhighest voltage: 0.72 kV\nfrequency: 50 Hz\ninsulation: cast resin\nprimary turns: 20\n\n\
             [place since 2026-10-01]\nsite: Skerrow auxiliaries\nbay: Q1 to Q3\nphase: L3\n"
        ),
        duties: String::new(),
        cores: vec![core],
        primary: Insulation {
            minute: 18e9,
            rise: 0.1,
        },
        primary_test: 1000.0,
        hz: 50.0,
        primary_state: "1P1 open, 2P1 open, 3P1 open".to_owned(),
        primary_marks: ["1P1", "1P2"],
        earthed_at: "panel",
    }
}
