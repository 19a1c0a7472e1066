//! Whether paper and transformer belong together: values of the plate, tables of a sister, another's record, the
//! names of two cores, two rows of a table.

mod alone;
mod cells;
mod copied;
mod cores;
mod itself;
mod plate;
mod records;
mod rows;
mod stated;

pub(super) use cores::fit;

use super::evidence::Evidence;
use super::hypothesis::Hypothesis;
use crate::derive::curve::Curve;
use crate::derive::kindred::Kindred;
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::excitation::shape::{Pairing, Scatter, Shape};
use crate::derive::workings::Workings;
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::record::core::Core;
use std::borrow::Cow;

/// What only paper shows.
pub(super) fn on_paper(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    findings: &[Finding],
) -> Vec<Hypothesis> {
    let mut all = copied::tables(j);
    // The plate is that of the unit, and told once; its ratio where one was read against it.
    let last = j.case.index + 1 == j.case.record.visits.len();
    all.extend(plate::ratios(j, evidence));
    if last {
        all.extend(plate::others_than_ratio(j));
        all.extend(alone::number(j, findings));
        all.extend(itself::numbers(j, evidence));
    }
    all
}

/// What readings show beside those of others.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let mut all = records::exchanged(j, evidence);
    all.extend(rows::exchanged(j, evidence));
    all.extend(cores::exchanged(j, evidence));
    all
}

/// How unlikely a curve is beside another with its knee, in natural logarithms.
fn cost_of(w: &Workings, now: &Curve, (then, knee): (&Curve, f64), scatter: Scatter) -> f64 {
    0.5 * Pairing::new(w, now, Cow::Borrowed(then), knee, scatter)
        .fit(Shape::Same)
        .misfit
}

/// Sound curves of a visit at the rated frequency.
fn curves(all: &[Excited]) -> impl Iterator<Item = (&Excited, &Curve)> {
    let sound = all.iter();
    let sound = sound.filter(|one| one.doubtful.is_none() && one.other_frequency.is_none());
    sound.filter_map(|one| Some((one, one.curve.as_ref()?)))
}

/// Sisters of the same make: the same cores by name, terminals and class.
fn of_the_make<'a>(j: &Judging<'a>) -> impl Iterator<Item = &'a Kindred> {
    let own = &j.case.record.cores;
    let alike = move |sister: &&Kindred| {
        let mut both = own.iter().zip(&sister.cores);
        sister.cores.len() == own.len() && both.all(|(one, other)| is_of_the_make(one, other))
    };
    j.sisters.iter().copied().filter(alike)
}

fn is_of_the_make(one: &Core, other: &Core) -> bool {
    let class = |core: &Core| core.class.value().map(crate::trade::Class::text);
    one.name == other.name && one.marks == other.marks && class(one) == class(other)
}
