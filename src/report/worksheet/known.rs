//! What visits already tell of a core: its knees, and the curve that was read last.

use super::{Subject, say};
use crate::derive::curve::Curve;
use crate::derive::kinds::excitation::Excited;
use crate::derive::knee::{Knee, KneeRule};
use crate::document::joined;
use crate::judge::doubt_of_curve;
use crate::record::core::Core;
use crate::trade::{Class, Ratio};

/// Knees that are further apart than this share are told each for itself; common practice, no source.
const APART: f64 = 1.1;

/// Why a curve is in doubt whose section was not understood as a whole.
const NOT_UNDERSTOOD: &str = "a line of its section is not understood";

/// The full winding's knees and curves on record, volt at rated frequency.
#[derive(Clone, Debug)]
pub struct Known<'a> {
    /// What is to be passed: the knee of the latest curve, of several units the largest.
    pub knee: f64,
    /// The smallest that any visit found, which care follows.
    pub least: f64,
    /// `413 V`; each with its unit or its day where there are several.
    pub text: String,
    /// Whether it is of several units, whose knees are not the same.
    pub is_spread: bool,
    /// Whether a visit found a knee far from the latest one.
    pub is_split: bool,
    /// Whether the readings of every curve on record are in doubt: care follows them, and nothing rests on them.
    pub is_doubted: bool,
    /// The largest that any visit found.
    pub most: f64,
    /// The latest curve of each unit; none that is in doubt.
    curves: Vec<&'a Curve>,
}

/// One unit's knees, newest first; the older ones are those that the newest does not bear out.
struct Own<'a> {
    unit: String,
    latest: Read<'a>,
    older: Vec<Read<'a>>,
}

struct Read<'a> {
    day: String,
    volts: f64,
    curve: &'a Curve,
    /// What puts it in doubt.
    doubt: Option<String>,
    /// Whether that lies in how it was read, so that it says nothing of the core.
    is_misread: bool,
}

impl Read<'_> {
    /// `413 V`, and in brackets its day where it is asked for, and what puts it in doubt.
    fn text(&self, with_day: bool) -> String {
        let day = with_day.then(|| self.day.clone());
        let doubt = self.doubt.as_ref().map(|why| format!("in doubt: {why}"));
        let more = joined([day, doubt], ", ");
        match more.is_empty() {
            true => say::volts(self.volts),
            false => format!("{} ({more})", say::volts(self.volts)),
        }
    }
}

impl<'a> Known<'a> {
    /// Of a unit alone; of all units of a sheet whose like cores agree, so that they share a card.
    pub fn new(subject: &Subject<'a>, sisters: &[Subject<'a>], index: usize) -> Option<Self> {
        let core = subject.record.cores.get(index)?;
        let own = Own::of(subject, index)?;
        let all: Vec<Own<'a>> = sisters.iter().flat_map(|one| like(one, core)).collect();
        let of_all = all.iter().map(|one| one.latest.volts);
        let (least, most) = (lowest(of_all.clone()), highest(of_all));
        let agree = all.len() > 1 && most <= APART * least;
        let is_plain = |one: &Own<'_>| one.older.is_empty() && one.latest.doubt.is_none();
        if agree && all.iter().all(is_plain) {
            return Some(Self::of_set(&all, least, most));
        }
        let reads = || std::iter::once(&own.latest).chain(&own.older);
        let are_many = !own.older.is_empty();
        let is_doubted = own.latest.is_misread;
        let curves = Some(own.latest.curve).filter(|_| !is_doubted);
        Some(Self {
            knee: own.latest.volts,
            least: lowest(reads().map(|one| one.volts)),
            most: highest(reads().map(|one| one.volts)),
            text: joined(reads().map(|one| Some(one.text(are_many))), ", "),
            is_spread: false,
            is_split: are_many,
            is_doubted,
            curves: curves.into_iter().collect(),
        })
    }

    fn of_set(all: &[Own<'a>], least: f64, most: f64) -> Self {
        let (low, high) = (say::volts(least), say::volts(most));
        let each = all.iter();
        let each = each.map(|one| Some(format!("{} {}", one.unit, say::volts(one.latest.volts))));
        let is_spread = low != high;
        Self {
            knee: most,
            least,
            text: if is_spread { joined(each, ", ") } else { high },
            is_spread,
            is_split: false,
            is_doubted: false,
            most,
            curves: all.iter().map(|one| one.latest.curve).collect(),
        }
    }

    /// The most current that a curve on record has at a voltage, ampere; nothing beyond the readings.
    pub fn current_at(&self, volts: f64) -> Option<f64> {
        let each = self.curves.iter().map(|curve| curve.current_at(volts));
        let each: Option<Vec<f64>> = each.collect();
        each?.into_iter().reduce(f64::max)
    }

    /// The highest voltage at which a curve on record takes a current; nothing beyond the readings.
    pub fn voltage_at(&self, amperes: f64) -> Option<f64> {
        let each = self.curves.iter().map(|curve| curve.voltage_at(amperes));
        let each: Option<Vec<f64>> = each.collect();
        each?.into_iter().reduce(f64::max)
    }

    /// The highest reading on record, volt and ampere.
    pub fn last(&self) -> (f64, f64) {
        let last = self.curves.iter().map(|curve| curve.last());
        (
            highest(last.clone().map(|point| point.v.si)),
            highest(last.map(|point| point.i.si)),
        )
    }
}

fn lowest(all: impl Iterator<Item = f64>) -> f64 {
    all.fold(f64::INFINITY, f64::min)
}

fn highest(all: impl Iterator<Item = f64>) -> f64 {
    all.fold(0.0, f64::max)
}

impl<'a> Own<'a> {
    fn of(subject: &Subject<'a>, index: usize) -> Option<Self> {
        let core = subject.record.cores.get(index)?;
        let visits = subject.assessment.visits.iter();
        let visits = visits.zip(&subject.record.visits).rev();
        let reads = visits.filter_map(|(assessed, visit)| {
            let curves = assessed.derived.excitation.iter();
            let own = curves.filter(|one| one.pair.core == index && core.is_full(one.pair));
            let found = own.filter_map(|one| Some((knee(one)?, one)));
            // A curve without the circuit before one with it.
            let rank = |one: &(f64, &Excited)| (!one.1.with_burden, one.0);
            let (volts, excited) = found.max_by(|a, b| {
                let (a, b) = (rank(a), rank(b));
                a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
            })?;
            let doubt = doubt_of_curve(assessed, index);
            let unread = excited.doubtful.map(|_| NOT_UNDERSTOOD.to_owned());
            Some(Read {
                day: visit.name(),
                volts,
                curve: excited.curve.as_ref()?,
                is_misread: unread.is_some() || doubt.is_some_and(|(_, of_day)| of_day),
                doubt: unread.or(doubt.map(|(one, _)| one.rule.title.to_owned())),
            })
        });
        let reads: Vec<Read<'_>> = reads.collect();
        // Of those that say something of the core the newest, if there is one.
        let at = reads.iter().position(|read| !read.is_misread);
        let (mut newer, mut reads) = (Vec::new(), reads.into_iter());
        newer.extend(reads.by_ref().take(at.unwrap_or(0)));
        let latest = reads.next()?;
        let reads = newer.into_iter().chain(reads);
        let apart =
            |one: &Read<'_>| one.volts > APART * latest.volts || latest.volts > APART * one.volts;
        let older = reads.filter(apart).collect();
        let phase = subject.record.place().and_then(|place| place.phase.value());
        let id = || subject.record.plate.id_text().to_owned();
        Some(Self {
            unit: phase.cloned().unwrap_or_else(id),
            latest,
            older,
        })
    }
}

/// The largest knee of a curve, whatever the rule: whoever passes it has passed them all.
fn knee(excited: &Excited) -> Option<f64> {
    let found = KneeRule::ALL
        .into_iter()
        .filter_map(|rule| match excited.knee(rule) {
            Knee::At(point) => Some(point.voltage.si),
            Knee::NotReached { .. } | Knee::Lacking(_) => None,
        });
    let shown = found.filter(|volts| volts.is_finite() && *volts > 0.0);
    shown.reduce(f64::max)
}

/// The cores of a unit that a core is the like of.
fn like<'a>(subject: &Subject<'a>, core: &Core) -> Vec<Own<'a>> {
    let plate = |core: &Core| {
        (
            core.class.value().map(Class::text),
            core.full_ratio().map(Ratio::text),
        )
    };
    let cores = subject.record.cores.iter().enumerate();
    let cores = cores.filter(|(_, other)| other.name == core.name && plate(other) == plate(core));
    cores
        .filter_map(|(index, _)| Own::of(subject, index))
        .collect()
}
