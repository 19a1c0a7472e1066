//! The list of what is required, from plate, standard and duty. No reading is looked at here.
#![deny(clippy::wildcard_enum_match_arm)]

use super::register::{self as the, Requirement};
use crate::document::Phrase;
use crate::judge::condition::Condition;
use crate::judge::standard;
use crate::record::Record;
use crate::record::core::{Core, DutyCycle, Tap};
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::standards::{TransientClass, ieee_relay_at_rated};
use crate::trade::{Class, Pair, Purpose, Service};

/// One requirement of one subject.
#[derive(Clone, Debug)]
pub struct Required {
    pub requirement: &'static Requirement,
    /// `None` for the unit as a whole.
    pub core: Option<usize>,
    pub pair: Option<Pair>,
    /// Its class, the voltage it holds at.
    pub conditions: Vec<Condition>,
    /// Whether this visit asks for it.
    pub due: bool,
    /// Why it cannot be held against anything, where plate or standard leave it unclear.
    pub unclear: Option<Phrase>,
}

/// What is required at a visit that was made for a purpose.
pub fn required(record: &Record, visit: &Visit, purpose: Purpose) -> Vec<Required> {
    let mut list = List {
        record,
        visit,
        purpose,
        found: Vec::new(),
    };
    list.unit();
    for (index, core) in record.cores.iter().enumerate() {
        list.core(index, core);
    }
    list.found
}

impl Required {
    fn new(requirement: &'static Requirement, core: impl Into<Option<usize>>) -> Self {
        Self {
            requirement,
            core: core.into(),
            pair: None,
            conditions: Vec::new(),
            due: true,
            unclear: None,
        }
    }

    fn on(requirement: &'static Requirement, pair: Pair) -> Self {
        let mut required = Self::new(requirement, pair.core);
        required.pair = Some(pair);
        required
    }

    fn under(mut self, condition: Condition) -> Self {
        self.conditions.push(condition);
        self
    }

    fn due_if(mut self, due: bool) -> Self {
        self.due = due;
        self
    }

    fn unclear(mut self, why: Option<Phrase>) -> Self {
        self.unclear = why;
        self
    }
}

struct List<'a> {
    record: &'a Record,
    visit: &'a Visit,
    purpose: Purpose,
    found: Vec<Required>,
}

impl List<'_> {
    /// Puts a requirement on the list; due where the visit's purpose asks for it as well.
    fn ask(&mut self, mut required: Required) {
        required.due &= required.requirement.due.contains(&self.purpose);
        self.found.push(required);
    }

    fn unit(&mut self) {
        // A bushing or a cable that serves as primary is not this unit's insulation.
        if self.record.plate.bushing.is_missing() {
            self.ask(Required::new(&the::INSULATION, None));
            self.ask(Required::new(&the::WITHSTAND, None));
        }
    }

    fn core(&mut self, index: usize, core: &Core) {
        let start = self.found.len();
        let full = Pair {
            core: index,
            from: 0,
            to: core.last_mark(),
        };
        for requirement in [&the::INSULATION, &the::WITHSTAND, &the::DEMAGNETISED] {
            self.ask(Required::new(requirement, index));
        }
        self.class(core, full);
        for pair in stated(core, index).filter(|pair| *pair != full) {
            self.class(core, pair);
        }
        self.ratios(core, full);
        self.ask(Required::new(&the::POLARITY, index));
        self.circuit(index);
        // A spare core serves nothing: what it promises stays on the list and is not due.
        if core.service.value() == Some(&Service::Spare) {
            for required in self.found.iter_mut().skip(start) {
                required.due = false;
            }
        }
        self.as_left(index);
    }

    /// How a circuit was left, a spare core's as well: at maintenance, where anything of it was opened.
    fn as_left(&mut self, index: usize) {
        let mut restored = self.visit.of(Test::restored);
        let mut states = self.visit.of(Test::state);
        let touched = self.purpose == Purpose::Commissioning
            || restored.any(|(_, _, restored)| restored.names(index))
            || states.any(|(_, _, state)| state.is_off(index));
        for requirement in [&the::AS_LEFT, &the::EARTH] {
            self.ask(Required::new(requirement, index).due_if(touched));
        }
    }

    fn class(&mut self, core: &Core, pair: Pair) {
        let class = core.class_of(pair);
        if let Some(class) = class {
            for requirement in self.of_class(core, class) {
                let required = Required::on(requirement, pair);
                // One fault is the ordinary duty; two ask for a proof that the plate was made for both.
                let double = core.duty_cycle.value() == Some(&DutyCycle::Double);
                let due = *requirement != the::DIMENSIONING || double;
                self.ask(
                    required
                        .under(Condition::Class(class.text()))
                        .unclear(self.unclear(class))
                        .due_if(due),
                );
            }
        }
        let by_knee = matches!(class, Some(Class::Knee { .. }));
        if by_knee || has_knee(core, pair) {
            self.knee(core, pair);
        }
        if core.is_full(pair) && shows_by_curve(class) {
            self.ask(Required::on(&the::CURVE, pair));
        }
        let stated = core
            .tap(pair.from, pair.to)
            .is_some_and(|tap| !tap.resistance.is_missing());
        let stated = stated || (core.is_full(pair) && !core.resistance.is_missing());
        if stated && class.is_some_and(limits_resistance) {
            self.ask(Required::on(&the::RESISTANCE_LIMIT, pair));
        } else if core.is_full(pair) {
            self.ask(Required::new(&the::RESISTANCE, pair.core));
        }
    }

    /// Why a class cannot be held against anything.
    fn unclear(&self, class: &Class) -> Option<Phrase> {
        if matches!(class, Class::Other(_)) {
            return Some("no limits are known for this class".into());
        }
        let standard = self.record.plate.standard.value()?;
        (!standard::carries(standard, class)).then(|| standard::unknown(standard))
    }

    /// What a class promises, beyond knee and resistance.
    fn of_class(&self, core: &Core, class: &Class) -> Vec<&'static Requirement> {
        let mut asked: Vec<&Requirement> = vec![&the::ACCURACY];
        let remanent = |asked: &mut Vec<&Requirement>| {
            asked.push(&the::REMANENCE);
            if !core.loop_time_constant.is_missing() {
                asked.push(&the::LOOP_CONSTANT);
            }
        };
        match class {
            Class::Measuring { security, .. } => asked.extend(security.map(|_| &the::SECURITY)),
            Class::Protection { low_remanence, .. } => {
                asked.push(&the::COMPOSITE);
                if *low_remanence {
                    remanent(&mut asked);
                }
            }
            Class::Knee { low_remanence, .. } => {
                asked.clear();
                asked.extend(low_remanence.then_some(&the::REMANENCE));
            }
            Class::Transient(kind) => {
                asked.extend([&the::PEAK, &the::DIMENSIONING]);
                match kind {
                    TransientClass::Tpx => {}
                    TransientClass::Tpy | TransientClass::Tpz => remanent(&mut asked),
                }
            }
            Class::IeeeRelay { letter, .. } => {
                let standard = self.record.plate.standard.value();
                let edition = standard.and_then(|standard| standard.edition);
                if ieee_relay_at_rated(edition).is_none() {
                    asked.clear();
                }
                asked.push(if *letter == 'T' {
                    &the::RELAY_CLASS_T
                } else {
                    &the::RELAY_CLASS
                });
            }
            Class::Other(_) => {
                asked.clear();
                asked.push(&the::UNKNOWN_CLASS);
            }
            Class::IeeeMetering { .. } => {}
        }
        asked
    }

    /// Rated knee and exciting currents of the plate.
    fn knee(&mut self, core: &Core, pair: Pair) {
        let missing =
            (!has_knee(core, pair)).then(|| "the plate gives no rated knee point e.m.f.".into());
        self.ask(Required::on(&the::KNEE, pair).unclear(missing));
        let full = core.exciting.iter().filter(|_| core.is_full(pair));
        let tap = core.tap(pair.from, pair.to);
        let of_tap = tap.filter(|tap| !tap.exciting.is_missing());
        let of_tap = of_tap.and_then(|tap| Some(tap.knee.value()?.si));
        for volts in full.map(|exciting| exciting.value.at.si).chain(of_tap) {
            let required = Required::on(&the::EXCITING, pair);
            self.ask(required.under(Condition::Voltage(volts)));
        }
    }

    /// Each declared ratio; on site the whole winding and the tap in service are due.
    fn ratios(&mut self, core: &Core, full: Pair) {
        let in_service = self.record.pair_in_service(full.core, self.visit);
        let declared = core.taps.iter().map(|tap| Pair {
            core: full.core,
            from: tap.from,
            to: tap.to,
        });
        let mut pairs: Vec<Pair> = declared.collect();
        if !pairs.contains(&full) {
            pairs.push(full);
        }
        for pair in pairs {
            let by_turns = matches!(core.class_of(pair), Some(Class::Knee { .. }));
            let requirement = if by_turns { &the::TURNS } else { &the::RATIO };
            let asked = self.purpose == Purpose::Factory;
            let due = asked || pair == full || Some(pair) == in_service;
            self.ask(Required::on(requirement, pair).due_if(due));
        }
    }

    fn circuit(&mut self, index: usize) {
        self.ask(Required::new(&the::BURDEN, index));
        let Some(duty) = self.record.duty_on(index, self.visit.date.value) else {
            return;
        };
        if !duty.required_knee.is_missing() {
            self.ask(Required::new(&the::DUTY_KNEE, index));
        }
        if !duty.required_factor.is_missing() {
            self.ask(Required::new(&the::DUTY_FACTOR, index));
        }
    }
}

/// The pairs that the plate states a class or a knee of.
fn stated(core: &Core, index: usize) -> impl Iterator<Item = Pair> {
    let stated = |tap: &&Tap| !tap.class.is_missing() || !tap.knee.is_missing();
    core.taps.iter().filter(stated).map(move |tap| Pair {
        core: index,
        from: tap.from,
        to: tap.to,
    })
}

/// Whether a curve is asked for although no requirement of the class is held against it.
fn shows_by_curve(class: Option<&Class>) -> bool {
    match class {
        None | Some(Class::Other(_)) => true,
        Some(Class::IeeeRelay { letter, .. }) => *letter == 'T',
        Some(
            Class::Measuring { .. }
            | Class::Protection { .. }
            | Class::Knee { .. }
            | Class::Transient(_)
            | Class::IeeeMetering { .. },
        ) => false,
    }
}

/// Whether the class binds the winding resistance that the plate states (from memory, IEC 61869-2:
/// PX, PXR, TPX, TPY, TPZ, and PR).
fn limits_resistance(class: &Class) -> bool {
    match class {
        Class::Knee { .. } | Class::Transient(_) => true,
        Class::Protection { low_remanence, .. } => *low_remanence,
        Class::Measuring { .. }
        | Class::IeeeMetering { .. }
        | Class::IeeeRelay { .. }
        | Class::Other(_) => false,
    }
}

fn has_knee(core: &Core, pair: Pair) -> bool {
    let tap = core.tap(pair.from, pair.to);
    let of_tap = tap.is_some_and(|tap| !tap.knee.is_missing());
    of_tap || (core.is_full(pair) && !core.knee.is_missing())
}
