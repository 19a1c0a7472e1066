//! One number of a plate that stands alone: two sisters or more have another one, all other numbers are theirs, and one
//! slip of the pen leads from the one to the other. A looser one passes whatever was read, so that no reading tells.

use super::cells::{Cell, What, cells};
use super::plate::EACH_SISTER;
use super::stated::{BY_SISTERS, of_cell, of_the_kind, others, slip};
use crate::derive::kindred::Kindred;
use crate::document::Grade;
use crate::ground::median::median;
use crate::judge::assess::Judging;
use crate::judge::cause::hypothesis::Hypothesis;
use crate::judge::finding::Finding;
use crate::record::kinds::Test;
use crate::record::kinds::resistance::ResistanceRow;
use crate::trade::Pair;

/// So many more sisters have another value than have the own: of two plates nobody can tell which one is wrong.
const SISTERS: f64 = 2.0;
/// Units of one type read the same within so many times. Common practice, no source.
const RESISTANCES: f64 = 1.15;
const KNEES: f64 = 1.25;

pub(super) fn number(j: &Judging<'_>, findings: &[Finding]) -> Option<Hypothesis> {
    let sisters = of_the_kind(j);
    let cores = &j.case.record.cores;
    let theirs: Vec<Vec<Cell>> = sisters.iter().map(|one| cells(&one.cores)).collect();
    let own = cells(cores);
    let beside = |cell: &Cell| {
        let values = theirs
            .iter()
            .filter_map(|all| all.iter().find(|one| one.is(cell)));
        let (meant, more) = others(cell.value, values.map(|one| one.value))?;
        (more > 0.0).then_some((meant, more))
    };
    let mut differing = own.iter().filter_map(|cell| Some((cell, beside(cell)?)));
    let (cell, (meant, more)) = differing.next()?;
    // A plate of which more differs is another plate.
    if differing.next().is_some() || more < SISTERS || cell.what == What::Ratio {
        return None;
    }
    let slip = slip(cell.number(cell.value), cell.number(meant))?;
    let told = cell.is_looser_than(meant)
        || is_contradicted(cell, meant, findings)
        || slip.is_of_the_point && was_taken_out(j, cell);
    // A digit makes one usual value of another, as a unit of another type has; a point makes none.
    let is_of_the_type = match reads_alike(j, &sisters, cell.core) {
        Some(alike) => alike,
        None => slip.is_of_the_point,
    };
    if !told || !is_of_the_type {
        return None;
    }
    let made = of_cell(cores.get(cell.core)?, cell, meant, BY_SISTERS);
    Some(made.besides(EACH_SISTER * more))
}

/// Whether a reading does not meet it, and would meet the value that is meant.
fn is_contradicted(cell: &Cell, meant: f64, findings: &[Finding]) -> bool {
    findings.iter().any(|one| {
        let against = one.against.as_ref();
        let against = against.filter(|against| against.span == Some(cell.at));
        let met = against.zip(one.value()).is_some_and(|(against, value)| {
            let requirement = &against.requirement;
            requirement.upper.is_none_or(|_| value.si <= meant)
                && requirement.lower.is_none_or(|_| value.si >= meant)
        });
        one.grade() >= Grade::Fails && met
    })
}

/// Whether all resistances of the core were taken out before anything was derived of them, since they do not fit the
/// plate.
fn was_taken_out(j: &Judging<'_>, cell: &Cell) -> bool {
    let tests = j.case.visit.of(Test::resistance);
    let rows = tests.flat_map(|(_, _, body)| &body.rows);
    let mut own = rows.filter(|row| row.on.is_some_and(|on| on.value.core == cell.core));
    let first = own.next();
    let taken = |row: &ResistanceRow| row.voltage.is_unreadable() || row.resistance.is_unreadable();
    cell.what == What::Resistance && first.is_some_and(taken) && own.all(taken)
}

/// Whether the core reads as those of the sisters do, where both were read: else it is of another type.
fn reads_alike(j: &Judging<'_>, sisters: &[&Kindred], core: usize) -> Option<bool> {
    let full = j.case.full(core)?;
    let mut resistances = j.derived.resistance.iter().filter(|one| one.pair == full);
    let resistance = resistances.find_map(|one| one.at_75).map(|one| one.si);
    let curve = j.derived.any_curve(full);
    let knee = curve.and_then(|(excited, _)| excited.knee_or_end(&j.case));
    let alike = |own: Option<f64>, theirs: fn(&Kindred, Pair) -> Option<f64>, most: f64| {
        let theirs = sisters.iter().filter_map(|one| theirs(one, full));
        let theirs = median(&mut theirs.collect::<Vec<f64>>());
        let both = own.zip(theirs);
        both.map(|(own, theirs)| (1.0 / most..=most).contains(&(own / theirs)))
    };
    let resistance = alike(resistance, resistance_of, RESISTANCES);
    let knee = alike(knee, knee_of, KNEES);
    match (resistance, knee) {
        (None, None) => None,
        _ => Some(resistance != Some(false) && knee != Some(false)),
    }
}

fn resistance_of(sister: &Kindred, pair: Pair) -> Option<f64> {
    let mut shown = sister.on_site();
    shown.find_map(|shown| shown.resistance(pair)?.at_75)
}

fn knee_of(sister: &Kindred, pair: Pair) -> Option<f64> {
    let mut curves = sister.on_site().flat_map(|shown| &shown.curves);
    let curve = curves.find(|one| one.pair.ascending() == pair && one.other_frequency.is_none());
    Some(curve?.knee)
}
