//! A number of a plate that the plate itself contradicts: in a table of taps ratios add up, voltages and resistances go
//! with the turns, and exciting currents against them; and no exciting current is stated above the knee.

use super::cells::{Cell, What, cells};
use super::stated::{is_equal, of_cell, of_the_kind, slip, slips};
use crate::ground::median::median;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Item};
use crate::judge::cause::hypothesis::Hypothesis;
use crate::judge::cause::turns::by_plate;
use crate::record::core::Core;

/// A number that fits nothing else of its plate until one slip is taken back, and then fits it well: 1 in 400. A
/// convention of this project.
const BY_THE_PLATE: f64 = 6.0;
/// The other numbers of a table agree with each other within such shares, in proportion to their turns; a resistance
/// also goes with the length of its turns. Common practice, no source.
const VOLTAGES: f64 = 0.02;
const CURRENTS: f64 = 0.05;
const RESISTANCES: f64 = 0.1;
/// What is less far off may be a maker's choice for this tap.
const FAR: f64 = 1.5;

pub(super) fn numbers(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let own = cells(&j.case.record.cores);
    let sisters = of_the_kind(j);
    let sisters = sisters.iter().flat_map(|sister| cells(&sister.cores));
    let sisters: Vec<Cell> = sisters.collect();
    let cores = j.case.record.cores.iter().enumerate();
    let all = cores.flat_map(|(at, core)| {
        let own: Vec<&Cell> = own.iter().filter(|cell| cell.core == at).collect();
        let by_turns = of_sums(core, &own).or_else(|| in_table(core, &own));
        by_turns.into_iter().chain(above_the_knee(core, &own))
    });
    // Sisters that have the same number speak for it.
    let same = |cell: &Cell| {
        let mut sisters = sisters.iter();
        sisters.any(|one| one.is(cell) && is_equal(one.value, cell.value))
    };
    // Turns that were read as the plate has them as well.
    let read = |cell: &Cell| {
        let items = by_plate(evidence).into_iter();
        let mut items = items.flat_map(|(_, family)| &family.items);
        let own = |item: &Item| cell.what == What::Ratio && cell.pair() == Some(item.pair);
        // Where ratios do not add up, what is held against them may be the sum.
        let is_stated = |item: &Item| (item.expected / cell.value - 1.0).abs() < 1e-3;
        items.any(|item| own(item) && is_stated(item) && item.away.abs() < 2.0 * item.u)
    };
    all.filter(|(cell, _)| !same(cell) && !read(cell))
        .map(|(_, made)| made)
        .collect()
}

/// The one ratio of a table of taps that is not the sum of the sections between its terminals, where all others are.
fn of_sums(core: &Core, own: &[&Cell]) -> Option<(Cell, Hypothesis)> {
    let (tap, sum) = core.odd_tap()?;
    let mut ratios = own.iter().filter(|cell| cell.what == What::Ratio);
    let cell = ratios.find(|cell| cell.tap == Some((tap.from, tap.to)))?;
    let made = of_cell(core, cell, sum, "by the sum of its other taps");
    Some(((*cell).clone(), made.besides(BY_THE_PLATE)))
}

/// A number of a table of taps that is not in proportion to the turns.
struct Odd<'a> {
    cell: &'a Cell,
    /// What the turns of its tap let expect by the others, and by how many times they would have to be others.
    usual: f64,
    times: f64,
    near: f64,
}

/// The one number of a table of taps that is not in proportion to the turns, where one slip brings it there. Where
/// more of a row is not, it is its ratio.
fn in_table(core: &Core, own: &[&Cell]) -> Option<(Cell, Hypothesis)> {
    let kinds = [What::Knee, What::Exciting, What::Resistance];
    let odd = kinds.iter().filter_map(|what| odd_one(core, own, *what));
    let odd: Vec<Odd<'_>> = odd.collect();
    let far = |one: &Odd<'_>| libm::log(one.times).abs() > libm::log(FAR);
    if !odd.iter().any(far) {
        return None;
    }
    let (cell, usual, near) = match &odd[..] {
        [one] => (one.cell, one.usual, one.near),
        [first, others @ ..] if others.iter().all(|one| one.cell.tap == first.cell.tap) => {
            let mut ratios = own.iter().filter(|cell| cell.what == What::Ratio);
            let ratio = ratios.find(|cell| cell.tap == first.cell.tap)?;
            (*ratio, ratio.value * first.times, first.near)
        }
        _ => return None,
    };
    let meant = nearest(cell.number(cell.value), cell.number(usual))? / cell.number(1.0);
    if (meant / usual - 1.0).abs() > near {
        return None;
    }
    let made = of_cell(core, cell, meant, "by its other taps");
    Some((cell.clone(), made.besides(BY_THE_PLATE)))
}

/// Of one column, where two others or more agree.
fn odd_one<'a>(core: &Core, own: &[&'a Cell], what: What) -> Option<Odd<'a>> {
    let (near, power) = match what {
        What::Knee => (VOLTAGES, -1),
        What::Exciting => (CURRENTS, 1),
        _ => (RESISTANCES, -1),
    };
    let of_taps = own.iter().filter(|cell| cell.what == what);
    let rows = of_taps.filter_map(|cell| {
        let (from, to) = cell.tap?;
        Some((*cell, core.nominal_ratio(from, to)?.powi(power)))
    });
    let rows: Vec<(&Cell, f64)> = rows.filter(|(_, turns)| *turns > 0.0).collect();
    let mut odd = rows.iter().enumerate().filter_map(|(at, (cell, turns))| {
        let others = rows.iter().enumerate().filter(|(other, _)| *other != at);
        let others = others.map(|(_, (other, turns))| other.value * turns);
        let mut others: Vec<f64> = others.collect();
        let usual = median(&mut others).filter(|_| others.len() > 1)?;
        let agree = others.iter().all(|one| (one / usual - 1.0).abs() <= near);
        let off = cell.value * turns / usual;
        (agree && (off - 1.0).abs() > near).then_some(Odd {
            cell,
            usual: usual / turns,
            times: off.powi(-power),
            near,
        })
    });
    odd.next()
}

/// Of all that one slip makes of a number what lies nearest to another.
fn nearest(own: f64, usual: f64) -> Option<f64> {
    slips(own).into_iter().min_by(|one, other| {
        let off = |value: f64| libm::log(value / usual).abs();
        off(*one).total_cmp(&off(*other))
    })
}

/// A knee below the voltage that its exciting current is stated at, by a slip of the point: that current is one of the
/// knee, or of a part of it (IEC 61869-2, ratings of class PX; from memory).
fn above_the_knee(core: &Core, own: &[&Cell]) -> Option<(Cell, Hypothesis)> {
    let of = |what: What| {
        own.iter()
            .find(|cell| cell.what == what && cell.tap.is_none())
    };
    let (knee, at) = (of(What::Knee)?, of(What::ExcitingAt)?);
    let slip = slip(knee.number(knee.value), knee.number(at.value))?;
    if at.value <= knee.value || !slip.is_of_the_point {
        return None;
    }
    let made = of_cell(
        core,
        knee,
        at.value,
        "by the voltage of its exciting current",
    );
    let mut made = made.besides(BY_THE_PLATE);
    made.seat.at.push(at.at);
    Some(((*knee).clone(), made))
}
