//! Tests due: what the visit's purpose asks for on each core, so that what is neither there nor named
//! as not done can be told in one line. The list is common practice, no source; it is kept short on
//! purpose, since a wall of warnings is not read.
#![deny(clippy::wildcard_enum_match_arm)]

use super::Record;
use super::core::Core;
use super::kinds::ratio::{On, RatioRow};
use super::kinds::{Test, TestBody, TestKind};
use super::scope::Scope;
use super::value::Omission;
use super::visit::Visit;
use crate::ground::span::Located;
use crate::trade::{Between, Class, Item, Pair, Purpose, Service};

/// A test that is due on a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Due {
    pub kind: TestKind,
    pub core: usize,
}

/// The tests due on every core at a visit.
pub fn due(record: &Record, visit: &Visit) -> Vec<Due> {
    let full = matches!(
        visit.purpose(),
        Purpose::Commissioning | Purpose::Maintenance
    );
    if !full {
        return Vec::new();
    }
    let kinds = |core: &Core| {
        let mut kinds = vec![
            TestKind::Insulation,
            TestKind::Resistance,
            TestKind::Demagnetisation,
        ];
        if needs_excitation(core) {
            kinds.push(TestKind::Excitation);
        }
        kinds.push(TestKind::Ratio);
        if visit.purpose() == Purpose::Commissioning {
            kinds.push(TestKind::Polarity);
            kinds.push(TestKind::Burden);
        }
        kinds
    };
    let cores = record
        .cores
        .iter()
        .enumerate()
        .filter(|(_, core)| core.service.value() != Some(&Service::Spare));
    cores
        .flat_map(|(index, core)| {
            kinds(core)
                .into_iter()
                .map(move |kind| Due { kind, core: index })
        })
        .collect()
}

/// Protection cores, and metering cores with a security factor.
fn needs_excitation(core: &Core) -> bool {
    match core.class.value() {
        Some(Class::Measuring { security, .. }) => security.is_some(),
        Some(Class::IeeeMetering { .. }) => false,
        Some(
            Class::Protection { .. }
            | Class::Knee { .. }
            | Class::Transient(_)
            | Class::IeeeRelay { .. }
            | Class::Other(_),
        )
        | None => true,
    }
}

/// Whether the visit holds this test on this core.
pub fn is_done(record: &Record, visit: &Visit, due: Due) -> bool {
    visit
        .tests
        .iter()
        .any(|test| test.kind == due.kind && touches(record, test, due.core))
        || by_phase(visit, due)
}

/// Polarity can be shown by the phase of the ratio test.
fn by_phase(visit: &Visit, due: Due) -> bool {
    let phase = |row: &RatioRow| on_core(row, due.core) && row.phase.get().is_some();
    let mut ratios = visit.of(Test::ratio);
    due.kind == TestKind::Polarity && ratios.any(|(_, _, ratio)| ratio.rows.iter().any(phase))
}

fn on_core(row: &RatioRow, core: usize) -> bool {
    matches!(row.on.map(|on| on.value), Some(On::Pair(pair)) if pair.core == core)
}

/// Whether a test has a reading on a core.
pub fn touches(record: &Record, test: &Test, core: usize) -> bool {
    let is = |pair: &Located<Pair>| pair.value.core == core;
    let on = |pair: &Option<Located<Pair>>| pair.as_ref().is_some_and(is);
    let named = |between: &Between| {
        let own = record.cores.get(core).map(|core| core.name.as_str());
        let mut items = between.from.iter().chain(&between.to);
        items.any(|item| matches!(item, Item::Core(name) if Some(name.as_str()) == own))
    };
    on(&test.pair)
        || match &test.body {
            TestBody::Insulation(test) => {
                let mut between = test.rows.iter().filter_map(|row| row.between.value());
                between.any(named)
            }
            TestBody::Resistance(test) => test.rows.iter().any(|row| on(&row.on)),
            TestBody::Demagnetisation(test) => test.rows.iter().any(|row| on(&row.on)),
            TestBody::Ratio(test) => test.rows.iter().any(|row| on_core(row, core)),
            TestBody::Polarity(test) => test.rows.iter().any(|row| on(&row.on)),
            TestBody::Burden(test) => test.rows.iter().any(|row| on(&row.on)),
            // On the section's own pair only, or on the unit as a whole; never due.
            TestBody::Excitation(_)
            | TestBody::Remanence(_)
            | TestBody::Inspection(_)
            | TestBody::State(_)
            | TestBody::SelfCheck(_)
            | TestBody::Withstand(_)
            | TestBody::Load(_)
            | TestBody::Restored(_) => false,
        }
}

/// The scopes of every `not done` line of a visit, with the reason.
pub fn omissions<'a>(record: &Record, visit: &'a Visit) -> Vec<(Scope, &'a Omission)> {
    let own = visit
        .omissions
        .iter()
        .map(|omission| (Scope::read(omission, record, None), omission));
    let inner = visit.tests.iter().flat_map(|test| {
        // A line behind the last test of a visit speaks of the visit when it names a test itself.
        test.omissions
            .iter()
            .map(move |omission| (Scope::read(omission, record, Some(test.kind)), omission))
    });
    own.chain(inner).collect()
}

/// What is due, not there, and not named as not done.
pub fn missing(record: &Record, visit: &Visit) -> Vec<Due> {
    let scopes = omissions(record, visit);
    let explained = |due: &Due| {
        scopes
            .iter()
            .any(|(scope, _)| scope.covers(due.kind, Some(due.core), false))
    };
    due(record, visit)
        .into_iter()
        .filter(|due| !is_done(record, visit, *due) && !explained(due))
        .collect()
}
