//! The sections of a visit, each read off the model through an instrument.

use super::instrument::read;
use super::noise::Noise;
use super::unit::{Core, Unit, Visit};
use super::write::{piped, sig, table};

/// A visit at work: the record grows section by section, in the order of work.
pub struct Bench<'a> {
    pub unit: &'a Unit,
    pub visit: &'a Visit,
    pub noise: &'a mut Noise,
    pub text: String,
}

/// ohm, of the two leads with their clips.
const LEADS: f64 = 0.0124;

impl<'a> Bench<'a> {
    /// Opens a visit; `extra` holds further lines of its head.
    pub fn open(unit: &'a Unit, visit: &'a Visit, noise: &'a mut Noise, extra: &str) -> Self {
        let mut text = format!(
            "\n[visit {}]\npurpose: {}\ntested by: {}\n",
            visit.date, visit.purpose, visit.tested_by
        );
        if !visit.reviewed_by.is_empty() {
            text += &format!("reviewed by: {}\n", visit.reviewed_by);
        }
        text += &format!(
            "ambient: {:.1} C\nhumidity: {:.0} %\ninstrument: {}\n{extra}",
            visit.celsius, visit.humidity, visit.kit.source
        );
        Self {
            unit,
            visit,
            noise,
            text,
        }
    }

    /// One reading of an instrument: test and quantity by name.
    pub fn read(&mut self, id: &str, what: [&str; 2], truth: f64) -> f64 {
        read(id, what, truth, self.noise)
    }

    /// The line that names an instrument which is not that of the visit.
    pub fn own_line(&self, id: &str) -> String {
        if id == self.visit.kit.source {
            String::new()
        } else {
            format!("instrument: {id}\n")
        }
    }

    /// Adds lines as they are.
    pub fn line(&mut self, text: &str) {
        self.text += text;
    }

    pub fn state(&mut self) {
        let place = self.unit.earthed_at;
        let row = |core: &Core| {
            let (service, earth, star, links) = match core.load {
                Some(_) => {
                    let star = core.marks[core.in_service.1].clone();
                    (core.pair(core.in_service), place, star, "open")
                }
                None => ("spare".to_owned(), "box", "-".to_owned(), "-"),
            };
            let [earth, links, secondary] = [earth, links, "shorted"].map(str::to_owned);
            vec![core.name.clone(), service, earth, star, links, secondary]
        };
        let rows: Vec<_> = self.unit.cores.iter().map(row).collect();
        let head = ["core", "in service", "earth", "star", "links", "secondary"];
        let body = piped(&head, &rows);
        self.text += &format!("\n[state]\n{body}primary: {}\n", self.unit.primary_state);
    }

    pub fn restored(&mut self, checked_by: &str) {
        let row = |core: &Core| {
            let cells = match core.load {
                Some(_) => ["closed", "connected", self.unit.earthed_at, "1"],
                None => ["-", "shorted", "box", "1"],
            };
            let cells = cells.map(str::to_owned);
            std::iter::once(core.name.clone()).chain(cells).collect()
        };
        let rows: Vec<Vec<String>> = self.unit.cores.iter().map(row).collect();
        let body = piped(
            &["core", "links", "secondary", "earth", "earths counted"],
            &rows,
        );
        self.text += &format!("\n[restored]\n{body}checked by: {checked_by}\n");
    }

    pub fn self_check(&mut self) {
        let id = self.visit.kit.source;
        let ratio = self.read(id, ["self-check", "ratio"], 1.0);
        let leads = self.read(id, ["self-check", "resistance"], LEADS);
        self.text += &format!("\n[self-check]\nratio of 1: {ratio:.4}\nleads: {leads:.4} ohm\n");
    }

    /// Primary at 15, 60 and 600 s unless both its ends are earthed; each core at 60 s.
    pub fn insulation(&mut self) {
        let (unit, kit) = (self.unit, self.visit.kit.insulation);
        let earthed = unit.primary_state.matches("earthed").count() == 2;
        let mut rows = Vec::new();
        let many = unit.cores.len() > 1;
        if !earthed {
            let rest = if many {
                "cores".to_owned()
            } else {
                unit.cores[0].name.clone()
            };
            for seconds in [15.0, 60.0, 600.0] {
                let truth = unit.primary.resistance(seconds, self.visit.celsius);
                let shown = self.gigaohms(kit, truth);
                rows.push(vec![
                    format!("primary to {rest} and earth"),
                    sig(unit.primary_test, 4),
                    sig(seconds, 2),
                    shown,
                ]);
            }
        }
        for core in &unit.cores {
            let truth = core.insulation.resistance(60.0, self.visit.celsius);
            let shown = self.gigaohms(kit, truth);
            let rest = if many {
                "primary, cores and earth"
            } else {
                "primary and earth"
            };
            rows.push(vec![
                format!("{} to {rest}", core.name),
                "1000".to_owned(),
                "60".to_owned(),
                shown,
            ]);
        }
        let body = table(
            &["between", "voltage/V", "time/s", "resistance/Gohm"],
            &rows,
        );
        self.text += &format!(
            "\n[insulation]\ninstrument: {kit}\ntemperature: {:.1} +- 1 C\n{body}",
            self.visit.celsius
        );
        if unit.primary_state.matches("earthed").count() == 1 {
            self.text += "note: earth of the primary lifted for the rows of the primary, put back after discharge\n";
        }
        if earthed {
            self.text += "note: primary to earth not measured, both earth switches stayed closed\n";
        }
    }

    fn gigaohms(&mut self, kit: &str, truth: f64) -> String {
        if truth > 200e9 {
            return ">200".to_owned();
        }
        sig(self.read(kit, ["insulation", "insulation"], truth) / 1e9, 3)
    }

    /// Full windings, and sections where there are taps; `wires` is 2 or 4.
    pub fn resistance(&mut self, wires: u8) {
        let (unit, kit) = (self.unit, self.visit.kit.bridge);
        let mut rows = Vec::new();
        for core in &unit.cores {
            for pair in std::iter::once(core.full()).chain(core.sections()) {
                let winding = core
                    .winding
                    .resistance(core.turns(pair), self.visit.celsius);
                let ohms = if wires == 2 { winding + LEADS } else { winding };
                let set = core.direct * self.noise.spread(0.3);
                let amps = self.read(kit, ["resistance", "current"], set);
                let volts = self.read(kit, ["resistance", "voltage"], set * ohms);
                rows.push(vec![core.pair(pair), sig(amps, 5), sig(volts, 5)]);
            }
        }
        let body = table(&["on", "current/A", "voltage/V"], &rows);
        self.text += &format!(
            "\n[resistance]\ninstrument: {kit}\nwires: {wires}\ntemperature: {:.1} +- 1 C\n{body}",
            self.visit.celsius
        );
    }

    /// Battery on the primary, moving-coil meter on the full winding.
    pub fn polarity(&mut self) {
        for core in &self.unit.cores {
            let deflection = if core.reversed { "down" } else { "up" };
            self.text += &format!(
                "\n[polarity {}]\nmethod: kick\nplus on: {}\ndeflection: {deflection} on make\n",
                core.pair(core.full()),
                self.unit.primary_marks[0]
            );
        }
    }

    /// From above the knee to zero, core after core, but for those in `skip`.
    pub fn demagnetisation(&mut self, skip: &[&str]) {
        let unit = self.unit;
        let rows: Vec<Vec<String>> = unit
            .cores
            .iter()
            .filter(|core| !skip.contains(&core.name.as_str()))
            .map(|core| {
                let start = 1.22 * core.winding.knee(core.turns(core.full()), unit.hz);
                vec![
                    core.pair(core.full()),
                    sig(start, 3),
                    "0".to_owned(),
                    "45".to_owned(),
                ]
            })
            .collect();
        let body = table(&["on", "start/V", "end/V", "time/s"], &rows);
        self.text += &format!("\n[demagnetisation]\n{body}");
    }

    /// Exciting curve of the full winding of every core.
    pub fn excitation(&mut self) {
        for core in &self.unit.cores {
            self.curve(core);
        }
    }

    fn curve(&mut self, core: &Core) {
        let (pair, id) = (core.full(), self.visit.kit.source);
        let scale = if core.in_milliamps { 1e3 } else { 1.0 };
        let rows: Vec<Vec<String>> = self
            .points(core)
            .into_iter()
            .map(|target| {
                let set = target * self.noise.spread(0.4);
                let state =
                    core.winding
                        .driven(core.turns(pair), set, self.visit.celsius, self.unit.hz);
                let volts = self.read(id, ["excitation", "voltage"], set);
                let amps = self.read(id, ["excitation", "current"], state.amps.abs());
                vec![sig(volts, 4), sig(amps * scale, 4)]
            })
            .collect();
        let heading = if core.in_milliamps {
            "current/mA"
        } else {
            "current/A"
        };
        let body = table(&["voltage/V", heading], &rows);
        // Of a curve that is far too high a careful technician writes that nothing hung on the winding.
        let off = match core.winding.faults.shorted {
            Some(_) => "burden: disconnected\n",
            None => "",
        };
        self.text += &format!(
            "\n[excitation {}]\nvoltmeter: mean\n{off}{body}",
            core.pair(pair)
        );
    }

    /// Ten log-spaced below the knee, seven about it, then on until `reach` has been passed.
    fn points(&self, core: &Core) -> Vec<f64> {
        let turns = core.turns(core.full());
        let knee = core.winding.knee(turns, self.unit.hz);
        let below = (0..10).map(|step| 0.04 * libm::pow(0.85 / 0.04, f64::from(step) / 9.0));
        let mut points: Vec<f64> = below
            .chain([0.91, 0.96, 1.0, 1.05, 1.1, 1.16, 1.24])
            .map(|x| x * knee)
            .collect();
        let mut x = 1.24;
        let amps = |volts: f64| {
            core.winding
                .driven(turns, volts, self.visit.celsius, self.unit.hz)
                .amps
                .abs()
        };
        while amps(x * knee) < core.reach && x < 1.7 {
            x += 0.06;
            points.push(x * knee);
        }
        points
    }
}
