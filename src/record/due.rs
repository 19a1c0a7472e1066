//! Tests due: what the visit's purpose asks for on each core, so that what is neither there nor named
//! as not done can be told in one line.

use super::Record;
use super::kinds::ratio::{On, RatioRow};
use super::kinds::{Test, TestKind};
use super::scope::Scope;
use super::value::Omission;
use super::visit::Visit;

/// A test that is due on a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Due {
    pub kind: TestKind,
    pub core: usize,
}

/// The tests due on every core at a visit.
pub fn due(record: &Record, visit: &Visit) -> Vec<Due> {
    let cores = record.cores.iter().enumerate();
    let asked = cores.filter(|(_, core)| !record.is_excused(core));
    let of = |(index, core)| {
        let kinds = TestKind::ALL.iter().copied();
        let due = kinds.filter(move |kind| kind.is_due(visit.purpose(), core));
        due.map(move |kind| Due { kind, core: index })
    };
    asked.flat_map(of).collect()
}

/// Whether the visit holds this test on this core.
pub fn is_done(visit: &Visit, due: Due) -> bool {
    let mut tests = visit.tests.iter();
    tests.any(|test| test.kind == due.kind && test.touches(due.core)) || by_phase(visit, due)
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
        .filter(|due| !is_done(visit, *due) && !explained(due))
        .collect()
}
