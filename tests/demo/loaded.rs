//! Sections of a visit that load the CT or its circuit: ratio by voltage, ratio by comparison, burden.

use super::bench::Bench;
use super::complex::Complex;
use super::model::Loaded;
use super::unit::Core;
use super::write::{sig, table};

/// A run of the comparator.
pub struct Comparison<'a> {
    /// Id of the comparator.
    pub by: &'static str,
    /// Position of the primary links, where it is not that of the visit.
    pub links: Option<&'static str>,
    /// A, primary and secondary.
    pub rated: [f64; 2],
    pub percent: &'a [f64],
    pub va: f64,
    pub power_factor: f64,
}

impl Bench<'_> {
    /// Voltage on every declared pair at 0.3 of its knee, read across the primary.
    pub fn ratio(&mut self) {
        let (unit, id) = (self.unit, self.visit.kit.source);
        let mut rows = Vec::new();
        for core in &unit.cores {
            for pair in &core.pairs {
                let turns = core.turns(*pair);
                let set = 0.3 * core.winding.knee(turns, unit.hz) * self.noise.spread(1.0);
                let (primary, lead) = core
                    .winding
                    .induced(turns, set, self.visit.celsius, unit.hz);
                let applied = self.read(id, ["ratio", "voltage"], set);
                let induced = self.read(id, ["ratio", "voltage"], primary);
                // A winding the wrong way round shows half a turn of phase.
                let phase = if core.reversed { lead - 10_797.0 } else { lead };
                let phase = self.read(id, ["ratio", "phase"], phase);
                rows.push(vec![
                    core.pair(*pair),
                    sig(applied, 5),
                    sig(induced * 1e3, 5),
                    format!("{phase:.1}"),
                ]);
            }
        }
        let body = table(&["on", "applied/V", "induced/mV", "phase/arcmin"], &rows);
        self.text += &format!("\n[ratio]\nmethod: voltage\n{body}");
    }

    /// The outgoing circuit of the tap in service, driven with rated current.
    pub fn burden(&mut self, id: &str, rated: f64) {
        let unit = self.unit;
        let mut rows = Vec::new();
        for core in &unit.cores {
            let Some((ohms, degrees)) = core.load else {
                continue;
            };
            let set = rated * self.noise.spread(0.2);
            let amps = self.read(id, ["burden", "current"], set);
            let volts = self.read(id, ["burden", "voltage"], set * ohms);
            let angle = if id == "C1" {
                "-".to_owned()
            } else {
                format!(
                    "{:.1}",
                    self.read(id, ["burden", "angle"], degrees * 60.0) / 60.0
                )
            };
            rows.push(vec![
                core.pair(core.in_service),
                "phase-neutral".to_owned(),
                sig(amps, 4),
                sig(volts, 4),
                angle,
            ]);
        }
        let body = table(
            &["on", "loop", "current/A", "voltage/V", "angle/deg"],
            &rows,
        );
        let own = self.own_line(id);
        self.text += &format!("\n[burden]\n{own}{body}");
    }

    /// Errors by comparison at shares of rated primary current, in %.
    pub fn comparison(&mut self, core: &Core, job: &Comparison) {
        let rows: Vec<Vec<String>> = job
            .percent
            .iter()
            .map(|percent| {
                let set = job.rated[0] * percent / 100.0 * self.noise.spread(0.3);
                let loaded = Loaded {
                    turns: core.turns(core.full()),
                    rated_ratio: job.rated[0] / job.rated[1],
                    burden: Complex::polar(
                        job.va / (job.rated[1] * job.rated[1]),
                        libm::acos(job.power_factor).to_degrees(),
                    ),
                };
                let (error, phase) =
                    core.winding
                        .errors(&loaded, set, self.visit.celsius, self.unit.hz);
                let primary = self.read(job.by, ["ratio", "current"], set);
                let error = self.read(job.by, ["ratio", "ratio-error"], error) * 100.0;
                let phase = self.read(job.by, ["ratio", "phase"], phase);
                vec![
                    percent.to_string(),
                    sig(primary, 4),
                    format!("{error:.3}"),
                    format!("{phase:.1}"),
                ]
            })
            .collect();
        let body = table(&["rated/%", "primary/A", "error/%", "phase/arcmin"], &rows);
        let own = self.own_line(job.by);
        let links = job
            .links
            .map_or(String::new(), |links| format!("links: {links}\n"));
        self.text += &format!(
            "\n[ratio {}]\nmethod: current\n{links}{own}burden: {} VA at {:.2}\n{body}",
            core.pair(core.full()),
            job.va,
            job.power_factor
        );
    }
}
