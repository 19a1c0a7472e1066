//! Leads that are in the readings, or that were taken off twice: the same ohms everywhere, much of a small winding
//! and little of a large one.

use super::truth::{Bench, shifted};
use super::{name, ohms, seat};
use crate::derive::kinds::resistance::{Winding, Wires};
use crate::document::{Phrase, say};
use crate::judge::cause::evidence::{Family, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::rules::resistance as rules;

/// How near leads are to what the self-check found, in natural logarithms: clips are part of them.
const NEAR: f64 = 0.1;
/// What a pair of leads usually has, ohm, and how widely that is spread, in natural logarithms.
const USUAL: (f64, f64) = (0.1, 1.0);
/// Others than those that the self-check found are rarer.
const OTHERS: f64 = 1.0;

/// A winding that has less than nothing without its leads, in natural logarithms.
const IMPOSSIBLE: f64 = 5.0;

pub(super) fn all(bench: &Bench<'_>) -> Vec<Hypothesis> {
    left_in(bench).into_iter().chain(off_twice(bench)).collect()
}

fn everywhere(winding: &Winding) -> Seat {
    Seat {
        core: None,
        pair: None,
        ..seat(winding)
    }
}

/// What the instrument that was used found of its leads.
fn by_self_check(bench: &Bench<'_>) -> Option<f64> {
    let mut checks = bench.j.derived.self_check.iter().rev();
    checks.find_map(|check| Some(check.leads.filter(|_| check.doubtful.is_none())?.si))
}

fn left_in(bench: &Bench<'_>) -> Option<Hypothesis> {
    let first = bench.windings.first()?;
    let found = by_self_check(bench).filter(|ohm| *ohm > 0.0);
    // Where the readings hold leads that are taken off, it is others than those that were found.
    let four = bench.windings.iter().any(|one| one.wires != Wires::Two);
    let known = found.filter(|_| four);
    let off = |ohm: f64, about: f64, spread: f64| {
        let z = libm::log(ohm / about) / spread;
        0.5 * z * z
    };
    let as_found = |ohm: f64| known.map(|known| price::OF_A_KNOWN_SIZE + off(ohm, known, NEAR));
    let others = found.map_or(0.0, |_| OTHERS);
    let other = |ohm: f64| price::OF_A_FREE_SIZE + others + off(ohm, USUAL.0, USUAL.1);
    // A limit is no second reading: leads tell by windings that are high by the same ohms.
    let is_read = bench.families().any(|(_, family)| !family.items.is_empty());
    let holds = |_: usize, family: &Family| !is_read || family.of != Of::ResistanceLimit;
    let best = bench.sized(
        asked(bench).into_iter().chain(known),
        |ohm| as_found(ohm).unwrap_or(f64::INFINITY).min(other(ohm)),
        |ohm| bench.shifts(holds, |_, _, read| read - ohm),
    )?;
    let told = match found {
        Some(found) if as_found(best.size).is_some_and(|price| price <= other(best.size)) => {
            say!("; the self-check found {} of leads", ohms(found))
        }
        Some(found) if !four => say!("; more than the {} that is taken off", ohms(found)),
        Some(found) => say!(
            "; it is more than the {} of leads that the self-check found",
            ohms(found)
        ),
        None => Phrase::default(),
    };
    let observed = match bench.windings.as_slice() {
        [only] => say!(
            "{} reads {} high, as if leads were in the reading{}",
            name(bench.j, only),
            ohms(best.size),
            told
        ),
        _ => say!(
            "all windings read {} high, large or small{}",
            ohms(best.size),
            told
        ),
    };
    let made = Hypothesis::new(&rules::LEADS_IN_READING, everywhere(first), observed)
        .price(best.price)
        .decide(
            "one winding with four wires, the voltage clips on the terminals themselves and inside the current clips",
        );
    Some(shifted(made, best.shifts))
}

/// The ohms that single items ask for. So many sections, each as high as the whole, make their sum high so many times.
fn asked(bench: &Bench<'_>) -> Vec<f64> {
    let items = bench.windings.iter().flat_map(|one| {
        let items = bench.items(one);
        items.map(|(_, item)| one.cold.si * (1.0 - libm::exp(-item.away)))
    });
    let sums = bench.evidence.families_of(Of::ResistanceSum);
    let sums = sums.flat_map(|(_, family)| &family.items);
    let by_sums = sums.filter_map(|item| {
        let more = bench.sections_of(item).len().checked_sub(1)?;
        Some((item.expected - item.observed) / more as f64)
    });
    items.chain(by_sums).filter(|ohm| *ohm > 0.0).collect()
}

/// Leads that are in no reading here, or are taken off here, and were taken off before as well.
fn off_twice(bench: &Bench<'_>) -> Option<Hypothesis> {
    let two = bench.windings.iter().find(|one| one.leads.is_some());
    let four = || {
        bench
            .windings
            .first()
            .filter(|one| one.wires == Wires::Four)
    };
    let (first, taken) = match two {
        Some(first) => (first, None),
        None => (
            four()?,
            Some(by_self_check(bench).filter(|ohm| *ohm > 0.0)?),
        ),
    };
    let of = |one: &Winding| taken.or(one.leads.map(|leads| leads.si)).unwrap_or(0.0);
    let shifts = bench.shifts(|_, _| true, |one, _, read| read + of(one))?;
    let all = bench.j.derived.resistance.iter();
    let mut own = all.filter(|one| one.doubtful.is_none());
    let below_nothing = own.any(|one| one.leads.is_some() && one.cold.si <= 0.0);
    let why = match taken {
        Some(_) => "were taken off, although four wires leave them out of the reading",
        None => "are taken off here: they were off before the readings were written",
    };
    let observed = say!(
        "all windings are low, large or small, as by the {} of leads that {}",
        ohms(of(first)),
        why
    );
    let made = Hypothesis::new(&rules::LEADS_SUBTRACTED_TWICE, everywhere(first), observed)
        .price(price::OF_A_KNOWN_SIZE)
        .besides(if below_nothing { IMPOSSIBLE } else { 0.0 })
        .decide(
            "whether the instrument takes its leads off by itself before it shows a resistance",
        );
    Some(shifted(made, shifts))
}
