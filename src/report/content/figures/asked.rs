//! What plate and circuit ask of an excitation curve: a voltage that the knee must reach, or a point on
//! one side of which the curve must pass.

use super::Unit;
use super::excitation::Amperes;
use crate::chart::{Limit, Mark, Pen, Shape, Side};
use crate::derive::case::Case;
use crate::derive::kinds::Derived;
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::trade::{Class, Pair};

/// One thing that is asked.
pub(super) struct Asked {
    what: What,
    /// Voltage, volt.
    pub emf: f64,
    /// The least voltage at which the same is asked of a phase beside this one.
    least: f64,
    pub bound: Bound,
}

/// Voltages of the same requirement on several phases differ by their resistances, no more than this.
const SAME: f64 = 1.1;

#[derive(PartialEq)]
enum What {
    RatedKnee,
    CircuitKnee,
    /// A current at a voltage, both as the plate states them.
    Stated,
    /// At the e.m.f. of a class: how the label names it.
    AtClass(String),
}

/// What is asked there.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Bound {
    Knee,
    /// Current, ampere.
    AtMost(f64),
    AtLeast(f64),
}

impl Bound {
    pub(super) fn amperes(self) -> Option<f64> {
        match self {
            Self::Knee => None,
            Self::AtMost(current) | Self::AtLeast(current) => Some(current),
        }
    }
}

/// All that is asked of a pair at a visit.
pub(super) fn of_pair(case: &Case<'_>, derived: &Derived, pair: Pair) -> Vec<Asked> {
    let own = derived.protection.iter();
    let own = own.filter(|entry| entry.pair == pair && entry.scaled_from.is_none());
    let mut all: Vec<Asked> = own.filter_map(|entry| of_check(case, entry)).collect();
    let served = case.in_service(pair.core) == Some(pair);
    let duty = case.record.duty_on(pair.core, case.visit.date.value);
    let duty = duty.filter(|_| served);
    if let Some(knee) = duty.and_then(|duty| duty.required_knee.value()) {
        all.push(Asked {
            what: What::CircuitKnee,
            emf: knee.si,
            least: knee.si,
            bound: Bound::Knee,
        });
    }
    all
}

fn of_check(case: &Case<'_>, entry: &Accuracy) -> Option<Asked> {
    let isr = case.rated_secondary(entry.pair)?;
    let (what, emf, bound) = match &entry.check {
        Check::Knee(knee) => (What::RatedKnee, knee.rated.si, Bound::Knee),
        Check::Exciting(exciting) => {
            let most = Bound::AtMost(exciting.limit);
            (What::Stated, exciting.voltage.si, most)
        }
        Check::Limit(limit) => {
            let Class::Protection { composite, .. } = limit.class else {
                return None;
            };
            let factor = limit.factor.si;
            let most = f64::from(composite) / 100.0 * factor * isr;
            let name = format!("E at ALF {factor}");
            (
                What::AtClass(name),
                limit.emf.phasor.si,
                Bound::AtMost(most),
            )
        }
        Check::Relay(relay) => {
            let name = format!("E at {}{}", relay.letter, relay.volts);
            // A composite error of 10 % at 20 times rated current: twice the rated current.
            let most = Bound::AtMost(2.0 * relay.isr.si);
            (What::AtClass(name), relay.emf.phasor.si, most)
        }
        Check::Security(security) => {
            let rated = security.rated.si;
            let least = Bound::AtLeast(0.1 * rated * isr);
            let name = format!("E at FS {rated}");
            (What::AtClass(name), security.emf.phasor.si, least)
        }
        _ => return None,
    };
    Some(Asked {
        what,
        emf,
        least: emf,
        bound,
    })
}

/// Adds what is asked of another phase: the same once, with the voltages that it spans.
pub(super) fn join(all: &mut Vec<Asked>, new: Vec<Asked>) {
    for one in new {
        let same = all.iter_mut().find(|other| {
            let near = one.emf < SAME * other.least && other.emf < SAME * one.least;
            other.what == one.what && other.bound == one.bound && near
        });
        match same {
            Some(same) => {
                same.emf = same.emf.max(one.emf);
                same.least = same.least.min(one.least);
            }
            None => all.push(one),
        }
    }
}

impl Unit<'_> {
    /// What is asked as lines and marks of a chart.
    pub(super) fn limits(&self, asked: &[Asked], amperes: Amperes) -> (Vec<Limit>, Vec<Mark>) {
        let (mut limits, mut marks) = (Vec::new(), Vec::new());
        for one in asked {
            let (volts, least) = (self.label(one.emf, "V"), self.label(one.least, ""));
            let volts = match self.label(one.emf, "") == least {
                true => volts,
                false => format!("{least} to {volts}"),
            };
            let (word, shape, current) = match one.bound {
                Bound::Knee => {
                    let whose = match one.what {
                        What::CircuitKnee => "knee the circuit asks",
                        _ => "rated knee Ek",
                    };
                    let (name, at) = (format!("{whose}: {volts}"), one.emf);
                    limits.push(Limit { name, at });
                    continue;
                }
                Bound::AtMost(current) => ("at most", Shape::WallRight, current),
                Bound::AtLeast(current) => ("at least", Shape::WallLeft, current),
            };
            let label = match &one.what {
                What::AtClass(name) => format!("{name}: {volts}"),
                _ => format!("at {volts}"),
            };
            let current = amperes.of(current);
            marks.push(Mark {
                label,
                value: format!("{word} {}", self.label(current, amperes.word)),
                at: (current, one.emf),
                shape,
                pen: Pen::Limit,
                side: Side::Any,
                guides: false,
            });
        }
        (limits, marks)
    }
}
