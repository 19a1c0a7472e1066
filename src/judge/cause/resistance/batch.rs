//! All windings off the sisters by the same per cent, and as they were at the visits before: another batch of wire. It
//! is odd, and no fault.

use super::truth::Bench;
use super::{conditions, per_cent, seat};
use crate::document::{Grade, say};
use crate::judge::cause::evidence::{By, Evidence, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat};
use crate::judge::cause::told::beside;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::rules::resistance as rules;
use crate::judge::travel;

/// What batches of wire differ by, in natural logarithms: up to 10 %. Common practice, no source.
const USUAL: f64 = 0.05;
/// That it is by chance just what the temperatures of that day make is rare.
const BY_CHANCE: f64 = 1.5;
/// A temperature that is ten times less likely withholds nothing. A convention of this project.
const AS_GOOD: f64 = 2.3;
/// More common than any fault that looks like it.
const COMMON: f64 = 1.0;

pub(super) fn all(bench: &Bench<'_>) -> Option<Hypothesis> {
    let evidence = bench.evidence;
    let families = evidence.families_of(Of::Resistance);
    let items = families.flat_map(|(_, family)| &family.items);
    let items: Vec<&Item> = items.filter(|item| by_sisters(item)).collect();
    let first = items.first()?;
    let winding = bench.winding(first)?;
    let sisters = conditions::as_the_sisters(bench, winding).map(libm::log);
    let made = |away: f64| {
        let alike = sisters.is_some_and(|known| (away - known).abs() < 2.0 * conditions::AS_THEY);
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
            .besides(if alike { -BY_CHANCE } else { 0.0 })
            .moves(evidence, Of::Resistance, |item| {
                if by_sisters(item) { away } else { 0.0 }
            })
    };
    let all = items.iter().map(|item| made(item.away));
    let all = all.map(|one| (one.left(evidence) + one.price - one.besides, one));
    let (_, best) = all.min_by(|one, other| one.0.total_cmp(&other.0))?;
    let mut families = evidence.families_of(Of::Resistance);
    let is_known = families.any(|(_, family)| family.items.iter().any(|it| it.by.is_of_the_unit()));
    Some(match is_known {
        true => best,
        false => best
            .remark("no earlier visit tells it from a wrong temperature")
            .decide(conditions::DECIDE),
    })
}

fn by_sisters(item: &Item) -> bool {
    matches!(item.by, By::Sisters(_))
}

/// What follows of a batch for the findings that it explains. One that the unit itself confirms makes them no trouble;
/// one that may be a temperature is as much of one as they are, and withholds a limit that this would explain.
pub(in crate::judge::cause) fn settle(
    evidence: &Evidence<'_>,
    named: &Hypothesis,
    made: &mut Finding,
    findings: &mut [Finding],
) {
    if named.rule != &rules::ANOTHER_BATCH {
        return;
    }
    let confirmed = named.decide.is_none();
    if !confirmed && findings.iter().any(|one| made.explains(one)) {
        made.verdict = Verdict::Observed(Grade::Review);
    }
    for one in findings {
        if confirmed && made.explains(one) {
            one.verdict = Verdict::Observed(Grade::Info);
        }
        if may_be_warm(evidence, named, made, one) {
            travel::withhold_by(one, made);
        }
    }
}

/// Whether a temperature that is the next likeliest would turn what a resistance is beside its limit: as read, and with
/// what the windings are off the sisters by taken off, it lies on two sides of it.
fn may_be_warm(evidence: &Evidence<'_>, named: &Hypothesis, made: &Finding, one: &Finding) -> bool {
    let next = made.because.as_ref().and_then(|because| because.next);
    let warm = next.is_some_and(|(rule, lead)| rule == &rules::TEMPERATURE_WRONG && lead < AS_GOOD);
    let is_decided = one.grade() >= Grade::Review || one.grade() == Grade::Pass;
    if !warm || one.rule != &rules::WINDING_RESISTANCE || !is_decided {
        return false;
    }
    let upper = one.against.as_ref().and_then(|it| it.requirement.upper);
    let both = one.value().zip(upper);
    let beyond = both.map(|(value, upper)| libm::log(value.si / upper));
    let mut moved = named.shifts.iter().flat_map(|(at, shift)| {
        let items = evidence.families.get(*at).map(|family| &family.items);
        let own = items.into_iter().flatten().zip(shift);
        let at = |item: &Item| (Some(item.section), Some(item.pair));
        let own = own.filter(move |(item, _)| at(item) == (one.section, one.pair));
        own.map(|(_, shift)| *shift)
    });
    let both = beyond.zip(moved.next());
    both.is_some_and(|(beyond, shift)| match beyond > 0.0 {
        true => beyond <= shift,
        false => beyond > shift,
    })
}
