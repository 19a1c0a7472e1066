//! A case: the CTs of one bay, what was measured at them and when, and slips of the pen.

use super::bench::{Bench, Place, Sense};
use super::dice::Dice;
use super::iron::NICKEL;
use super::meter::{self, Kit};
use super::sheet::{Kind, Sheet};
use super::unit::Unit;
use super::visit::Reader;
use super::winding::Conductor;
use super::write;
use kneemark::ground::seam::Memory;
use std::path::PathBuf;

/// One CT: the plate as typed, and its visits, oldest first.
pub struct Record {
    pub file: String,
    pub id: String,
    pub plate: Unit,
    /// What the technician plans by: the plate as its maker meant it.
    pub plan: Unit,
    pub benches: Vec<Bench>,
}

type Slip = Box<dyn Fn(&mut [Sheet])>;

pub struct Case {
    pub seed: String,
    pub records: Vec<Record>,
    /// What goes wrong on paper after the readings.
    pub slips: Vec<Slip>,
    pub instruments: bool,
    /// What is odd about it and no illness.
    pub odd: Vec<&'static str>,
}

const PHASES: [&str; 3] = ["L1", "L2", "L3"];

impl Case {
    /// The healthy case of a seed.
    pub fn new(seed: &str) -> Self {
        let mut dice = Dice::of(seed);
        let terminals = dice.pick(&[2, 2, 2, 3, 3, 4, 5]);
        let design = Unit::design(&mut dice, 1, terminals);
        let count = dice.pick(&[3, 3, 3, 3, 3, 3, 2, 1]);
        let mut odd = Vec::new();
        let worn = dice.chance(0.1);
        let cold = dice.chance(0.1);
        if worn {
            odd.push("worn instrument");
        }
        if cold {
            odd.push("cold day");
        }
        let cores = &design.cores;
        if cores.iter().any(|core| core.ring.gap > 0.0) {
            odd.push("gapped");
        }
        if cores.iter().any(|core| core.ring.iron == NICKEL) {
            odd.push("nickel-iron");
        }
        if cores
            .iter()
            .any(|core| core.conductor == Conductor::Aluminium)
        {
            odd.push("aluminium");
        }
        let air = if cold { -15.0 } else { dice.between(5.0, 30.0) };
        let mut plans = vec![Plan::of(
            &mut dice,
            "maintenance",
            "2026-06-10",
            "1",
            air,
            worn,
        )];
        if dice.chance(0.4) {
            let air = dice.between(5.0, 30.0);
            plans.insert(
                0,
                Plan::of(&mut dice, "commissioning", "2020-05-12", "0", air, false),
            );
        } else if dice.chance(0.7) {
            plans[0].purpose = "commissioning";
        }
        if dice.chance(0.6) {
            plans.insert(0, Plan::factory(&mut dice));
        }
        let records = (0..count).map(|place| {
            let body = design.made(&mut Dice::of(&format!("{seed}/body {place}")));
            let benches = plans
                .iter()
                .map(|plan| plan.bench(seed, &design, &body))
                .collect();
            Record {
                file: format!("bay/l{}.ctr", place + 1),
                id: format!("INV-26-{:03}{}", Dice::of(seed).below(1000), place + 1),
                plate: design.clone(),
                plan: design.clone(),
                benches,
            }
        });
        let records = records.collect();
        let mut case = Self {
            seed: seed.to_owned(),
            records,
            slips: Vec::new(),
            instruments: dice.chance(0.9),
            odd,
        };
        if dice.chance(0.06) && count > 1 {
            super::faults::batch::another(&mut case, &mut dice);
            case.odd.push("another batch");
        }
        case
    }

    /// All sheets, read and typed.
    pub fn sheets(&self) -> Vec<Sheet> {
        let mut sheets: Vec<Sheet> = self
            .records
            .iter()
            .enumerate()
            .map(|(place, record)| {
                let visit = |(number, bench): (usize, &Bench)| {
                    let key = format!("{}/{place}/{number}", self.seed);
                    Reader::new(bench, &record.plan, key).visit()
                };
                Sheet {
                    file: record.file.clone(),
                    id: record.id.clone(),
                    phase: PHASES[place].to_owned(),
                    plate: record.plate.clone(),
                    visits: record.benches.iter().enumerate().map(visit).collect(),
                }
            })
            .collect();
        for slip in &self.slips {
            slip(&mut sheets);
        }
        sheets
    }

    /// Bench of the last visit of a record.
    pub fn last(&mut self, record: usize) -> &mut Bench {
        let benches = &mut self.records[record].benches;
        let last = benches.len() - 1;
        &mut benches[last]
    }

    /// Visits by a technician, the maker's left out; the last one is always among them.
    pub fn on_site(&mut self, record: usize) -> impl Iterator<Item = &mut Bench> {
        self.records[record]
            .benches
            .iter_mut()
            .filter(|bench| bench.purpose != "factory")
    }
}

/// Files of some sheets, and the paths of their records.
pub fn files(sheets: &[Sheet], instruments: bool) -> (Memory, Vec<PathBuf>) {
    let memory = Memory::default();
    memory.put("pack.toml", "records = [\"**/*.ctr\"]\n");
    memory.put("criteria.toml", CRITERIA);
    if instruments {
        memory.put("instruments.toml", meter::toml());
    }
    let paths = sheets.iter().map(|sheet| {
        memory.put(sheet.file.as_str(), write::record(sheet));
        PathBuf::from(&sheet.file)
    });
    let paths = paths.collect();
    (memory, paths)
}

const CRITERIA: &str = r#"[decision]
rule = "guard band"
guard = 1.0
k = 2
[insulation]
profile = "client"
[insulation.client]
name = "invented instruction 7"
primary = "1 Gohm"
core = "100 Mohm"
[ratio]
turns = "0.5 %"
[resistance]
phases = "5 %"
history = "5 %"
"#;

/// What all CTs of a case meet at one visit.
struct Plan {
    date: &'static str,
    purpose: &'static str,
    time: &'static str,
    air: f64,
    worn: bool,
    wires: u8,
    leads: f64,
    times: Vec<f64>,
    skipped: Vec<Kind>,
    by_current: bool,
    series: bool,
    applied: f64,
}

/// What a visit may hold, in the order of the work.
const KINDS: [Kind; 6] = [
    Kind::Insulation,
    Kind::Polarity,
    Kind::Resistance,
    Kind::Excitation,
    Kind::Ratio,
    Kind::Burden,
];

impl Plan {
    fn of(
        dice: &mut Dice,
        purpose: &'static str,
        date: &'static str,
        time: &'static str,
        air: f64,
        worn: bool,
    ) -> Self {
        let skipped = KINDS.into_iter().filter(|_| dice.chance(0.1)).collect();
        Self {
            date,
            purpose,
            time,
            air,
            worn,
            wires: if dice.chance(0.2) { 2 } else { 4 },
            leads: dice.decades(0.01, 0.1),
            times: dice.pick(&[vec![60.0], vec![60.0], vec![60.0, 90.0, 120.0]]),
            skipped,
            by_current: dice.chance(0.5),
            series: dice.chance(0.5),
            applied: dice.between(0.15, 0.42),
        }
    }

    /// The maker's certificate holds curves, and often resistance and ratio.
    fn factory(dice: &mut Dice) -> Self {
        let mut plan = Self::of(dice, "factory", "2019-03-05", "9", 20.0, false);
        plan.wires = 4;
        plan.times = vec![60.0];
        plan.skipped = vec![Kind::Polarity, Kind::Burden, Kind::Insulation];
        if dice.chance(0.4) {
            plan.skipped.extend([Kind::Resistance, Kind::Ratio]);
        }
        plan
    }

    fn bench(&self, seed: &str, design: &Unit, body: &Unit) -> Bench {
        let places = design.cores.iter().map(|core| {
            let mut done: Vec<Kind> = KINDS
                .into_iter()
                .filter(|kind| !self.skipped.contains(kind))
                .collect();
            // Whatever magnetises the core is followed by it.
            if [Kind::Excitation, Kind::Resistance, Kind::Polarity]
                .iter()
                .any(|kind| done.contains(kind))
            {
                done.push(Kind::Demagnetisation);
            }
            if self.by_current
                && core.holds_class(design.hertz)
                && !self.skipped.contains(&Kind::Ratio)
            {
                done.push(Kind::ByCurrent);
            }
            Place::sound(core.circuit, done, self.applied)
        });
        Bench {
            date: self.date,
            purpose: self.purpose,
            kit: Kit::new(seed, self.time, self.worn),
            body: body.clone(),
            celsius: self.air,
            winding: self.air + Dice::of(&format!("{seed}/air {}", self.date)).within(0.8),
            stated: Some(self.air),
            converted: false,
            wires: self.wires,
            leads: self.leads,
            leads_left_in: false,
            leads_taken_off: false,
            times: self.times.clone(),
            sense: Sense::Mean,
            source_hertz: None,
            primary_factor: 1.0,
            series: self.series,
            primary_sign: 1.0,
            both_earthed: false,
            surface: None,
            test_lead: None,
            places: places.collect(),
        }
    }
}
