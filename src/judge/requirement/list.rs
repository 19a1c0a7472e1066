//! The list of what is required, from plate, standard and duty. No reading is looked at here.
#![deny(clippy::wildcard_enum_match_arm)]

use super::behind;
use super::register::{self as the, Requirement};
use crate::document::{Phrase, say};
use crate::ground::span::Span;
use crate::judge::condition::Condition;
use crate::judge::decision::WhyNot;
use crate::judge::standard;
use crate::record::Record;
use crate::record::core::{Core, DutyCycle, Tap};
use crate::record::due::Due;
use crate::record::duty::Duty;
use crate::record::feeder::Behind;
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::standards::{
    TransientClass, discharge_limits, dissipation_figure, ieee_relay_at_rated, withstand_sections,
};
use crate::trade::{Class, Family, InsulationKind, Pair, Purpose, Purposes, Service};

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
    /// Where a duty states it, and of which tap: what was held against another one shows nothing of it.
    pub stated_at: Option<Span>,
    pub tap: Option<Pair>,
    /// What is missing for it, where that is no test.
    pub lacks: Option<Phrase>,
    /// The interposing CTs that the core feeds, where the record names no relay or meter of its own on it.
    pub behind: Vec<String>,
    /// Whether the records of all of them are asked for it, and this one is not.
    pub is_asked_there: bool,
}

/// What is required at visits that answer together and were made for some purposes, by the client's table of
/// what is due; the last one says which duty holds.
pub fn required(
    record: &Record,
    visits: &[&Visit],
    purposes: Purposes,
    due: &Due,
) -> Vec<Required> {
    let mut list = List {
        record,
        visits,
        purposes,
        due,
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
            stated_at: None,
            tap: None,
            lacks: None,
            behind: Vec::new(),
            is_asked_there: false,
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

    /// What the plate leaves open, if it does.
    fn unclear(mut self, why: impl Into<Option<&'static str>>) -> Self {
        self.unclear = why.into().map(Phrase::from);
        self
    }

    /// Where it is told, or what has to be there, where relays and meters hang behind another CT.
    pub(super) fn told_behind(&self) -> Option<Phrase> {
        let ids = self.behind.iter().cloned().map(Phrase::from);
        let ids = Phrase::list(ids, ", ", " and ");
        let (records, hang) = match self.behind.len() {
            0 => return None,
            1 => ("record", "hangs"),
            _ => ("records", "hang"),
        };
        Some(match self.is_asked_there {
            true => say!(
                "asked for in the {} of {}, which {} on this core",
                records,
                ids,
                hang
            ),
            false => say!(
                "needs a visit of {}, which {} on this core, that asks for it; or the relays and meters on this core itself",
                ids,
                hang
            ),
        })
    }

    /// What is told first where the standard gives no limits at all.
    fn without_limits(mut self, why: Option<Phrase>) -> Self {
        self.unclear = why.or(self.unclear);
        self
    }
}

/// What a plate leaves open; it stands beside the requirement.
const NO_STANDARD: &str = "the plate gives no standard";
const NO_CLASS: &str = "the plate gives no class";
const NO_RATIO: &str = "the plate gives no rated ratio";
const NO_BURDEN: &str = "the plate gives no rated burden";
const NO_PRIMARY_TURNS: &str =
    "the plate gives no primary turns, and nothing proves a low leakage reactance";
const NO_RESISTANCE: &str = "the plate gives no winding resistance";
const NO_KNEE: &str = "the plate gives no rated knee point e.m.f.";
const NO_EXCITING: &str = "the plate gives no rated exciting current";
const NO_LOOP_CONSTANT: &str = "the plate gives no secondary loop time constant";
const NO_TRANSIENT: &str = "the plate gives no Kssc or no Ktd";
const NO_INSULATION: &str = "the plate does not say what insulates the primary";
const LINKS_UNSTATED: &str =
    "the plate does not say in which position of the links its primary resistance holds";
const NO_LIMITS: &str = "no limits are known for this class";

struct List<'a> {
    record: &'a Record,
    visits: &'a [&'a Visit],
    purposes: Purposes,
    due: &'a Due,
    found: Vec<Required>,
}

impl List<'_> {
    /// Puts a requirement on the list; due where a purpose of the visits asks for it as well.
    fn ask(&mut self, mut required: Required) {
        required.due &= required.requirement.is_due(self.purposes, self.due);
        self.found.push(required);
    }

    /// What belongs to putting a circuit into service stands on the list where it is due, or was begun: before
    /// that nobody misses it. Of a core that does not serve it is not due.
    fn ask_of_service(&mut self, required: Required, serves: bool) {
        let (requirement, index) = (required.requirement, required.core);
        let last = self.visits.last().map(|visit| visit.date.value);
        let visits = self.record.visits.iter();
        let until = visits.filter(|visit| last.is_some_and(|last| visit.date.value <= last));
        let mut tests = until.flat_map(|visit| &visit.tests);
        let on = |test: &Test| index.is_some_and(|index| test.touches(index));
        let begun = tests.any(|test| test.kind == requirement.kind && on(test));
        let asked = required.due && serves && requirement.is_due(self.purposes, self.due);
        if begun || asked {
            let due = asked && !required.is_asked_there;
            self.ask(required.due_if(due));
        }
    }

    /// What is asked of relays and meters, in the record of the CT that they hang behind.
    fn ask_of_devices(&mut self, requirement: &'static Requirement, index: usize, serves: bool) {
        let mut required = Required::new(requirement, index);
        let first = self.visits.first().map(|visit| visit.date.value);
        let last = self.visits.last().map(|visit| visit.date.value);
        let hanging = last.map(|last| self.record.behind_on(index, last).collect());
        let hanging: Vec<&Behind> = hanging.unwrap_or_default();
        let since = hanging.iter().map(|one| one.since).min().flatten();
        let named = |last| self.record.names_device(index, last, since);
        if let (Some(first), Some(last)) = (first, last)
            && !named(last)
        {
            // What was asked there for an earlier occasion answers for none after it.
            let before = || behind::asked_before(self.record, requirement, self.due, first);
            let asked = |before| {
                hanging
                    .iter()
                    .all(|one| one.is_asked(requirement.id, before))
            };
            required.is_asked_there = !hanging.is_empty() && asked(before());
            required.behind = hanging.into_iter().map(|one| one.id.clone()).collect();
            required.behind.dedup();
        }
        self.ask_of_service(required, serves);
    }

    fn unit(&mut self) {
        let plate = &self.record.plate;
        if plate.standard.is_missing() {
            self.ask(Required::new(&the::UNKNOWN_STANDARD, None).unclear(NO_STANDARD));
        }
        // A bushing or a cable that serves as primary is not this unit's insulation.
        if plate.may_have_own_primary() {
            self.ask(Required::new(&the::INSULATION, None));
            self.ask(Required::new(&the::WITHSTAND, None));
            // Links that can stand otherwise part the primary into sections; taps part no winding.
            if plate.links.len() > 1 && withstand_sections(plate.family()).is_some() {
                self.ask(Required::new(&the::BETWEEN_SECTIONS, None));
            }
            self.discharge();
            self.dissipation();
        }
        if !plate.primary_resistance.is_missing() {
            let unclear = (plate.links.len() > 1).then_some(LINKS_UNSTATED);
            self.ask(Required::new(&the::PRIMARY_RESISTANCE, None).unclear(unclear));
        }
        // A matter of the maker's papers; on site only where somebody writes of it.
        let mut papers = self
            .visits
            .iter()
            .flat_map(|visit| visit.of(Test::type_test));
        let rise = &the::TEMPERATURE_RISE;
        let asked = rise.is_due(self.purposes, self.due);
        if asked || self.purposes.holds(Purpose::Factory) || papers.next().is_some() {
            self.ask(Required::new(rise, None));
        }
    }

    /// Dissipation factor of paper in oil, where the highest voltage for equipment asks for it, or the client does.
    fn dissipation(&mut self) {
        let plate = &self.record.plate;
        let um = plate.highest_voltage.value().map(|um| um.si);
        let figure = um.and_then(|um| dissipation_figure(plate.family(), um));
        let factor = &the::DISSIPATION_FACTOR;
        let asked = figure.is_some() || factor.is_due(self.purposes, self.due);
        if asked && plate.insulation_kind() == InsulationKind::Oil {
            self.ask(Required::new(factor, None));
        }
    }

    /// Partial discharge, where the highest voltage for equipment asks for it.
    fn discharge(&mut self) {
        let plate = &self.record.plate;
        let um = plate.highest_voltage.value().map(|um| um.si);
        let limits = |um| discharge_limits(plate.family(), um, plate.neutral());
        let unknown = |um| limits(um).any(|limit| limit.most(plate.insulation_kind()).is_none());
        let unclear = match um {
            Some(um) if limits(um).next().is_none() => return,
            Some(um) => unknown(um).then_some(NO_INSULATION),
            None if plate.family() == Family::Iec && plate.highest_voltage.is_missing() => {
                Some(WhyNot::HighestVoltageMissing.text())
            }
            None => return,
        };
        self.ask(Required::new(&the::PARTIAL_DISCHARGE, None).unclear(unclear));
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
        if self.record.plate.family() == Family::Iec {
            self.ask(Required::new(&the::INTER_TURN, index));
        }
        self.class(core, full);
        for pair in stated(core, index).filter(|pair| *pair != full) {
            self.class(core, pair);
        }
        if core.class.is_missing() && core.taps.iter().all(|tap| tap.class.is_missing()) {
            self.ask(Required::on(&the::UNKNOWN_CLASS, full).unclear(NO_CLASS));
        }
        self.ratios(core, full);
        self.links(index);
        self.ask_of_inputs(core, Required::new(&the::POLARITY, index));
        // What a spare core promises stays on the list and is not due, nor is what a circuit asks of it.
        let excused = self.record.is_excused(core);
        let circuit = self.found.len();
        self.circuit(index, core);
        for (at, required) in self.found.iter_mut().enumerate().skip(start) {
            required.due &= !(excused || (at >= circuit && core.is_spare()));
        }
        self.as_left(index);
        self.whole_circuit(index, core);
    }

    /// How a circuit was left, a spare core's as well: at maintenance, where anything of it was opened.
    fn as_left(&mut self, index: usize) {
        let anew = [Purpose::Commissioning, Purpose::BeforeEnergising];
        let touched = anew.iter().any(|purpose| self.purposes.holds(*purpose))
            || self.visits.iter().any(|visit| is_opened(visit, index));
        for requirement in [&the::AS_LEFT, &the::EARTH] {
            self.ask(Required::new(requirement, index).due_if(touched));
        }
    }

    /// What shows a circuit whole once all is connected again: where the visit asks for it, or somebody tested
    /// it; a record that knows nothing of its circuits is asked for nothing. The links of a spare core are
    /// looked at as well: they short it.
    fn whole_circuit(&mut self, index: usize, core: &Core) {
        for requirement in [&the::CONTINUITY, &the::SINGLE_EARTH, &the::TEST_LINKS] {
            let serves = *requirement == the::TEST_LINKS || !core.is_spare();
            self.ask_of_service(Required::new(requirement, index), serves);
        }
    }

    fn class(&mut self, core: &Core, pair: Pair) {
        let class = core.class_of(pair);
        if let Some(class) = class {
            let plate = &self.record.plate;
            let proven = core.low_leakage.value().is_some() || !plate.primary_turns.is_missing();
            for requirement in self.of_class(core, class) {
                // The curve shows it of a low leakage reactance only.
                let by_curve = *requirement == the::COMPOSITE && !proven;
                let turns = || by_curve.then_some(NO_PRIMARY_TURNS);
                let required = Required::on(requirement, pair);
                // One fault is the ordinary duty; two ask for a proof that the plate was made for both.
                let double = core.duty_cycle.value() == Some(&DutyCycle::Double);
                let maker = self.purposes.holds(Purpose::Factory);
                let due = *requirement != the::DIMENSIONING || double || maker;
                self.ask(
                    required
                        .under(Condition::Class(class.text()))
                        .unclear(gap(core, pair, class, requirement).or_else(turns))
                        .without_limits(self.unknown(class))
                        .due_if(due),
                );
            }
        }
        let by_knee = matches!(class, Some(Class::Knee { .. }));
        if by_knee || has_knee(core, pair) {
            self.knee(core, pair);
        }
        // A client who asks for a curve gets it of every class.
        let curve = shows_by_curve(class) || the::CURVE.is_named(self.purposes, self.due);
        if core.is_full(pair) && curve {
            self.ask(Required::on(&the::CURVE, pair));
        }
        let stated = core
            .tap(pair.from, pair.to)
            .is_some_and(|tap| !tap.resistance.is_missing());
        let stated = stated || (core.is_full(pair) && !core.resistance.is_missing());
        let limited = class.is_some_and(limits_resistance);
        if limited && (stated || class.is_some_and(states_resistance)) {
            let missing = (!stated).then_some(NO_RESISTANCE);
            self.ask(Required::on(&the::RESISTANCE_LIMIT, pair).unclear(missing));
        }
        if core.is_full(pair) && !(limited && stated) {
            self.ask(Required::new(&the::RESISTANCE, pair.core));
        }
    }

    /// Why no limit of a class is known, where the standard does not carry it.
    fn unknown(&self, class: &Class) -> Option<Phrase> {
        if matches!(class, Class::Other(_)) {
            return None;
        }
        let standard = self.record.plate.standard.value()?;
        (!standard::carries(standard, class)).then(|| standard::unknown(standard))
    }

    /// What a class promises, beyond knee and resistance.
    fn of_class(&self, core: &Core, class: &Class) -> Vec<&'static Requirement> {
        let mut asked: Vec<&Requirement> = vec![&the::ACCURACY];
        match class {
            Class::Measuring { security, .. } => asked.extend(security.map(|_| &the::SECURITY)),
            Class::Protection { low_remanence, .. } => {
                asked.push(&the::COMPOSITE);
                if *low_remanence {
                    asked.push(&the::REMANENCE);
                    let stated = !core.loop_time_constant.is_missing();
                    asked.extend(stated.then_some(&the::LOOP_CONSTANT));
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
                    TransientClass::Tpy | TransientClass::Tpz => {
                        asked.extend([&the::REMANENCE, &the::LOOP_CONSTANT]);
                    }
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
        let missing = (!has_knee(core, pair)).then_some(NO_KNEE);
        self.ask(Required::on(&the::KNEE, pair).unclear(missing));
        let full = core.exciting.iter().filter(|_| core.is_full(pair));
        let tap = core.tap(pair.from, pair.to);
        let of_tap = tap.filter(|tap| !tap.exciting.is_missing());
        let of_tap = of_tap.and_then(|tap| Some(tap.knee.value()?.si));
        let volts = full.map(|exciting| exciting.value.at.si).chain(of_tap);
        let volts: Vec<f64> = volts.collect();
        for volts in &volts {
            let required = Required::on(&the::EXCITING, pair);
            self.ask(required.under(Condition::Voltage(*volts)));
        }
        let by_class = matches!(core.class_of(pair), Some(Class::Knee { .. }));
        if volts.is_empty() && by_class {
            let stated = tap.is_some_and(|tap| !tap.exciting.is_missing());
            let missing = if stated { NO_KNEE } else { NO_EXCITING };
            self.ask(Required::on(&the::EXCITING, pair).unclear(missing));
        }
    }

    /// Each declared ratio; on site the whole winding and the tap in service are due.
    fn ratios(&mut self, core: &Core, full: Pair) {
        let in_service = self.record.pair_after(full.core, self.visits);
        let in_service = in_service.map(Pair::ascending);
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
            let asked = self.purposes.holds(Purpose::Factory);
            let due = asked || pair == full || in_service == Some(pair.ascending());
            let known = core.nominal_ratio(pair.from, pair.to).is_some();
            let required = Required::on(requirement, pair).due_if(due);
            let required = required.unclear((!known).then_some(NO_RATIO));
            self.ask_of_inputs(core, required);
        }
    }

    /// Of a summation CT the same of each input, since one that is good answers for no other.
    fn ask_of_inputs(&mut self, core: &Core, required: Required) {
        for input in &core.inputs {
            let of_input = required.clone();
            self.ask(of_input.under(Condition::Item(input.name.clone())));
        }
        if core.inputs.is_empty() {
            self.ask(required);
        }
    }

    /// Primary links that can stand otherwise make another ratio.
    fn links(&mut self, index: usize) {
        let all = &self.record.plate.links;
        // Where this visit does not ask for them, those that an earlier one took are on record.
        let last = self.visits.last().map(|visit| visit.date.value);
        let until = |visit: &&Visit| last.is_some_and(|last| visit.date.value <= last);
        let due = the::LINKS.is_due(self.purposes, self.due);
        let earlier = self.record.visits.iter().filter(until).filter(|_| !due);
        let visits = self.visits.iter().copied().chain(earlier);
        let taken: Vec<&String> = visits.flat_map(Visit::links_of_ratios).collect();
        for link in all.iter().filter(|_| all.len() > 1) {
            let name = &link.value.0;
            let mut required = Required::new(&the::LINKS, index);
            let is_missing = !taken.contains(&name);
            required.lacks = is_missing
                .then(|| say!("needs the ratio with the primary links in {}", name.clone()));
            self.ask(required.under(Condition::Item(name.clone())));
        }
    }

    fn circuit(&mut self, index: usize, core: &Core) {
        self.ask(Required::new(&the::BURDEN, index));
        let last = self.visits.last();
        let duty = last.and_then(|visit| self.record.duty_on(index, visit.date.value));
        let stated = |of: fn(&Duty) -> Option<Span>| duty.and_then(of);
        let knee = stated(|duty| duty.required_knee.span());
        let factor = stated(|duty| duty.required_factor.span());
        // What the duty asks now, of the tap that serves now.
        let tap = self.record.pair_after(index, self.visits);
        for (at, requirement) in [(knee, &the::DUTY_KNEE), (factor, &the::DUTY_FACTOR)] {
            if at.is_some() {
                let mut required = Required::new(requirement, index);
                (required.stated_at, required.tap) = (at, tap);
                self.ask(required);
            }
        }
        for requirement in behind::ALL {
            self.ask_of_devices(requirement, index, !core.is_spare());
        }
        self.ask_of_service(Required::new(&the::LOAD, index), !core.is_spare());
        let zone = duty.and_then(|duty| duty.zone.value().cloned());
        let mut stable = Required::new(&the::STABILITY, index).due_if(zone.is_some());
        stable.conditions.extend(zone.map(Condition::Item));
        self.ask_of_service(stable, !core.is_spare());
        let (knee, factor) = (knee.is_some(), factor.is_some());
        if is_protection(core) && !knee && !factor {
            let mut required = Required::new(&the::RELAY, index);
            required.lacks = Some("no duty states it".into());
            self.ask(required);
        }
    }
}

/// Whether a relay hangs on it: by its use, else by its class.
fn is_protection(core: &Core) -> bool {
    match core.service.value() {
        Some(Service::Protection | Service::Both) => true,
        Some(Service::Metering | Service::Spare) => false,
        None => core.class.value().is_some_and(|class| match class {
            Class::Protection { .. }
            | Class::Knee { .. }
            | Class::Transient(_)
            | Class::IeeeRelay { .. } => true,
            Class::Measuring { .. } | Class::IeeeMetering { .. } | Class::Other(_) => false,
        }),
    }
}

/// Whether a visit opened a core's circuit, found it off, or says how it was left.
fn is_opened(visit: &Visit, core: usize) -> bool {
    let mut restored = visit.of(Test::restored);
    let mut states = visit.of(Test::state);
    visit.tests.iter().any(|test| test.opened(core))
        || restored.any(|(_, _, restored)| restored.names(core))
        || states.any(|(_, _, state)| state.is_off(core))
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

/// What the plate lacks for a requirement of the class.
fn gap(core: &Core, pair: Pair, class: &Class, of: &Requirement) -> Option<&'static str> {
    if matches!(class, Class::Other(_)) {
        return Some(NO_LIMITS);
    }
    let burdened = match class {
        Class::IeeeRelay { .. }
        | Class::IeeeMetering {
            burden: Some(_), ..
        } => true,
        Class::IeeeMetering { burden: None, .. }
        | Class::Measuring { .. }
        | Class::Protection { .. }
        | Class::Knee { .. }
        | Class::Transient(_)
        | Class::Other(_) => {
            let tap = core.tap(pair.from, pair.to);
            !core.burden.is_missing() || tap.is_some_and(|tap| !tap.burden.is_missing())
        }
    };
    let at_burden = [&the::ACCURACY, &the::COMPOSITE, &the::SECURITY, &the::PEAK].contains(&of);
    let transient = *of == the::PEAK && (core.kssc.is_missing() || core.ktd.is_missing());
    let constant = *of == the::LOOP_CONSTANT && core.loop_time_constant.is_missing();
    let gaps = [
        (at_burden && !burdened, NO_BURDEN),
        (transient, NO_TRANSIENT),
        (constant, NO_LOOP_CONSTANT),
    ];
    let first = gaps.into_iter().find(|(is_missing, _)| *is_missing);
    first.map(|(_, said)| said)
}

/// Whether its plate has to state a winding resistance (from memory, IEC 61869-2: PX, PXR, TPX, TPY, TPZ).
fn states_resistance(class: &Class) -> bool {
    match class {
        Class::Knee { .. } | Class::Transient(_) => true,
        Class::Protection { .. }
        | Class::Measuring { .. }
        | Class::IeeeMetering { .. }
        | Class::IeeeRelay { .. }
        | Class::Other(_) => false,
    }
}

/// Whether the class binds the winding resistance that the plate states (from memory, IEC 61869-2:
/// PX, PXR, TPX, TPY, TPZ, and PR).
fn limits_resistance(class: &Class) -> bool {
    let remanent = |class| {
        matches!(
            class,
            &Class::Protection {
                low_remanence: true,
                ..
            }
        )
    };
    states_resistance(class) || remanent(class)
}

fn has_knee(core: &Core, pair: Pair) -> bool {
    let tap = core.tap(pair.from, pair.to);
    let of_tap = tap.is_some_and(|tap| !tap.knee.is_missing());
    of_tap || (core.is_full(pair) && !core.knee.is_missing())
}
