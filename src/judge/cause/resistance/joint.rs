//! A bad joint: so many ohms in series in one section, and in every pair across it.

use super::truth::{Bench, shifted};
use super::{name, of_size, ohms, per_cent, seat, since};
use crate::derive::kinds::resistance::Winding;
use crate::document::say;
use crate::judge::cause::evidence::{By, Evidence, Family, Of};
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::resistance as rules;

/// Rarer than a clip that sits badly.
const RARER: f64 = 1.0;
/// What a joint usually adds to its section, in natural logarithms.
const USUAL: f64 = 0.5;

pub(super) fn all(bench: &Bench<'_>) -> Vec<Hypothesis> {
    let all = bench.windings.iter();
    let sections = all.filter(|one| is_section(bench, one));
    sections
        .flat_map(|section| in_section(bench, section))
        .collect()
}

/// Whether nothing finer was read of its core at its test.
fn is_section(bench: &Bench<'_>, one: &Winding) -> bool {
    let mut all = bench.windings.iter();
    !all.any(|other| other.test == one.test && other.pair != one.pair && is_across(one, other))
}

/// Whether a winding holds a section.
fn is_across(one: &Winding, section: &Winding) -> bool {
    let (pair, inner) = (one.pair, section.pair);
    pair.core == inner.core && pair.from <= inner.from && inner.to <= pair.to
}

/// Families of earlier visits that tell of a section, oldest first.
fn visits<'a>(evidence: &'a Evidence<'_>, section: &Winding) -> Vec<(usize, &'a By)> {
    let all = evidence.families_of(Of::Resistance);
    let by = |family: &'a Family| {
        let item = family.items.iter().find(|item| item.pair == section.pair)?;
        matches!(item.by, By::Visit(_) | By::Certificate(_)).then_some(&item.by)
    };
    all.filter_map(|(at, family)| Some((at, by(family)?)))
        .collect()
}

/// Sound at some earlier visits and bad since, or as long as anything is known.
fn in_section(bench: &Bench<'_>, section: &Winding) -> Vec<Hypothesis> {
    let visits = visits(bench.evidence, section);
    let starts: Vec<f64> = bench
        .items(section)
        .map(|(_, item)| section.cold.si * (1.0 - libm::exp(-item.away)))
        .collect();
    let across = bench.windings.iter().filter(|one| is_across(one, section));
    let across = across.count();
    let ages = (0..=visits.len()).filter_map(|sound| {
        let bad = visits.get(sound..).unwrap_or(&[]);
        let holds = |at: usize, _: &Family| bad.iter().all(|(family, _)| *family != at);
        let best = bench.sized(
            starts.iter().copied(),
            |ohm| of_size(ohm / (section.cold.si - ohm), USUAL),
            |ohm| {
                bench.shifts(holds, |one, _, read| {
                    let hold = one.test == section.test && is_across(one, section);
                    if hold { read - ohm } else { read }
                })
            },
        )?;
        let last = sound.checked_sub(1).and_then(|last| visits.get(last));
        let when = last.map(|(_, by)| since(by)).unwrap_or_default();
        let others = match across {
            1 => "",
            _ => ", and so is every pair across it",
        };
        let observed = say!(
            "{} is {} high{}{}",
            name(bench.j, section),
            ohms(best.size),
            when,
            others
        );
        let made = Hypothesis::new(&rules::JOINT_SUSPECTED, seat(section), observed)
            .price(price::OF_A_FREE_SIZE + RARER + best.price)
            .remark(say!(
                "{} of {}",
                per_cent(best.size / (section.cold.si - best.size)),
                name(bench.j, section)
            ))
            .decide(
                "the same pair again, with the current and the voltage clips moved to clean metal: a joint stays, a clip \
                 does not",
            );
        Some(shifted(made, best.shifts))
    });
    ages.collect()
}
