//! A curve that is far off what it should be like, and that nothing that is known explains.

use super::evidence::{By, Evidence};
use super::held::Held;
use super::hypothesis::{NAMED, SOMETHING_ELSE};
use super::told::{beside, scatters};
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::{Grade, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, unit};
use crate::judge::rules::excitation as rules;
use crate::judge::words::quantity;
use crate::trade::Pair;

/// Voltages that are off by one factor, between these. Conventions of this project, as the next.
const FACTORS: (f64, f64) = (0.6, 1.6);
/// What is left of a curve that one factor explains.
const EXPLAINED: f64 = 0.2;

/// Curves that ask for something else than all causes that were named, and of which no tolerance tells already.
pub(super) fn curves(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    findings: &[Finding],
) -> Vec<Finding> {
    let far = evidence.curves.iter();
    let far = far.filter(|held| is_far(evidence, held) && !is_beside_a_bad_one(j, held));
    let is_told = |held: &Held<'_>| {
        findings.iter().any(|one| {
            let of_it = one.section == Some(held.now.test) && one.pair == Some(held.now.pair);
            let tolerance = [&rules::CURVE_ABOVE_REFERENCE, &rules::CURVE_BELOW_REFERENCE];
            of_it && tolerance.contains(&one.rule) && one.grade() >= Grade::Review
        })
    };
    let told = far.filter(|held| !is_told(held));
    told.map(|held| of(evidence, held)).collect()
}

/// Whether something else is far likelier than that nothing is wrong; or likelier than not, where one factor of voltage
/// tells how, and another core with the same source stands right.
fn is_far(evidence: &Evidence<'_>, held: &Held<'_>) -> bool {
    let alone = || as_by_a_factor(held).is_some() && another_stands(evidence, held);
    held.same() >= SOMETHING_ELSE + NAMED || held.is_off() && alone()
}

/// Whether it is held against a curve that asked for this one.
fn is_beside_a_bad_one(j: &Judging<'_>, held: &Held<'_>) -> bool {
    let By::Visit(name) = &held.by else {
        return false;
    };
    let mut visits = j.earlier_visits();
    let then = visits.find(|(visit, _)| visit.name() == *name);
    then.is_some_and(|(_, assessed)| {
        let own = |one: &&Finding| one.pair.map(Pair::ascending) == Some(held.pair());
        let mut own = assessed.findings.iter().filter(own);
        own.any(|one| one.grade() >= Grade::Review)
    })
}

fn another_stands(evidence: &Evidence<'_>, held: &Held<'_>) -> bool {
    let others = evidence.curves.iter();
    let mut others = others.filter(|one| one.pair().core != held.pair().core);
    others.any(|one| one.is_open() && !one.is_off())
}

fn of(evidence: &Evidence<'_>, held: &Held<'_>) -> Finding {
    let far = match as_by_a_factor(held) {
        Some((off, way)) => say!("all its voltages lie {} {}", off, way),
        None => say!(
            "the curve lies {} times its scatter off",
            scatters(held, held.same())
        ),
    };
    let observed = say!(
        "{} {}, and nothing that is known explains it",
        far,
        beside(&held.by)
    );
    let mut made = Finding::observation(&rules::CURVE_UNEXPLAINED, observed, Grade::Review).at(
        held.now.test,
        held.now.pair,
        held.first_row(),
    );
    if another_stands(evidence, held) {
        made.remarks
            .push("another core, taken at the same visit, stands right".into());
    }
    made
}

/// All voltages off by one factor: in which direction, and by how much.
fn as_by_a_factor(held: &Held<'_>) -> Option<(Quantity, &'static str)> {
    let best = held.pairing.best(Shape::Volts, FACTORS);
    let Shape::Volts(times) = best.shape else {
        return None;
    };
    if 0.5 * best.misfit > EXPLAINED * held.same() {
        return None;
    }
    let way = if times < 1.0 { "below" } else { "above" };
    Some((quantity(100.0 * (times - 1.0).abs(), 2, unit::PERCENT), way))
}
