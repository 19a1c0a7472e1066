//! Insulation resistances and their rise with time beside those of an earlier visit, of the sisters, and of what is
//! usual.

use crate::derive::kindred::{Insulated, Kindred, Risen};
use crate::derive::kinds::insulation::{Group, Node};
use crate::judge::assess::Judging;
use crate::judge::cause::beside::{Seen, beside_sisters};
use crate::judge::cause::evidence::{By, Family, Item, Of};
use crate::judge::cause::resistance::by_visit;
use crate::judge::finding::unit;
use crate::record::alike::like_core;
use crate::trade::Pair;

/// Insulation resistances of one make, or of one unit at two visits, differ by a factor of two and show nothing:
/// each by itself, and what all of a unit share. Common practice, no source.
pub(super) const SCATTER: (f64, f64) = (0.45, 0.4);
/// The laws of temperature halve it in 10 K or in 15 K: so much of what a law makes of it is uncertain.
const OF_THE_LAW: f64 = 0.33;
/// Temperatures of two days, where a value could not be taken to 20 °C.
const NO_TEMPERATURE: f64 = 0.7;
/// Of the rise from one time to another.
const OF_THE_RISE: f64 = 0.2;
/// What dry insulation reads as a rule, ohm: the primary, a core; and what it scatters by from make to make.
/// Common practice, no source.
const USUAL_PRIMARY: f64 = 3e10;
const USUAL_CORE: f64 = 5e9;
pub(super) const BETWEEN_MAKES: f64 = 1.7;

/// Families of insulation resistances.
pub(in crate::judge::cause) fn families(j: &Judging<'_>) -> Vec<Family> {
    let mut before = Vec::new();
    let mut sisters = Vec::new();
    let mut usual = Vec::new();
    let mut rises_before = Vec::new();
    let mut rises_sisters = Vec::new();
    for group in &j.derived.insulation {
        let Some(own) = Insulated::of(group) else {
            continue;
        };
        let then = earlier(j, group);
        let then = then.as_ref();
        let in_bay: Vec<&Insulated> = j
            .sisters
            .iter()
            .filter_map(|sister| of_sister(j, sister, group))
            .collect();
        let visit = then.and_then(|(by, then)| item(group, &own, then, by.clone()));
        let by = By::Sisters(in_bay.len());
        let all = in_bay.iter().filter_map(|other| {
            let item = item(group, &own, other, by.clone())?;
            let off = libm::log(own.read / usual_of(group));
            Some(Seen {
                off: off - item.away,
                own: off,
                item,
            })
        });
        let sister = beside_sisters(all.collect());
        if visit.is_none() && sister.is_none() {
            usual.extend(beside_usual(group, &own));
        }
        before.extend(visit);
        sisters.extend(sister);
        let risen = longest(&own.rises);
        rises_before.extend(then.and_then(|(by, then)| rise(group, risen?, then, by.clone())));
        let all = in_bay.iter().filter_map(|other| {
            let item = rise(group, risen?, other, by.clone())?;
            Some(Seen {
                off: 0.0,
                own: 0.0,
                item,
            })
        });
        rises_sisters.extend(beside_sisters(all.collect()));
    }
    let family = |of, items, shared| Family { of, items, shared };
    vec![
        family(Of::Insulation, before, SCATTER.1),
        family(Of::Insulation, sisters, SCATTER.1),
        family(Of::Insulation, usual, 0.0),
        family(Of::Absorption, rises_before, 0.0),
        family(Of::Absorption, rises_sisters, 0.0),
    ]
}

/// The last earlier visit that read between the same sides.
fn earlier(j: &Judging<'_>, group: &Group) -> Option<(By, Insulated)> {
    let visits = j.earlier_visits().rev();
    let mut then = visits.filter_map(|(visit, assessed)| {
        let same = |one: &&Group| one.sides() == group.sides();
        let known = assessed.derived.insulation.iter().rfind(same)?;
        Some((by_visit(visit), Insulated::of(known)?))
    });
    then.next()
}

fn of_sister<'a>(j: &Judging<'_>, sister: &'a Kindred, group: &Group) -> Option<&'a Insulated> {
    let side = |nodes: &[Node]| {
        let there = nodes.iter().map(|node| match node {
            Node::Core(core) => {
                let own = j.case.record.cores.get(*core)?;
                like_core(own, &sister.cores).map(Node::Core)
            }
            other => Some(*other),
        });
        there.collect::<Option<Vec<Node>>>()
    };
    let (from, to) = group.sides();
    let (from, to) = (side(from)?, side(to)?);
    let name = j.case.visit.name();
    sister.at(&name).find_map(|shown| {
        let mut all = shown.insulation.iter();
        all.find(|one| one.from == from && one.to == to)
    })
}

/// The pair that stands for a group: it has none of its own.
fn no_pair(group: &Group) -> Pair {
    let core = match group.sides().0 {
        [Node::Core(core)] => *core,
        _ => usize::MAX,
    };
    Pair {
        core,
        from: 0,
        to: 0,
    }
}

fn item(group: &Group, own: &Insulated, other: &Insulated, by: By) -> Option<Item> {
    let law = |one: &Insulated| Some(libm::log(one.at_20? / one.read));
    let (away, days) = match law(own).zip(law(other)) {
        Some((here, there)) => {
            let taken = here - there;
            (libm::log(own.read / other.read) + taken, OF_THE_LAW * taken)
        }
        None => (libm::log(own.read / other.read), NO_TEMPERATURE),
    };
    // A bound speaks on one side only.
    let away = match (own.at_least, other.at_least) {
        (true, true) => 0.0,
        (true, false) => away.max(0.0),
        (false, true) => away.min(0.0),
        (false, false) => away,
    };
    made(group, own.read, away, libm::hypot(SCATTER.0, days), by)
}

fn made(group: &Group, read: f64, away: f64, u: f64, by: By) -> Option<Item> {
    away.is_finite().then(|| Item {
        pair: no_pair(group),
        section: group.test,
        at: vec![group.minute.span],
        observed: read,
        expected: read * libm::exp(-away),
        unit: match read < 1e9 {
            true => unit::MEGOHM,
            false => unit::GIGAOHM,
        },
        away,
        u,
        by,
    })
}

fn usual_of(group: &Group) -> f64 {
    match group.sides().0.contains(&Node::Primary) {
        true => USUAL_PRIMARY,
        false => USUAL_CORE,
    }
}

fn beside_usual(group: &Group, own: &Insulated) -> Option<Item> {
    let away = libm::log(own.read / usual_of(group));
    let away = if own.at_least { away.max(0.0) } else { away };
    made(group, own.read, away, BETWEEN_MAKES, By::Usual)
}

/// The rise over the longest time.
pub(super) fn longest(rises: &[Risen]) -> Option<Risen> {
    let all = rises.iter().copied();
    all.max_by(|one, other| (one.later / one.earlier).total_cmp(&(other.later / other.earlier)))
}

fn rise(group: &Group, own: Risen, other: &Insulated, by: By) -> Option<Item> {
    let times = |one: &&Risen| (one.later, one.earlier) == (own.later, own.earlier);
    let other = other.rises.iter().find(times)?;
    let away = libm::log(own.ratio / other.ratio);
    let made = made(group, own.ratio, away, OF_THE_RISE, by)?;
    Some(Item {
        unit: unit::ONE,
        ..made
    })
}
