//! Bay H13, from the maker to the first load: three CTs with primary links, the circuits behind them, an interposing
//! CT in the panel; and a summation CT of the auxiliaries.

mod beside;
mod circuit;
mod interposing;
mod maker;
mod summation;

use super::bench::Bench;
use super::loaded::Comparison;
use super::model::Insulation;
use super::noise::Noise;
use super::unit::{Core, KIT_2026, Kit, Record, Unit, Visit};
use super::write::table;
use super::yard::{Make, PHASES, core};
use beside::Beside;
use circuit::{Device, Network};

const RATED: f64 = 600.0;
const SERIAL: u32 = 41_501;
/// The CT whose factory record is at hand.
const FROM_FACTORY: usize = 0;
/// The CT whose terminal box was wet.
const WET: usize = 1;
const ZONE: &str = "busbar A";
const PERMIT: &str = "crew: R. Anvik, L. Foss\npermit: PW-118\npermit until: 2026-10-08 16:00\npermit returned: 2026-10-08 15:20\n\
    outage: O-2026-77\nprocedure: NN-SC-12 revision C\nweather: dry, light wind\n";
const SIGNED: &str = "\n[sign-off]\nstage | signed by | for        | date\nvisit | R. Anvik  | contractor | 2026-10-07\nvisit | E. Lund   | client     | 2026-10-08\n";

const NETWORK: Network = Network {
    amps: 214.0,
    angle: -14.0,
};

const LINE: Device = Device {
    core: 0,
    mark: "F21",
    ratio: "600/1",
};
const BUSBAR: Device = Device {
    core: 0,
    mark: "F87B",
    ratio: "600/1",
};
const METER: Device = Device {
    core: 1,
    mark: "P1",
    ratio: "600/5",
};

/// The same core where an interposing CT lies between it and the meter: read with a clamp on its lead.
const LEAD: Device = Device { mark: "-", ..METER };

/// Three CTs of the bay, its interposing CT, and the summation CT.
pub fn records() -> Vec<Record> {
    let bay = (0..3).map(record);
    bay.chain([interposing::record(), summation::record()])
        .collect()
}

fn id(phase: usize) -> String {
    format!("BRW-26-{}", SERIAL + phase as u32)
}

fn record(phase: usize) -> Record {
    let mut noise = Noise::seeded(&id(phase));
    let unit = unit(phase, &mut noise);
    let mut visits = String::new();
    if phase == FROM_FACTORY {
        visits += &factory(&unit, &mut noise);
    }
    visits += &commissioning(&unit, phase, &mut noise);
    visits += &before_energising(&unit, phase, &mut noise);
    let (loaded, shown) = after_energising(&unit, phase, &mut noise);
    visits += &loaded;
    let mut record = unit.record(&visits, "none", "-");
    let files = (phase == WET).then(beside::sketch).into_iter().chain(shown);
    let folder = "skerrow/h13/";
    record.beside = files
        .map(|file| (format!("{folder}{}", file.name), file.text))
        .collect();
    record
}

fn unit(phase: usize, noise: &mut Noise) -> Unit {
    let (id, phase) = (id(phase), PHASES[phase]);
    let serial = id.trim_start_matches("BRW-");
    let header = format!(
        "# H13 {phase}, from the maker to the first load; all of it invented.\nformat: 1\n\n[ct]\nid: {id}\nmaker: Brandal Ring Works\n\
         type: BW 145\nserial: {serial}\nyear: 2026\nstandard: IEC 61869-2:2012\nhighest voltage: 145 kV\nBIL: 650 kV\nneutral: earthed\n\
         frequency: 50 Hz\ninsulation: oil and paper\nprimary turns: 1              # with the links in parallel\nprimary links: series 300/1, parallel 600/1\n\n\
         [place since 2026-09-20]\nsite: Skerrow 132 kV\nbay: H13\nphase: {phase}\np1 towards: busbar\n"
    );
    let limit = Make {
        name: "1S",
        plate: "use: protection\nclass: 5P20\nburden: 15 VA                 # power factor of the class: 0.80\nratio: 600/1 A\nresistance: 3.40 ohm at 75 C\n",
        bend: 462.0,
        flux: 1.65,
        field: 4.0,
        r75: 3.36,
        load: (1.10, 8.0),
    };
    let metering = Make {
        name: "2S",
        plate: "use: metering\nclass: 0.5 FS10\nburden: 10 VA\nratio: 600/5 A\nresistance: 0.120 ohm at 75 C\n",
        bend: 14.0,
        flux: 0.75,
        field: 1.5,
        r75: 0.116,
        load: (0.22, 10.0),
    };
    let mut cores = vec![
        core(&limit, &[0.0, RATED], noise),
        core(&metering, &[0.0, RATED / 5.0], noise),
    ];
    cores[1].direct = 1.0;
    // The security factor is shown where the current passes 10 % of FS times rated: 5 A.
    cores[1].reach = 6.0;
    Unit {
        file: format!("skerrow/h13/h13-{}.ctr", phase.to_lowercase()),
        place: format!("H13 {phase}"),
        id,
        header,
        cores,
        duties: format!(
            "\n[duty 1S since 2026-09-20]\nfault current: 25 kA\nx/r: 14\nburden: 1.10 ohm\nrequired knee: 210 V\nzone: {ZONE}\n"
        ),
        primary: Insulation {
            minute: 95e9 * noise.spread(25.0),
            rise: 0.27,
        },
        primary_test: 5000.0,
        hz: 50.0,
        primary_state: "P1 open, P2 earthed".to_owned(),
        primary_marks: ["P1", "P2"],
        earthed_at: "panel",
    }
}

fn comparison(va: f64, percent: &'static [f64], secondary: f64) -> Comparison<'static> {
    Comparison {
        by: "F2",
        links: None,
        rated: [RATED, secondary],
        percent,
        va,
        power_factor: if va < 5.0 { 1.0 } else { 0.8 },
    }
}

/// The maker's own record.
fn factory(unit: &Unit, noise: &mut Noise) -> String {
    let visit = Visit {
        date: "2026-06-10",
        purpose: "factory",
        tested_by: "maker",
        reviewed_by: "",
        celsius: 21.0,
        humidity: 45.0,
        kit: Kit {
            source: "F2",
            bridge: "F2",
            insulation: "F2",
        },
    };
    let mut bench = Bench::open(unit, &visit, noise, "primary links: parallel\n");
    bench.resistance(4);
    bench.primary_resistance(41e-6);
    bench.demagnetisation(&[]);
    bench.comparison(&unit.cores[0], &comparison(15.0, &[100.0], 1.0));
    for va in [10.0, 2.5] {
        let percent = &[5.0, 20.0, 100.0, 120.0];
        bench.comparison(&unit.cores[1], &comparison(va, percent, 5.0));
    }
    // In series the bar passes the cores twice.
    for (at, secondary, va) in [(0, 1.0, 15.0), (1, 5.0, 10.0)] {
        let mut core = unit.cores[at].clone();
        core.winding.primary_turns = 2.0;
        let run = Comparison {
            links: Some("series"),
            rated: [RATED / 2.0, secondary],
            ..comparison(va, &[100.0], secondary)
        };
        bench.comparison(&core, &run);
    }
    bench.line("\n[polarity]\non      | result\n1S1-1S2 | as marked\n2S1-2S2 | as marked\n");
    bench.excitation();
    bench.high_voltage();
    bench.text
}

fn visit(date: &'static str, purpose: &'static str, celsius: f64) -> Visit {
    Visit {
        date,
        purpose,
        tested_by: "R. Anvik",
        reviewed_by: "S. Hollen",
        celsius,
        humidity: 62.0,
        kit: KIT_2026,
    }
}

fn commissioning(unit: &Unit, phase: usize, noise: &mut Noise) -> String {
    let visit = visit("2026-10-05", "commissioning", 11.4);
    let points = match phase {
        WET => {
            "action: A1 renew the seal of the terminal box; L. Foss; 2026-10-07\naction: A2 print the label of X4 anew; L. Foss; 2026-11-30\n"
        }
        _ => "",
    };
    let head = format!("primary links: parallel\n{points}");
    let mut bench = Bench::open(unit, &visit, noise, &head);
    bench.state();
    bench.line("primary links: parallel\n");
    bench.self_check();
    if phase == WET {
        let found = ["2S to primary, cores and earth", "1000", "60", "0.0012"];
        let body = table(
            &["between", "voltage/V", "time/s", "resistance/Gohm"],
            &[found.map(str::to_owned).to_vec()],
        );
        bench.line(&format!(
            "\n[insulation]\nstage: as found\ninstrument: I1\ntemperature: 11.4 +- 1 C\n{body}note: water in the terminal box, seal of the cover torn\n"
        ));
    }
    bench.insulation();
    if phase == WET {
        bench.text = bench.text.replacen(
            "\n[insulation]\ninstrument",
            "\n[insulation]\nstage: as left\ninstrument",
            1,
        );
    }
    bench.polarity();
    bench.resistance(4);
    bench.demagnetisation(&[]);
    bench.excitation();
    bench.ratio();
    bench.burden("M1", 1.0);
    bench.restored("L. Foss");
    bench.line("primary links: parallel\n");
    if phase == WET {
        bench.attachments(&[beside::sketch()]);
    }
    bench.text
}

fn before_energising(unit: &Unit, phase: usize, noise: &mut Noise) -> String {
    let visit = visit("2026-10-07", "before energising", 9.8);
    let points = match phase {
        WET => "closed: A1 seal renewed, box dry\n",
        _ => "",
    };
    let mut bench = Bench::open(unit, &visit, noise, &format!("{PERMIT}{points}"));
    let own: &[Device] = match phase {
        interposing::BEHIND => &[LINE, BUSBAR],
        _ => &[LINE, BUSBAR, METER],
    };
    bench.devices(own, PHASES[phase]);
    bench.test_links("as found", |_: &Core| "shorted");
    bench.continuity();
    bench.single_earth();
    bench.test_links("as left", |_: &Core| "through");
    bench.restored("E. Lund");
    bench.line(SIGNED);
    bench.text
}

fn after_energising(unit: &Unit, phase: usize, noise: &mut Noise) -> (String, Option<Beside>) {
    let visit = visit("2026-10-09", "after energising", 10.2);
    let mut bench = Bench::open(unit, &visit, noise, "");
    let metering = match phase {
        interposing::BEHIND => LEAD,
        _ => METER,
    };
    bench.load(
        &NETWORK,
        &[(LINE, 600.0), (BUSBAR, 600.0), (metering, 120.0)],
    );
    bench.stability(&NETWORK, (BUSBAR, 600.0), ZONE);
    let shown = (phase == 0).then(|| beside::transient(&NETWORK, PHASES[phase]));
    if let Some(file) = &shown {
        bench.attachments(std::slice::from_ref(file));
    }
    (bench.text, shown)
}
