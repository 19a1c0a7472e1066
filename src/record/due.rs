//! Tests due: what the visit's purpose asks for on each core, so that what is neither there nor named
//! as not done can be told in one line. The list is common practice, no source; it is kept short on
//! purpose, since a wall of warnings is not read.

use super::Record;
use super::class::Class;
use super::core::Core;
use super::kinds::{Test, TestBody, TestKind};
use super::scope::Scope;
use super::value::{Item, Pair};
use super::visit::{Purpose, Visit};

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
        .filter(|(_, core)| core.purpose.value() != Some(&"spare"));
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
        _ => true,
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
    let phase = |test: &Test| {
        match &test.body {
        TestBody::Ratio(ratio) => ratio.rows.iter().any(|row| {
            let on = matches!(row.on.map(|on| on.value), Some(super::kinds::ratio::On::Pair(pair)) if pair.core == due.core);
            on && row.phase.get().is_some()
        }),
        _ => false,
    }
    };
    due.kind == TestKind::Polarity && visit.tests.iter().any(phase)
}

/// Whether a test has a reading on a core.
pub fn touches(record: &Record, test: &Test, core: usize) -> bool {
    let on = |pair: Option<Pair>| pair.is_some_and(|pair| pair.core == core);
    if on(test.pair.map(|pair| pair.value)) {
        return true;
    }
    match &test.body {
        TestBody::Insulation(insulation) => insulation.rows.iter().any(|row| {
            let name = record.cores.get(core).map(|core| core.name.as_str());
            row.between.value().is_some_and(|between| {
                let named = |items: &[Item]| items.iter().any(|item| matches!(item, Item::Core(n) if Some(n.as_str()) == name));
                named(&between.from) || named(&between.to)
            })
        }),
        TestBody::Resistance(resistance) => resistance.rows.iter().any(|row| on(row.on.map(|on| on.value))),
        TestBody::Demagnetisation(demagnetisation) => demagnetisation.rows.iter().any(|row| on(row.on.map(|on| on.value))),
        TestBody::Ratio(ratio) => {
            ratio.rows.iter().any(|row| matches!(row.on.map(|on| on.value), Some(super::kinds::ratio::On::Pair(pair)) if pair.core == core))
        }
        TestBody::Polarity(polarity) => polarity.rows.iter().any(|row| on(row.on.map(|on| on.value))),
        TestBody::Burden(burden) => burden.rows.iter().any(|row| on(row.on.map(|on| on.value))),
        _ => false,
    }
}

/// The scopes of every `not done` line of a visit, with the reason.
pub fn omissions<'a>(
    record: &Record,
    visit: &'a Visit,
) -> Vec<(Scope, &'a super::aside::Omission)> {
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
