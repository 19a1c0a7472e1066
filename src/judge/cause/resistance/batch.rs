//! All windings off the sisters by the same per cent, and as they were at the visits before: another batch of wire. It
//! is odd, and no fault.

use super::truth::Bench;
use super::{per_cent, seat};
use crate::document::{Grade, say};
use crate::judge::cause::evidence::{By, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat};
use crate::judge::cause::told::beside;
use crate::judge::rules::resistance as rules;

/// What batches of wire differ by, in natural logarithms: up to 10 %. Common practice, no source.
const USUAL: f64 = 0.05;
/// More common than any fault that looks like it.
const COMMON: f64 = 1.0;

pub(super) fn all(bench: &Bench<'_>) -> Option<Hypothesis> {
    let evidence = bench.evidence;
    let families = evidence.families_of(Of::Resistance);
    let items = families.flat_map(|(_, family)| &family.items);
    let items: Vec<&Item> = items.filter(|item| by_sisters(item)).collect();
    let first = items.first()?;
    let winding = bench.winding(first)?;
    let made = |away: f64| {
        let seat = Seat {
            core: None,
            pair: None,
            ..seat(winding)
        };
        let way = if away > 0.0 { "higher" } else { "lower" };
        let observed = say!(
            "all windings are {} {} than those of {}, as by another batch of wire",
            per_cent((libm::exp(away) - 1.0).abs()),
            way,
            beside(&first.by)
        );
        let off = away / USUAL;
        Hypothesis::new(&rules::ANOTHER_BATCH, seat, observed)
            .graded(Grade::Info)
            .price(COMMON + 0.5 * off * off)
            .moves(evidence, Of::Resistance, |item| {
                if by_sisters(item) { away } else { 0.0 }
            })
    };
    let all = items.iter().map(|item| made(item.away));
    let all = all.map(|one| (one.left(evidence) + one.price, one));
    let (_, best) = all.min_by(|one, other| one.0.total_cmp(&other.0))?;
    let mut families = evidence.families_of(Of::Resistance);
    let is_known = families.any(|(_, family)| family.items.iter().any(|it| it.by.is_of_the_unit()));
    Some(match is_known {
        true => best,
        false => best
            .remark("no earlier visit tells it from a wrong temperature")
            .decide(super::conditions::DECIDE),
    })
}

fn by_sisters(item: &Item) -> bool {
    matches!(item.by, By::Sisters(_))
}
