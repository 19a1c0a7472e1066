//! Sections of a visit that read a secondary circuit, dead and on load.

use crate::demo::bench::Bench;
use crate::demo::unit::Core;
use crate::demo::write::{piped, sig};

/// A current of the network.
pub struct Network {
    /// A, primary.
    pub amps: f64,
    /// deg, of L1 against the voltage, as leading.
    pub angle: f64,
}

/// A relay or meter behind a core.
#[derive(Clone, Copy)]
pub struct Device {
    pub core: usize,
    pub mark: &'static str,
    /// The ratio that it is set to.
    pub ratio: &'static str,
}

fn words<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_owned).to_vec()
}

impl Bench<'_> {
    fn circuits(&self) -> impl Iterator<Item = &Core> {
        self.unit.cores.iter().filter(|core| core.load.is_some())
    }

    /// Test blocks of all circuits, each in the position that is told of its core.
    pub fn test_links(&mut self, stage: &str, position: fn(&Core) -> &'static str) {
        let row = |(at, core): (usize, &Core)| {
            words([&core.name, &format!("X{} 1-4", at + 3), position(core)])
        };
        let rows: Vec<Vec<String>> = self.circuits().enumerate().map(row).collect();
        let body = piped(&["core", "item", "position"], &rows);
        self.text += &format!("\n[test-links]\nstage: {stage}\n{body}");
    }

    /// Each loop at the terminal box and at the panel: winding and burden in series.
    pub fn continuity(&mut self) {
        let mut rows = Vec::new();
        for core in &self.unit.cores {
            let Some((ohms, degrees)) = core.load else {
                continue;
            };
            let turns = core.turns(core.in_service);
            let winding = core.winding.resistance(turns, self.visit.celsius);
            let real = ohms * libm::cos(degrees.to_radians());
            for at in ["terminal box", "panel"] {
                let read = self.read("U1", ["continuity", "resistance"], winding + real);
                rows.push(words([&core.name, at, &sig(read, 3), "closed"]));
            }
        }
        let body = piped(&["core", "at", "resistance/ohm", "result"], &rows);
        self.text += &format!("\n[continuity]\ninstrument: U1\n{body}");
    }

    /// Each circuit with its one earth lifted.
    pub fn single_earth(&mut self) {
        let mut rows = Vec::new();
        for (at, core) in self.unit.cores.iter().enumerate() {
            if core.load.is_some() {
                let truth = 48e6 * self.noise.spread(40.0);
                let read = self.read("I1", ["single-earth", "insulation"], truth) / 1e6;
                let place = format!("{} X{}:9", self.unit.earthed_at, at + 3);
                rows.push(words([
                    &core.name,
                    &place,
                    "500",
                    "60",
                    &sig(read, 3),
                    "yes",
                    "1",
                ]));
            }
        }
        let head = [
            "core",
            "at",
            "voltage/V",
            "time/s",
            "resistance/Mohm",
            "put back",
            "earths counted",
        ];
        let body = piped(&head, &rows);
        self.text += &format!("\n[single-earth]\ninstrument: I1\n{body}");
    }

    /// What devices are set to, and what they show of a current in all three phases' places, one after the other.
    pub fn devices(&mut self, devices: &[Device], own: &str) {
        let cores = &self.unit.cores;
        let set = devices.iter();
        let set = set.map(|one| words([&cores[one.core].name, one.mark, one.ratio]));
        let body = piped(&["core", "at", "ratio"], &set.collect::<Vec<_>>());
        self.text += &format!("\n[ratio-setting]\n{body}");
        let mut rows = Vec::new();
        for device in devices {
            let name = cores[device.core].name.clone();
            for phase in super::PHASES {
                let fed = phase == own;
                let truth = if fed { 1.0 } else { 0.0 };
                let amps = match fed {
                    true => self.read("J1", ["injection", "current"], truth),
                    false => 0.0,
                };
                let shown = (truth * self.noise.spread(0.4)).abs();
                let shown = if fed {
                    sig(shown, 4)
                } else {
                    "0.001".to_owned()
                };
                let amps = if fed { sig(amps, 4) } else { "0".to_owned() };
                rows.push(words([&name, device.mark, phase, &amps, &shown]));
            }
        }
        let body = piped(&["core", "at", "phase", "current/A", "reading/A"], &rows);
        self.text += &format!("\n[injection]\ninstrument: J1\nlimit: 1 %\n{body}");
    }

    /// Currents of all phases and the neutral at each device, while the network loads the primary.
    pub fn load(&mut self, network: &Network, devices: &[(Device, f64)]) {
        let own = super::PHASES
            .iter()
            .position(|phase| self.unit.place.ends_with(phase));
        let own_angle = network.angle - 120.0 * own.unwrap_or(0) as f64;
        let mut rows = Vec::new();
        for (device, ratio) in devices {
            let name = &self.unit.cores[device.core].name;
            for (at, phase) in super::PHASES.iter().enumerate() {
                let truth = network.amps / ratio * self.noise.spread(0.6);
                let angle = network.angle - 120.0 * at as f64 + self.noise.within(0.4);
                let amps = self.read("W1", ["load", "current"], truth);
                let angle = self.read("W1", ["load", "angle"], turn(angle) * 60.0) / 60.0;
                rows.push(words([
                    name,
                    device.mark,
                    phase,
                    &sig(amps, 3),
                    &format!("{angle:.1}"),
                ]));
            }
            let neutral = network.amps / ratio * 0.006;
            let neutral = self.read("W1", ["load", "current"], neutral);
            rows.push(words([
                name,
                device.mark,
                "N",
                &format!("{neutral:.3}"),
                "-",
            ]));
        }
        let body = piped(&["core", "at", "phase", "current/A", "angle/deg"], &rows);
        self.text += &format!(
            "\n[load]\ninstrument: W1\nmethod: load\ntaken: {} 10:40\nprimary current: {:.0} A\nprimary angle: {:.0} deg\n\
             angles against: L1 to N of the busbar VT\nangles: leading\nrotation: L1 L2 L3\n{body}",
            self.visit.date,
            network.amps,
            turn(own_angle)
        );
    }

    /// A zone that the network's current passes through.
    pub fn stability(&mut self, network: &Network, (device, ratio): (Device, f64), zone: &str) {
        let mut rows = Vec::new();
        for phase in super::PHASES {
            let restrain = network.amps / ratio * self.noise.spread(0.6);
            let operate = restrain * 0.011 * self.noise.spread(30.0);
            let name = &self.unit.cores[device.core].name;
            rows.push(words([
                name,
                device.mark,
                phase,
                &format!("{operate:.3}"),
                &format!("{restrain:.3}"),
            ]));
        }
        let body = piped(&["core", "at", "phase", "operate/A", "restrain/A"], &rows);
        self.text += &format!(
            "\n[stability]\nzone: {zone}\nmethod: load\nfault: through\nlimit: 5 %\n{body}"
        );
    }
}

/// An angle within half a turn.
fn turn(degrees: f64) -> f64 {
    degrees - 360.0 * libm::round(degrees / 360.0)
}
