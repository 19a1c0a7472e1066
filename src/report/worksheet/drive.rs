//! How high a core is driven: what has to be reached, the one ceiling that nothing goes above, and the
//! lower frequency at which a core that would need more still stays under it.

use super::known::Known;
use super::{Subject, say};
use crate::derive::expected::{self, TurningPoint};
use crate::record::plate::Plate;
use crate::record::readings::Measure;
use crate::standards::{self, px};

/// The highest voltage that any terminal of a secondary may reach.
#[derive(Clone, Debug)]
pub struct Ceiling {
    /// Volt.
    pub volts: f64,
    /// Whose figure it is.
    pub whose: String,
}

impl Ceiling {
    /// The lowest that holds: the job's (the trade's where the job states none), that of the plate's
    /// standard, and how far the instruments of the job read.
    pub fn of(subject: &Subject<'_>) -> Option<Self> {
        let ceiling = |volts, whose: &str| Self {
            volts,
            whose: whose.to_owned(),
        };
        let job = match subject.criteria.open_voltage {
            Some(volts) => Some(ceiling(volts, "criteria of the job")),
            None => standards::threshold("excitation-cap-error")
                .map(|cap| ceiling(cap.limit, &cap.cited.source)),
        };
        let plate = &subject.record.plate;
        let plate = standards::withstand_secondary(plate.family()).and_then(|row| {
            let cited = plate.cite(&row.cited)?;
            let whose = format!("what the secondary is tested with: {}", cited.source);
            Some(ceiling(row.limit, &whose))
        });
        let all = [job, plate, instruments(subject)];
        all.into_iter()
            .flatten()
            .min_by(|a, b| a.volts.total_cmp(&b.volts))
    }
}

/// How far the best instrument of the job reads in an excitation test.
fn instruments(subject: &Subject<'_>) -> Option<Ceiling> {
    let all = &subject.instruments?.items;
    let reads = all.iter().flat_map(|one| {
        let functions = one.functions_for(Measure::Voltage, "excitation");
        functions.map(move |function| (function.to, one))
    });
    let (volts, best) = reads.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Ceiling {
        volts,
        whose: format!("{} reads no further", best.id),
    })
}

/// How a core is excited.
#[derive(Clone, Debug)]
pub struct Drive<'a> {
    /// Where the curve turns, as far as plate and earlier visits tell; volt at rated frequency.
    pub turn: f64,
    /// What the record holds already.
    pub known: Option<Known<'a>>,
    /// Voltages at which something is asked for, volt at rated frequency.
    pub asked: Vec<f64>,
    /// What the curve has to reach, volt at rated frequency.
    pub reach: f64,
    /// The highest of them, where the knee on record lies so far below it that the current comes first.
    pub beyond: Option<f64>,
    /// The highest voltage that the source is run to, volt at the frequency of the test.
    top: f64,
    /// What no terminal goes above, volt.
    ceiling: Option<f64>,
    /// Where that is above the ceiling.
    pub lower: Option<Lower>,
}

/// A frequency at which the same flux takes less voltage.
#[derive(Clone, Copy, Debug)]
pub struct Lower {
    /// As a part of rated frequency.
    pub share: f64,
    /// The rated one and this one, where the plate states it.
    pub hertz: Option<(f64, f64)>,
}

impl Lower {
    fn new(plate: &Plate, reach: f64, ceiling: f64) -> Option<Self> {
        let rated = plate.rated_frequency();
        let to = expected::lower_frequency(rated.unwrap_or(1.0), reach, ceiling)?;
        Some(Self {
            share: to / rated.unwrap_or(1.0),
            hertz: rated.map(|rated| (rated, to)),
        })
    }

    /// `40 Hz`
    pub fn text(&self) -> String {
        match self.hertz {
            Some((_, to)) => format!("{} Hz", say::plain(to)),
            None => format!("{} % of rated frequency", say::plain(100.0 * self.share)),
        }
    }

    /// `50 Hz`
    pub fn rated_text(&self) -> String {
        match self.hertz {
            Some((rated, _)) => format!("{} Hz", say::plain(rated)),
            None => "rated frequency".to_owned(),
        }
    }
}

/// A core takes many times the current of its knee when it is driven this many times past it; common
/// practice, no source.
const FAR: f64 = 1.5;

/// A step of the knee rule past a voltage: the knee is shown there only.
pub fn past(volts: f64) -> f64 {
    volts * px(false).map_or(1.0, |row| 1.0 + row.knee_voltage_step / 100.0)
}

impl<'a> Drive<'a> {
    /// What the plate's e.m.f. and a knee on record ask of a core's full winding. What a duty asks for is
    /// decided wherever the knee is found.
    pub fn new(
        (subject, sisters): (&Subject<'a>, &[Subject<'a>]),
        index: usize,
        turning: Option<TurningPoint>,
        ceiling: Option<&Ceiling>,
    ) -> Option<Self> {
        let core = subject.record.cores.get(index)?;
        let known = Known::new(subject, sisters, index);
        // A curve whose readings are in doubt tells where care begins, and no more.
        let read = known.as_ref().filter(|known| !known.is_doubted);
        let knee = read.map(|known| known.knee);
        let plate = turning.map(|turning| turning.volts);
        // A knee that was found tells more than an e.m.f. that the plate only implies.
        let found = known.as_ref().map(|known| known.knee);
        let turn = knee.or(plate).or(found)?;
        let highest = plate.map_or(turn, |plate| plate.max(turn));
        let stated = core.exciting.iter().map(|at| at.value.at.si);
        let limits = plate.into_iter().chain(stated);
        let mut asked: Vec<f64> = Vec::new();
        for volts in limits.filter(|volts| *volts > 0.0) {
            if asked.iter().all(|one| (volts / one - 1.0).abs() > 0.02) {
                asked.push(volts);
            }
        }
        let most = asked.iter().copied().fold(past(highest), f64::max);
        let last = asked.iter().copied().reduce(f64::max);
        // There the class asks for more than the core holds: its knee decides how high it is driven.
        let beyond = last.filter(|last| knee.is_some_and(|knee| *last > FAR * past(knee)));
        let reach = beyond.map_or(most, |_| past(turn));
        let over = ceiling.filter(|ceiling| reach > ceiling.volts);
        let lower = over.and_then(|over| Lower::new(&subject.record.plate, reach, over.volts));
        let top = at(lower, most);
        Some(Self {
            turn,
            known,
            asked,
            reach,
            beyond,
            top: ceiling.map_or(top, |ceiling| top.min(ceiling.volts)),
            ceiling: ceiling.map(|ceiling| ceiling.volts),
            lower,
        })
    }

    /// What stands at the terminals for an e.m.f. at rated frequency, at the frequency of the test.
    pub fn at_terminals(&self, volts: f64) -> f64 {
        at(self.lower, volts)
    }

    /// Where the core is saturated, at the frequency of the test.
    pub fn saturated(&self) -> f64 {
        self.at_terminals(past(self.turn))
    }

    /// The same by the largest knee on record, where that is another one; never above the ceiling.
    pub fn saturated_by_largest(&self) -> Option<f64> {
        let known = self.known.as_ref().filter(|known| known.is_split)?;
        let largest = self.at_terminals(past(known.most));
        let largest = self.ceiling.map_or(largest, |most| largest.min(most));
        (largest > self.saturated()).then_some(largest)
    }

    /// Where the source is raised slowly, by the current: past the smallest knee on record, if what is
    /// asked for lies far above it. Volt at the frequency of the test.
    pub fn slow(&self) -> Option<f64> {
        let known = self.known.as_ref()?;
        let far = self.beyond.is_some() || known.is_split || known.is_doubted;
        far.then(|| self.at_terminals(past(known.least)))
    }

    /// Current without which the knee on record is not shown again, ampere.
    pub fn knee_current(&self) -> Option<f64> {
        let known = self.known.as_ref().filter(|known| !known.is_doubted)?;
        Some(known.current_at(past(known.knee)).unwrap_or(known.last().1))
    }

    /// Highest voltage on the full winding, volt; never above the ceiling.
    pub fn top(&self) -> f64 {
        self.top
    }
}

fn at(lower: Option<Lower>, volts: f64) -> f64 {
    volts * lower.map_or(1.0, |lower| lower.share)
}
