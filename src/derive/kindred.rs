//! What a unit shows of itself to its sisters: plain numbers of each visit. The sisters are many and each has a
//! ledger of its own, so that no value of one can point into another's.

use super::Values;
use super::case::Case;
use super::curve::Curve;
use super::kinds::Derived;
use super::kinds::burden::Loop;
use super::kinds::insulation::{Group, Node};
use super::kinds::ratio::Burdened;
use super::outcome::Outcome;
use super::workings::{Uncertainty, Value, Workings};
use crate::ground::date::Date;
use crate::ground::span::Span;
use crate::record::Record;
use crate::record::alike::{Make, like_core};
use crate::record::core::Core;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;
use crate::record::kinds::burden::Path;
use crate::record::kinds::{Test, TestKind};
use crate::record::readings::Measure;
use crate::record::visit::Visit;
use crate::trade::{Pair, Purpose};

/// A unit as its sisters see it.
#[derive(Clone, Debug)]
pub struct Kindred {
    pub id: String,
    pub make: Make,
    pub cores: Vec<Core>,
    /// Rated frequency, hertz.
    pub frequency: Option<f64>,
    /// In the order of the record.
    pub visits: Vec<Shown>,
    /// Ratio errors with their uncertainty, in the order of the record.
    pub erred: Vec<Erred>,
    /// Connected circuits as they were read on site, in the order of the record.
    pub loaded: Vec<Loaded>,
}

/// A ratio error as it counts behind an interposing CT.
#[derive(Clone, Debug)]
pub struct Erred {
    pub day: Date,
    pub pair: Pair,
    /// Of an error by current its share of rated current, per cent; none by voltage.
    pub percent: Option<f64>,
    /// Of an error by current.
    pub burden: Option<Burdened>,
    /// Position of the primary links.
    pub links: Option<String>,
    /// Per cent.
    pub error: f64,
    pub spread: Uncertainty,
}

/// The connected circuit of one phase, as an interposing CT in it is held to it.
#[derive(Clone, Debug)]
pub struct Loaded {
    pub day: Date,
    pub pair: Pair,
    /// Ohm.
    pub z: f64,
    pub spread: Uncertainty,
}

/// What one visit shows.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Of the visit.
    pub name: String,
    pub purpose: Purpose,
    pub resistance: Vec<Resisted>,
    /// Turns ratio errors by voltage, per cent.
    pub turns: Vec<(Pair, f64)>,
    /// Ratio errors by current.
    pub errors: Vec<Compared>,
    pub curves: Vec<Traced>,
    pub insulation: Vec<Insulated>,
    /// The connected circuits, each of one phase.
    pub burdens: Vec<Looped>,
    /// Core and the terminal at its star point, as found.
    pub stars: Vec<(usize, String)>,
    pub tables: Vec<Table>,
}

/// Resistance of a pair.
#[derive(Clone, Copy, Debug)]
pub struct Resisted {
    pub pair: Pair,
    /// As read, ohm.
    pub cold: f64,
    /// At 75 °C, ohm.
    pub at_75: Option<f64>,
}

/// A ratio error by current.
#[derive(Clone, Debug)]
pub struct Compared {
    pub pair: Pair,
    pub burden: Burdened,
    /// Current and error, per cent.
    pub percent: f64,
    pub error: f64,
}

/// A curve as it was taken.
#[derive(Clone, Debug)]
pub struct Traced {
    pub pair: Pair,
    pub curve: Curve,
    /// The deciding knee, else the last reading, volt.
    pub knee: f64,
    /// Source frequency in hertz, where it is not the rated one.
    pub other_frequency: Option<f64>,
}

/// Insulation resistance between two sides.
#[derive(Clone, Debug)]
pub struct Insulated {
    pub from: Vec<Node>,
    pub to: Vec<Node>,
    /// Ohm, at about a minute, as read.
    pub read: f64,
    /// The same at 20 °C, where it can be.
    pub at_20: Option<f64>,
    /// It is so much or more.
    pub at_least: bool,
    /// What it rises by with time.
    pub rises: Vec<Risen>,
}

/// A rise of the insulation resistance with time.
#[derive(Clone, Copy, Debug)]
pub struct Risen {
    /// Second.
    pub later: f64,
    pub earlier: f64,
    pub ratio: f64,
}

/// The connected circuit of one phase, ohm.
#[derive(Clone, Copy, Debug)]
pub struct Looped {
    pub pair: Pair,
    pub z: f64,
    /// Resistance and reactance, where the angle was read.
    pub parts: Option<(f64, f64)>,
}

/// The readings of a section, as they were typed.
#[derive(Clone, Debug)]
pub struct Table {
    pub kind: TestKind,
    pub pair: Option<Pair>,
    pub readings: Vec<Typed>,
    pub at: Span,
}

/// A reading as it was typed.
#[derive(Clone, Copy, Debug)]
pub struct Typed {
    pub measure: Measure,
    pub value: f64,
    /// The share of it that a step of its last digit is.
    pub step: f64,
    /// Not a bound.
    pub exact: bool,
}

impl Kindred {
    /// What a record and its derived values show.
    #[must_use]
    pub fn of(
        record: &Record,
        instruments: Option<&Instruments>,
        criteria: &Criteria,
        values: &Values,
    ) -> Self {
        let cases = || Case::each(record, instruments, criteria).zip(&values.visits);
        Self {
            id: record.plate.id_text().to_owned(),
            make: Make::of(&record.plate),
            cores: record.cores.clone(),
            frequency: record.plate.frequency.value().map(|rated| rated.si),
            // What was cured is no measure for another one.
            visits: cases()
                .filter(|(case, _)| !case.visit.as_found())
                .map(|(case, derived)| Shown::of(&case, derived))
                .collect(),
            erred: cases()
                .filter(|(case, _)| !case.visit.as_found())
                .flat_map(|(case, derived)| erred(case, derived, &values.workings))
                .collect(),
            loaded: cases()
                .filter(|(case, _)| {
                    !case.visit.as_found() && case.visit.purpose() != Purpose::Factory
                })
                .flat_map(|(case, derived)| {
                    loaded(case.visit.date.value, derived, &values.workings)
                })
                .collect(),
        }
    }

    /// The errors of a pair until a day, by voltage or at a current, in one position of the primary links or in any: of
    /// each burden the one that was read last.
    #[must_use]
    pub fn erred_until(
        &self,
        day: Date,
        (pair, links): (Pair, Option<&String>),
        percent: Option<f64>,
    ) -> Vec<&Erred> {
        let at = |one: &&Erred| match (one.percent, percent) {
            (Some(own), Some(asked)) => (own - asked).abs() < 1e-6 * asked.abs(),
            (own, asked) => own.is_none() && asked.is_none(),
        };
        let counts = |one: &&Erred| {
            one.pair == pair && one.day <= day && (links.is_none() || one.links.as_ref() == links)
        };
        let mut last: Vec<&Erred> = Vec::new();
        for one in self.erred.iter().rev().filter(counts).filter(at) {
            if !last.iter().any(|later| later.burden == one.burden) {
                last.push(one);
            }
        }
        last.reverse();
        last
    }

    /// The circuit of a pair that was read last on a day that counts.
    #[must_use]
    pub fn loaded_on(&self, pair: Pair, counts: impl Fn(Date) -> bool) -> Option<&Loaded> {
        let mut all = self.loaded.iter().rev();
        all.find(|one| one.pair == pair && counts(one.day))
    }

    /// Its visits on site: that of the same name first, then from the last one.
    pub fn at(&self, visit: &str) -> impl Iterator<Item = &Shown> {
        let same = self.on_site().filter(move |shown| shown.name == visit);
        same.chain(self.on_site().filter(move |shown| shown.name != visit))
    }

    /// Resistance at 75 °C of a pair of the core that is like `own`, as it was read last on site, ohm.
    #[must_use]
    pub fn resistance_at_75(&self, own: &Core, pair: Pair) -> Option<f64> {
        let core = like_core(own, &self.cores)?;
        let pair = Pair { core, ..pair };
        self.on_site()
            .find_map(|shown| shown.resistance(pair)?.at_75)
    }

    /// By how many times the resistance at 75 °C of a pair of the core that is like `own` is what it was when it was first
    /// read, on site or at the works.
    #[must_use]
    pub fn moved(&self, own: &Core, pair: Pair) -> Option<f64> {
        let core = like_core(own, &self.cores)?;
        let pair = Pair { core, ..pair };
        let mut read = self
            .visits
            .iter()
            .filter_map(|shown| shown.resistance(pair)?.at_75);
        let first = read.next()?;
        Some(read.next_back()? / first)
    }

    /// What takes the resistance that was read at a visit to 75 °C, of a pair of the core that is like `own`.
    #[must_use]
    pub fn to_75(&self, own: &Core, pair: Pair, visit: &str) -> Option<f64> {
        let core = like_core(own, &self.cores)?;
        let pair = Pair { core, ..pair };
        let read = self.on_site().find(|shown| shown.name == visit)?;
        let read = read.resistance(pair)?;
        Some(read.at_75? / read.cold)
    }

    /// Its visits on site, the last one first.
    pub fn on_site(&self) -> impl Iterator<Item = &Shown> {
        let visits = self.visits.iter().rev();
        visits.filter(|shown| shown.purpose != Purpose::Factory)
    }
}

impl Shown {
    /// What a visit shows; of what was not understood nothing.
    #[must_use]
    pub fn of(case: &Case<'_>, derived: &Derived) -> Self {
        Self {
            name: case.visit.name(),
            purpose: case.visit.purpose(),
            resistance: resistance(derived),
            turns: derived
                .ratio
                .turns
                .iter()
                .filter(|one| one.doubtful.is_none())
                .map(|one| (one.pair.ascending(), one.error.si))
                .collect(),
            errors: errors(derived),
            curves: curves(case, derived),
            insulation: derived
                .insulation
                .iter()
                .filter_map(Insulated::of)
                .collect(),
            burdens: derived.burden.iter().filter_map(Looped::of).collect(),
            stars: stars(case.visit),
            tables: tables(case.visit),
        }
    }

    /// Resistance of a pair.
    #[must_use]
    pub fn resistance(&self, pair: Pair) -> Option<&Resisted> {
        self.resistance.iter().rev().find(|one| one.pair == pair)
    }
}

impl Insulated {
    /// What a group shows.
    #[must_use]
    pub fn of(group: &Group) -> Option<Self> {
        let sound = group.doubtful.is_none();
        let (read, at_least) = match group.minute.r {
            Outcome::Known(value) | Outcome::AtMost(value) => (value.si, false),
            Outcome::AtLeast(value) => (value.si, true),
            Outcome::NotReached { .. } | Outcome::Lacking(_) => return None,
        };
        let at_20 = group.at_20.as_ref().ok().and_then(Outcome::value);
        let risen = group.rises.iter().filter_map(|rise| {
            Some(Risen {
                later: rise.later,
                earlier: rise.earlier,
                ratio: rise.ratio.known()?.si,
            })
        });
        let (from, to) = group.sides();
        (sound && read > 0.0).then(|| Self {
            from: from.to_vec(),
            to: to.to_vec(),
            read,
            at_20: at_20.map(|value| value.si),
            at_least,
            rises: risen.collect(),
        })
    }
}

impl Looped {
    /// What a loop shows, where it is the circuit of one phase.
    #[must_use]
    pub fn of(one: &Loop) -> Option<Self> {
        let sound = one.doubtful.is_none() && one.path.is_none_or(Path::is_of_one_phase);
        sound.then(|| Self {
            pair: one.pair.ascending(),
            z: one.z.si,
            parts: one.r.zip(one.x).map(|(r, x)| (r.si, x.si)),
        })
    }
}

fn resistance(derived: &Derived) -> Vec<Resisted> {
    let sound = derived.resistance.iter();
    let sound = sound.filter(|one| one.doubtful.is_none() && one.settling.is_at_rest());
    sound
        .map(|one| Resisted {
            pair: one.pair,
            cold: one.cold.si,
            at_75: one.at_75.map(|value| value.si),
        })
        .collect()
}

fn erred(case: Case<'_>, derived: &Derived, w: &Workings) -> Vec<Erred> {
    let visit = case.visit;
    let one = |test: usize, pair: Pair, (percent, burden), error: Value| Erred {
        day: visit.date.value,
        pair: pair.ascending(),
        percent,
        burden,
        links: case.links_of(test).cloned(),
        error: error.si,
        spread: w.uncertainty(error),
    };
    let turns = derived.ratio.turns.iter();
    let turns = turns.filter(|turns| turns.doubtful.is_none());
    let by_voltage = turns.map(|turns| one(turns.test, turns.pair, (None, None), turns.error));
    let runs = derived.ratio.runs.iter();
    let runs = runs.filter(|run| run.doubtful.is_none() && run.fed.is_none());
    let by_current = runs.flat_map(|run| {
        let points = run.points.iter();
        points.filter_map(move |point| Some((run, point.percent, point.error?)))
    });
    let by_current = by_current.map(|(run, percent, error)| {
        let at = (Some(percent), Some(run.burden.clone()));
        one(run.test, run.pair, at, error)
    });
    by_voltage.chain(by_current).collect()
}

fn loaded(day: Date, derived: &Derived, w: &Workings) -> Vec<Loaded> {
    let loops = derived.burden.iter();
    let loops = loops.filter_map(|one| Some((Looped::of(one)?, one.z)));
    let loops = loops.map(|(shown, z)| Loaded {
        day,
        pair: shown.pair,
        z: shown.z,
        spread: w.uncertainty(z),
    });
    loops.collect()
}

/// Ratio errors by current of a visit.
#[must_use]
pub fn errors(derived: &Derived) -> Vec<Compared> {
    let sound = derived.ratio.runs.iter();
    let sound = sound.filter(|run| run.doubtful.is_none());
    let all = sound.flat_map(|run| {
        run.points.iter().filter_map(|point| {
            Some(Compared {
                pair: run.pair,
                burden: run.burden.clone(),
                percent: point.percent,
                error: point.error?.si,
            })
        })
    });
    all.collect()
}

fn curves(case: &Case<'_>, derived: &Derived) -> Vec<Traced> {
    let sound = derived.excitation.iter();
    let sound = sound.filter(|one| one.doubtful.is_none() && !one.with_burden);
    let traced = sound.filter_map(|one| {
        Some(Traced {
            pair: one.pair,
            curve: one.curve.clone()?,
            knee: one.knee_or_end(case)?,
            other_frequency: one.other_frequency,
        })
    });
    traced.collect()
}

fn stars(visit: &Visit) -> Vec<(usize, String)> {
    let states = visit.of(Test::state);
    let cores = states.flat_map(|(_, _, state)| &state.cores);
    let stars = cores.filter_map(|row| Some((row.core?, row.star.value()?.clone())));
    stars.collect()
}

/// The tables of a visit.
#[must_use]
pub fn tables(visit: &Visit) -> Vec<Table> {
    let all = visit.tests.iter().filter(|test| test.doubtful.is_none());
    let table = |test: &Test| {
        let readings = test.readings.iter().map(|(measure, reading)| {
            let value = &reading.value;
            let step = value.resolution / value.si.abs();
            Typed {
                measure: *measure,
                value: value.si,
                step: if step.is_finite() { step } else { 1.0 },
                exact: value.is_exact(),
            }
        });
        Table {
            kind: test.kind,
            pair: test.pair.map(|pair| pair.value.ascending()),
            readings: readings.collect(),
            at: test.span,
        }
    };
    all.map(table).collect()
}
