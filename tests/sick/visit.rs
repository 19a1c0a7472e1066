//! The tests of one visit, in the order a technician makes them.

use super::bench::Bench;
use super::core::{Class, Core, Pair, impedance};
use super::excite::Driven;
use super::insulation::beside;
use super::iron::Curve;
use super::meter::Meter;
use super::sheet::{Cell, Kind, Row, Section, Visit};
use super::unit::Primary;
use crate::demo::write::sig;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Shares of the bend at which the exciting current is read.
const STEPS: [f64; 17] = [
    0.03, 0.05, 0.08, 0.12, 0.18, 0.27, 0.4, 0.55, 0.7, 0.8, 0.88, 0.94, 1.0, 1.05, 1.1, 1.15, 1.2,
];
/// Most that the source gives, A, and its highest voltage.
const SOURCE: (f64, f64) = (10.0, 2400.0);

pub struct Reader<'a> {
    pub bench: &'a Bench,
    /// The unit as the technician plans by it: stamped turns and a sound core.
    pub plan: &'a super::unit::Unit,
    /// Tells this CT and visit from all others.
    pub key: String,
    /// Curves that were worked out, by core and flux left in it (in thousandths).
    curves: RefCell<BTreeMap<(usize, u32), Rc<Curve>>>,
}

impl<'a> Reader<'a> {
    pub fn new(bench: &'a Bench, plan: &'a super::unit::Unit, key: String) -> Self {
        let curves = RefCell::default();
        Self {
            bench,
            plan,
            key,
            curves,
        }
    }

    fn driven(&self, core: usize, pair: Pair, left: f64) -> Driven<'a> {
        let mut curves = self.curves.borrow_mut();
        let unit = &self.bench.body;
        let new = || Rc::new(unit.cores[core].curve(self.bench.hertz(), unit.hertz, left));
        let key = (core, (left * 1000.0) as u32);
        let curve = Rc::clone(curves.entry(key).or_insert_with(new));
        Driven::new(self.bench, core, pair, curve)
    }

    pub fn visit(&self) -> Visit {
        let bench = self.bench;
        let mut sections = Vec::new();
        let factory = bench.purpose == "factory";
        if !factory {
            sections.push(self.state());
            sections.push(self.self_check());
        }
        let any = |kind| (0..bench.places.len()).any(|core| bench.does(core, kind));
        for kind in [
            Kind::Insulation,
            Kind::Polarity,
            Kind::Demagnetisation,
            Kind::Resistance,
        ] {
            if any(kind) {
                match kind {
                    Kind::Insulation => sections.push(self.insulation()),
                    Kind::Polarity => sections.extend(self.polarity()),
                    Kind::Demagnetisation => sections.extend(self.demagnetisation(true)),
                    _ => sections.push(self.resistance()),
                }
            }
        }
        sections.extend(self.demagnetisation(false));
        sections.extend(self.of_each(Kind::Excitation, Self::excitation));
        if any(Kind::Ratio) {
            sections.push(self.ratio());
        }
        sections.extend(self.of_each(Kind::ByCurrent, Self::by_current));
        if any(Kind::Burden) {
            sections.push(self.burden());
        }
        if !factory {
            sections.push(self.restored());
        }
        sections.retain(|one| !one.rows.is_empty() || !one.fields.is_empty());
        Visit {
            date: bench.date,
            purpose: bench.purpose,
            fields: self.header(),
            sections,
            not_done: self.not_done(),
        }
    }

    fn cores(&self, kind: Kind) -> impl Iterator<Item = (usize, &Core)> {
        let cores = self.plan.cores.iter().enumerate();
        cores.filter(move |(core, _)| self.bench.does(*core, kind))
    }

    fn of_each(&self, kind: Kind, make: fn(&Self, usize, &Core) -> Section) -> Vec<Section> {
        self.cores(kind)
            .map(|(index, core)| make(self, index, core))
            .collect()
    }

    fn read(&self, meter: Meter, key: &str, truth: f64, unit: f64) -> Cell {
        self.bench
            .kit
            .read(meter, &format!("{}/{key}", self.key), truth, unit)
    }

    fn header(&self) -> Vec<(&'static str, String)> {
        let (one, other) = self.plan.ends();
        let state = if self.bench.both_earthed {
            "earthed"
        } else {
            "open"
        };
        let mut fields = vec![
            ("tested by", "T. Invented".to_owned()),
            ("ambient", format!("{:.1} C", self.bench.celsius)),
            ("instrument", self.bench.kit.id(Meter::ExcitingVolts)),
        ];
        if self.plan.connects == Primary::Links {
            let links = if self.bench.series {
                "series"
            } else {
                "parallel"
            };
            fields.push(("primary links", links.to_owned()));
        }
        if self.bench.purpose != "factory" {
            fields.push(("primary", format!("{one} {state}, {other} earthed")));
        }
        fields
    }

    fn not_done(&self) -> Vec<String> {
        let words = [
            (Kind::Insulation, "insulation"),
            (Kind::Polarity, "polarity"),
            (Kind::Resistance, "resistance"),
            (Kind::Demagnetisation, "demagnetisation"),
            (Kind::Excitation, "excitation"),
            (Kind::Ratio, "ratio"),
            (Kind::Burden, "burden"),
        ];
        let mut lines =
            vec!["not done ratio on taps: read from the lower terminal only".to_owned()];
        if self.bench.purpose == "factory" {
            let tests = ["withstand", "inter-turn", "partial-discharge"];
            lines.extend(
                tests.map(|test| format!("not done {test}: not copied from the certificate")),
            );
        }
        for (kind, word) in words {
            let missing: Vec<&str> = (0..self.plan.cores.len())
                .filter(|core| !self.bench.does(*core, kind))
                .map(|core| self.plan.cores[core].name.as_str())
                .collect();
            if missing.len() == self.plan.cores.len() {
                lines.push(format!("not done {word}: no time at this visit"));
            } else {
                lines.extend(
                    missing
                        .iter()
                        .map(|core| format!("not done {word} {core}: no time at this visit")),
                );
            }
        }
        lines
    }

    fn state(&self) -> Section {
        let mut section = Section::new(Kind::State, "");
        section.head = vec!["core", "in service", "earth", "star", "links", "secondary"];
        for (index, core) in self.plan.cores.iter().enumerate() {
            let full = core.full();
            let star = if self.bench.places[index].star_first {
                full.0
            } else {
                full.1
            };
            let cells = [
                core.name.clone(),
                core.word(full),
                "panel".to_owned(),
                core.marks[star].clone(),
                "open".to_owned(),
                "shorted".to_owned(),
            ];
            section.rows.push(row(index, cells.map(Cell::Word)));
        }
        section
    }

    fn restored(&self) -> Section {
        let mut section = Section::new(Kind::Restored, "");
        section.head = vec!["core", "links", "secondary", "earth", "earths counted"];
        for (index, core) in self.plan.cores.iter().enumerate() {
            let earths = self.bench.places[index].earths.to_string();
            let cells = [
                core.name.clone(),
                "closed".to_owned(),
                "connected".to_owned(),
                "panel".to_owned(),
                earths,
            ];
            section.rows.push(row(index, cells.map(Cell::Word)));
        }
        section.say("checked by", "C. Invented");
        section
    }

    fn self_check(&self) -> Section {
        let mut section = Section::new(Kind::SelfCheck, "");
        section
            .fields
            .push(("ratio of 1", self.read(Meter::Unity, "unity", 1.0, 1.0), ""));
        section.fields.push((
            "leads",
            self.read(Meter::LeadOhms, "leads", self.bench.leads, 1.0),
            " ohm",
        ));
        section
    }

    fn insulation(&self) -> Section {
        let bench = self.bench;
        let mut section = Section::new(Kind::Insulation, "");
        section.say("instrument", bench.kit.id(Meter::Insulation));
        section.fields.push(temperature(bench.celsius));
        section.head = vec!["between", "voltage/V", "time/s", "resistance/Mohm"];
        let many = self.plan.cores.len() > 1;
        let rest = if many {
            "cores"
        } else {
            &self.plan.cores[0].name
        };
        let lead = |ohms: f64| bench.test_lead.map_or(ohms, |lead| beside(ohms, lead));
        if !bench.both_earthed {
            for seconds in [15.0, 60.0, 600.0] {
                let wall = bench.body.primary.at(seconds, bench.celsius);
                let ohms = bench.surface.map_or(wall, |surface| beside(wall, surface));
                let shown = self.megohms(&format!("primary {seconds}"), lead(ohms));
                let words = [
                    format!("primary to {rest} and earth"),
                    "5000".to_owned(),
                    sig(seconds, 3),
                ];
                let mut cells: Vec<Cell> = words.map(Cell::Word).into();
                cells.push(shown);
                section.rows.push(Row { core: None, cells });
            }
        }
        for (index, core) in self.cores(Kind::Insulation) {
            let wall = bench.body.cores[index].wall.at(60.0, bench.celsius);
            let ohms = bench.places[index]
                .leak
                .map_or(wall, |leak| beside(wall, leak));
            let shown = self.megohms(&format!("wall {index}"), lead(ohms));
            let rest = if many {
                "primary, cores and earth"
            } else {
                "primary and earth"
            };
            let words = [
                format!("{} to {rest}", core.name),
                "1000".to_owned(),
                "60".to_owned(),
            ];
            let mut cells: Vec<Cell> = words.map(Cell::Word).into();
            cells.push(shown);
            section.rows.push(Row {
                core: Some(index),
                cells,
            });
        }
        section
    }

    fn megohms(&self, key: &str, ohms: f64) -> Cell {
        if ohms > 450e9 {
            return Cell::word(">450000");
        }
        self.read(Meter::Insulation, key, ohms, 1e-6)
    }

    fn polarity(&self) -> Vec<Section> {
        let up = |core: usize, pair: Pair| {
            let (truly, pair) = self.bench.true_pair(core, Kind::Polarity, pair);
            let sign = self.bench.primary_sign * self.bench.body.cores[truly].turns_of(pair);
            if sign > 0.0 {
                "up on make"
            } else {
                "down on make"
            }
        };
        self.cores(Kind::Polarity)
            .map(|(index, core)| {
                let mut section = Section::new(Kind::Polarity, core.word(core.full()));
                section.say("method", "kick");
                section.say("plus on", self.plan.ends().0);
                section.head = vec!["on", "deflection"];
                for pair in core.taps() {
                    let cells = [core.word(pair), up(index, pair).to_owned()];
                    section.rows.push(row(index, cells.map(Cell::Word)));
                }
                section
            })
            .collect()
    }

    fn resistance(&self) -> Section {
        let bench = self.bench;
        let mut section = Section::new(Kind::Resistance, "");
        section.say("instrument", bench.kit.id(Meter::DirectAmperes));
        section.say("wires", bench.wires.to_string());
        if let Some(stated) = bench.stated {
            section.fields.push(temperature(stated));
        }
        let timed = bench.times.len() > 1;
        section.head = vec!["on", "current/A", "voltage/V"];
        if timed {
            section.head.push("after/s");
        }
        for (index, core) in self.cores(Kind::Resistance) {
            let sections = core.sections();
            let pairs = std::iter::once(core.full()).chain(if sections.len() > 1 {
                sections
            } else {
                Vec::new()
            });
            for pair in pairs {
                for seconds in &bench.times {
                    section
                        .rows
                        .push(self.direct(index, core, pair, *seconds, timed));
                }
            }
        }
        section
    }

    fn direct(&self, index: usize, core: &Core, pair: Pair, seconds: f64, timed: bool) -> Row {
        let bench = self.bench;
        let (truly, on) = bench.true_pair(index, Kind::Resistance, pair);
        let body = &bench.body.cores[truly];
        let direct = &bench.places[index].direct;
        let mut ohms = body.ohms_of(on, bench.winding);
        for (at, contact) in &direct.contact {
            // A joint lies in a section and is part of every pair across it.
            let (low, high) = (on.0.min(on.1), on.0.max(on.1));
            if low <= at.0 && at.1 <= high {
                ohms += contact;
            }
        }
        if let Some((share, lasts)) = direct.settling {
            ohms *= 1.0 + share * libm::exp(-seconds / lasts);
        }
        ohms *= 1.0 + direct.heating * seconds;
        if let Some((at, share)) = direct.clip.filter(|(at, _)| *at == pair) {
            let moved = super::dice::Dice::of(&format!("{}/clip {at:?} {seconds}", self.key))
                .between(0.4, 1.0);
            ohms *= 1.0 + share * moved;
        }
        let lead_in = (bench.wires == 2 && !bench.leads_taken_off) || bench.leads_left_in;
        if lead_in {
            ohms += bench.leads;
        }
        if bench.converted {
            ohms *= body.conductor.at(75.0) / body.conductor.at(bench.winding);
        }
        // A tenth of rated current.
        let amperes = core.rated * 0.1;
        let key = format!("direct {index} {pair:?} {seconds}");
        let mut cells = vec![
            Cell::word(core.word(pair)),
            self.read(Meter::DirectAmperes, &key, amperes, 1.0),
            self.read(Meter::DirectVolts, &key, amperes * ohms, 1.0),
        ];
        if timed {
            cells.push(Cell::word(sig(seconds, 3)));
        }
        row(index, cells)
    }

    fn demagnetisation(&self, early: bool) -> Option<Section> {
        let mut section = Section::new(Kind::Demagnetisation, "");
        section.head = vec!["on", "start/V", "end/V", "time/s"];
        for (index, core) in self.cores(Kind::Demagnetisation) {
            let place = &self.bench.places[index];
            if place.demagnetised && place.demagnetised_early == early {
                let start = (core.bend(self.plan.hertz) * 1.2).min(SOURCE.1);
                let cells = [
                    core.word(core.full()),
                    sig(start, 3),
                    "0".to_owned(),
                    "45".to_owned(),
                ];
                section.rows.push(row(index, cells.map(Cell::Word)));
            }
        }
        (!section.rows.is_empty()).then_some(section)
    }

    fn excitation(&self, index: usize, core: &Core) -> Section {
        let bench = self.bench;
        let mut section = Section::new(Kind::Excitation, core.word(core.full()));
        section.say("voltmeter", "mean");
        section.head = vec!["voltage/V", "current/mA"];
        let (truly, pair) = bench.true_pair(index, Kind::Excitation, core.full());
        let driven = self.driven(truly, pair, bench.places[index].left);
        let bend = core.bend(self.plan.hertz);
        for (step, share) in STEPS.iter().enumerate() {
            let key = format!("exciting {index} {step}");
            // Nobody sets a voltage to the digit.
            let set =
                bend * share * super::dice::Dice::of(&format!("{}/{key}", self.key)).spread(1.0);
            let (shown, taken) = driven.shown(set);
            if taken.amperes > SOURCE.0 || shown > SOURCE.1 {
                break;
            }
            let cells = vec![
                self.read(Meter::ExcitingVolts, &key, shown, 1.0),
                self.read(Meter::ExcitingAmperes, &key, taken.amperes, 1e3),
            ];
            section.rows.push(row(index, cells));
        }
        section
    }

    fn ratio(&self) -> Section {
        let bench = self.bench;
        let mut section = Section::new(Kind::Ratio, "");
        section.say("method", "voltage");
        section.head = vec!["on", "applied/V", "induced/mV", "phase/arcmin"];
        for (index, core) in self.cores(Kind::Ratio) {
            for pair in core.taps() {
                let share = core.turns_of(pair) / core.all_turns();
                let set =
                    (core.bend(self.plan.hertz) * bench.places[index].applied).min(400.0) * share;
                let (truly, on) = bench.true_pair(index, Kind::Ratio, pair);
                let taken = self.driven(truly, on, 0.0).at(set);
                let turns = bench.body.cores[truly].turns_of(on);
                let primary = bench.written_turns() * bench.primary_factor;
                let sign = (turns.signum() * bench.primary_sign) < 0.0;
                let induced = taken.emf / turns.abs() * primary;
                let hum = bench.places[index].pick_up;
                let angle = libm::atan2(
                    induced * libm::sin(taken.angle),
                    induced * libm::cos(taken.angle) + hum,
                );
                let induced = libm::hypot(
                    induced * libm::sin(taken.angle),
                    induced * libm::cos(taken.angle) + hum,
                );
                let mut minutes = angle.to_degrees() * 60.0;
                if sign {
                    minutes += if minutes > 0.0 { -10_790.0 } else { 10_790.0 };
                }
                let key = format!("ratio {index} {pair:?}");
                let low = induced < 2.0;
                let meter = if low {
                    Meter::RatioMillivolts
                } else {
                    Meter::RatioVolts
                };
                let cells = vec![
                    Cell::word(core.word(pair)),
                    self.read(
                        if set < 2.0 {
                            Meter::RatioMillivolts
                        } else {
                            Meter::RatioVolts
                        },
                        &key,
                        set,
                        1.0,
                    ),
                    self.read(meter, &format!("{key} p"), induced, 1e3),
                    self.read(Meter::RatioPhase, &key, minutes, 1.0),
                ];
                section.rows.push(row(index, cells));
            }
        }
        section
    }

    /// Error and displacement of the full winding under rated burden, by a comparator.
    fn by_current(&self, index: usize, core: &Core) -> Section {
        let bench = self.bench;
        let mut section = Section::new(Kind::ByCurrent, core.word(core.full()));
        section.say("method", "current");
        section.say("instrument", bench.kit.id(Meter::Error));
        let (volt_amperes, factor) = core.burden;
        section.say("burden", format!("{volt_amperes} VA at {factor:.2}"));
        section.head = vec!["rated/%", "error/%", "phase/arcmin"];
        let (truly, pair) = bench.true_pair(index, Kind::ByCurrent, core.full());
        let body = &bench.body.cores[truly];
        let turns = body.turns_of(pair) * bench.primary_sign;
        if turns < 0.0 {
            return section;
        }
        let (r, x) = impedance(core.burden, core.rated);
        let (r, x) = (r + body.ohms_of(pair, bench.winding), x + body.leakage);
        let curve = self.driven(truly, pair, bench.places[index].left);
        let small = matches!(core.class, Class::Measuring(word, _) if word.ends_with('S'));
        for per_cent in [1.0, 5.0, 20.0, 100.0, 120.0] {
            if per_cent < 5.0 && !small {
                continue;
            }
            let (error, minutes) = curve.errors(core.rated * per_cent / 100.0, r, x);
            let nominal = core.all_turns() / turns.abs() * bench.primary_factor;
            let mut error = (nominal * (1.0 + error) - 1.0) * 100.0;
            if let Some((shift, reaches)) = bench.places[index].distortion {
                if per_cent > reaches {
                    break;
                }
                error += shift * per_cent / 100.0;
            }
            if error.abs() > 9.9 {
                continue;
            }
            let key = format!("error {index} {per_cent}");
            let cells = vec![
                Cell::word(
                    sig(per_cent, if per_cent < 10.0 { 1 } else { 3 }).trim_end_matches(".0"),
                ),
                self.read(Meter::Error, &key, error, 1.0),
                self.read(Meter::Displacement, &key, minutes, 1.0),
            ];
            section.rows.push(row(index, cells));
        }
        section
    }

    fn burden(&self) -> Section {
        let mut section = Section::new(Kind::Burden, "");
        section.head = vec!["on", "loop", "current/A", "voltage/V", "angle/deg"];
        for (index, core) in self.cores(Kind::Burden) {
            let (r, x) = self.bench.places[index].circuit;
            let ohms = libm::hypot(r, x);
            // The source gives 60 V at most.
            let amperes = core.rated.min(60.0 / ohms);
            let key = format!("burden {index}");
            let cells = vec![
                Cell::word(core.word(core.full())),
                Cell::word("phase-neutral"),
                self.read(Meter::BurdenAmperes, &key, amperes, 1.0),
                self.read(Meter::BurdenVolts, &key, amperes * ohms, 1.0),
                self.read(
                    Meter::BurdenAngle,
                    &key,
                    libm::atan2(x, r).to_degrees(),
                    1.0,
                ),
            ];
            section.rows.push(row(index, cells));
        }
        section
    }
}

fn row(core: usize, cells: impl Into<Vec<Cell>>) -> Row {
    Row {
        core: Some(core),
        cells: cells.into(),
    }
}

fn temperature(celsius: f64) -> (&'static str, Cell, &'static str) {
    let text = format!("{celsius:.1}");
    ("temperature", Cell::Reading { text, limit: 1.0 }, " +- 1 C")
}
