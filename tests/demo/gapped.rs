//! A TPY core, excited at 10 Hz because no portable source reaches its knee at 50 Hz.

use super::bench::Bench;
use super::instrument::read;
use super::model::{Insulation, Iron, Winding};
use super::noise::Noise;
use super::unit::{Core, KIT_2026, Record, Unit, Visit};
use super::write::{sig, table};

const TURNS: f64 = 8000.0;
/// H at 50 Hz, set by the gaps.
const INDUCTANCE: f64 = 11.0;
const LOW_HZ: f64 = 10.0;

/// One record.
pub fn records() -> Vec<Record> {
    let id = "HLV-25-3304".to_owned();
    let mut noise = Noise::seeded(&id);
    let unit = unit(id, &mut noise);
    let visit = Visit {
        date: "2026-10-27",
        purpose: "commissioning",
        tested_by: "R. Anvik",
        reviewed_by: "S. Hollen",
        celsius: 19.0,
        humidity: 42.0,
        kit: KIT_2026,
    };
    let mut bench = Bench::open(&unit, &visit, &mut noise, "witnessed by: E. Lund\n");
    bench.state();
    bench.self_check();
    bench.insulation();
    bench.polarity();
    bench.resistance(4);
    let winding = &unit.cores[0].winding;
    let start = 1.22 * winding.knee(TURNS, LOW_HZ);
    bench.line(&format!(
        "\n[demagnetisation S1-S2]\nstart: {start:.0} V\nfrequency: 10 Hz\nend: 0 V\n"
    ));
    let curve = curve(winding, bench.noise);
    bench.line(&curve);
    bench.line(&remanence(winding));
    bench.ratio();
    bench.burden("M1", 1.0);
    bench.restored("E. Lund");
    vec![unit.record(&bench.text, "none", "-")]
}

/// Terminal voltages at 10 Hz through and past the point that stands for Eal = 1620 V at 50 Hz.
fn curve(winding: &Winding, noise: &mut Noise) -> String {
    let knee = winding.knee(TURNS, LOW_HZ);
    let low = [20.0, 40.0, 80.0, 120.0, 180.0, 240.0, 300.0, 324.0, 340.0];
    let about = [0.91, 0.96, 1.0, 1.05, 1.1, 1.16]
        .map(|x| x * knee)
        .into_iter()
        .filter(|volts| *volts > 345.0);
    let mut reading = |what: &str, truth: f64| read("M1", ["excitation", what], truth, noise);
    let rows: Vec<Vec<String>> = low
        .into_iter()
        .chain(about)
        .map(|volts| {
            let state = winding.driven(TURNS, volts, 19.0, LOW_HZ);
            let shown = reading("voltage", volts);
            let amps = reading("current", state.amps.abs()) * 1e3;
            vec![
                sig(shown, 4),
                sig(amps, 4),
                sig(reading("current", state.peak) * 1e3, 4),
            ]
        })
        .collect();
    let body = table(&["voltage/V", "current/mA", "peak/mA"], &rows);
    format!(
        "\n[excitation S1-S2]            # 10 Hz: 324 V stands for 1620 V at 50 Hz\nfrequency: 10 Hz\nvoltmeter: mean\n{body}"
    )
}

fn remanence(winding: &Winding) -> String {
    let constant = INDUCTANCE / (winding.resistance(TURNS, 75.0) + 5.0);
    format!(
        "\n[remanence S1-S2]\nmethod: dc\nremanence factor: 5.8 %\nloop time constant: {constant:.3} s\ninductance: {INDUCTANCE:.1} H\n"
    )
}

fn unit(id: String, noise: &mut Noise) -> Unit {
    let header = "# Synchronous condenser, neutral side; one CT with a gapped core; all of it invented.\nformat: 1\n\n[ct]\nid: HLV-25-3304\nmaker: Halvard Kjernefabrikk\nserial: 25-3304\nyear: 2025\n\
        standard: IEC 61869-2:2012\nhighest voltage: 24 kV\nfrequency: 50 Hz\ninsulation: cast resin\nprimary turns: 1\n\n\
        [place since 2026-10-01]\nsite: Skerrow converter hall\nbay: SC1 neutral side\nphase: L1\np1 towards: star point\n";
    Unit {
        id,
        header: header.to_owned(),
        file: "skerrow/sc1/sc1-neutral-l1.ctr".to_owned(),
        place: "SC1 neutral side L1".to_owned(),
        duties: String::new(),
        cores: vec![core(noise)],
        primary: Insulation {
            minute: 110e9,
            rise: 0.1,
        },
        primary_test: 5000.0,
        hz: 50.0,
        primary_state: "P1 open, P2 open".to_owned(),
        primary_marks: ["P1", "P2"],
        earthed_at: "cubicle",
    }
}

fn core(noise: &mut Noise) -> Core {
    let plate = "marks: S1 S2\nuse: protection\nclass: TPY\nratio: 8000/1 A\nburden: 5.0 ohm               # resistive burden Rb\nresistance: 22 ohm at 75 C\n\
        kssc: 6\nktd: 10\nprimary time constant: 250 ms\nduty cycle: C-O\naccuracy time: 30 ms\nloop time constant: 0.41 s\n";
    let mut iron = Iron::for_bend(1750.0, TURNS, 50.0, 1.2, 1.6, 8.0);
    iron.gap = TURNS * TURNS * 1.256_637_062e-6 * iron.area / INDUCTANCE;
    Core {
        name: "S".to_owned(),
        marks: vec!["S1".to_owned(), "S2".to_owned()],
        plate: plate.to_owned(),
        taps: vec![0.0, TURNS],
        pairs: vec![(0, 1)],
        in_service: (0, 1),
        winding: Winding {
            iron,
            turns: TURNS,
            primary_turns: 1.0,
            r75: 21.4 * noise.spread(1.0),
            faults: Default::default(),
        },
        load: Some((3.40, 3.0)),
        direct: 0.1,
        reach: 0.0,
        in_milliamps: true,
        insulation: Insulation {
            minute: 22e9,
            rise: 0.1,
        },
        exchanged: false,
        reversed: false,
    }
}
