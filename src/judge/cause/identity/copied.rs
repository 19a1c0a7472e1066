//! A table with the readings of a sister's, to the last digit: two cores never read the same in all of a table.

use crate::derive::kindred::{Shown, Table, Typed, tables as typed};
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::inspection as rules;
use crate::record::kinds::TestKind;
use crate::record::readings::Measure;
use crate::trade::Purpose;

/// How far sisters differ, as a share, and how much of a reading is not set by hand. Conventions of this project.
fn differs(kind: TestKind, of: &Typed) -> Option<(f64, f64)> {
    match (kind, of.measure) {
        (TestKind::Excitation, Measure::Current) => Some((0.05, 1.0)),
        (TestKind::Excitation, Measure::Voltage) => Some((0.01, 0.4)),
        (TestKind::Resistance, Measure::Voltage | Measure::Resistance) => Some((0.01, 1.0)),
        (TestKind::Insulation, Measure::Insulation) => Some((0.3, 1.0)),
        (TestKind::Ratio, Measure::Voltage) => Some((0.01, 0.5)),
        (TestKind::Ratio, Measure::Phase | Measure::RatioError) => Some((0.1, 1.0)),
        // The circuits of three phases are laid side by side.
        (TestKind::Burden, Measure::Voltage) => Some((0.02, 1.0)),
        (TestKind::Burden, Measure::Angle) => Some((0.05, 0.5)),
        _ => None,
    }
}

/// More than this no single reading says.
const MOST: f64 = 4.0;
/// Fewer readings that agree are chance.
const FEWEST: f64 = 3.0;
/// Readings nearer to one that was counted say the same.
const THE_SAME: f64 = 0.002;
/// Round values are set, and not read.
const ROUND: f64 = 1e-9;

pub(super) fn tables(j: &Judging<'_>) -> Vec<Hypothesis> {
    if j.sisters.is_empty() || j.case.visit.purpose() == Purpose::Factory {
        return Vec::new();
    }
    let own = typed(j.case.visit);
    let on_site = |shown: &&Shown| shown.purpose != Purpose::Factory;
    let of_sisters = j.sisters.iter().flat_map(|sister| {
        let visits = sister.visits.iter().filter(on_site);
        visits.flat_map(move |visit| visit.tables.iter().map(move |table| (sister, visit, table)))
    });
    let (mut all, mut compared) = (Vec::new(), 0_u32);
    for (sister, visit, table) in of_sisters {
        let mut alike = own
            .iter()
            .filter(|own| is_alike(own, table))
            .inspect(|_| compared += 1);
        let Some(own) = alike.find(|own| is_same(own, table)) else {
            continue;
        };
        let tests = &j.case.visit.tests;
        let seat = Seat {
            section: tests.iter().position(|test| test.span == own.at),
            core: own.pair.map(|pair| pair.core),
            pair: own.pair,
            at: vec![own.at],
        };
        let observed = say!(
            "every reading of the table is that of {} on {}, to the last digit",
            sister.id.clone(),
            visit.name.clone()
        );
        let made = Hypothesis::new(&rules::COPIED_TABLE, seat, observed)
            .besides(weight(own))
            .decide("the sheet or the file that the readings were taken from, of both units");
        all.push(made);
    }
    // Of many tables that are compared, a short one may agree by chance.
    let many = libm::log(f64::from(compared.max(1)));
    let priced = all.into_iter();
    priced
        .map(|one: Hypothesis| one.price(price::OF_A_LIST + many))
        .collect()
}

/// Whether two tables could be the same: of one kind and pair, and as long.
fn is_alike(own: &Table, other: &Table) -> bool {
    let as_long = own.readings.len() == other.readings.len() && !own.readings.is_empty();
    own.kind == other.kind && own.pair == other.pair && as_long
}

fn is_same(own: &Table, other: &Table) -> bool {
    let same = |(one, other): (&Typed, &Typed)| {
        one.measure == other.measure && one.value == other.value && one.exact == other.exact
    };
    own.readings.iter().zip(&other.readings).all(same)
}

/// How unlikely it is that readings agree by chance, in natural logarithms.
fn weight(table: &Table) -> f64 {
    let mut counted: Vec<(Measure, f64)> = Vec::new();
    let (mut sum, mut all) = (0.0, 0.0);
    for one in table.readings.iter().filter(|one| one.exact) {
        let Some((spread, read)) = differs(table.kind, one) else {
            continue;
        };
        let again = counted.iter().any(|(measure, value)| {
            *measure == one.measure && (one.value / value - 1.0).abs() < THE_SAME
        });
        if again || is_round(one.value) {
            continue;
        }
        counted.push((one.measure, one.value));
        all += read;
        sum += read * libm::log(spread / one.step).clamp(0.0, MOST);
    }
    if all < FEWEST { 0.0 } else { sum }
}

/// Whether a value has no more than two digits that count.
fn is_round(value: f64) -> bool {
    let size = libm::pow(10.0, libm::floor(libm::log10(value.abs())) - 1.0);
    let digits = value.abs() / size;
    !digits.is_finite() || (digits - libm::round(digits)).abs() < ROUND * digits
}
