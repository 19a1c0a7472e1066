//! A closed path across the winding or round the core: the current grows by a part in proportion to the voltage.
//! How large it is tells which paths can be meant.

use super::seat;
use crate::derive::kinds::excitation::EmfBy;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence};
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::cause::insulation::links_open;
use crate::judge::cause::path::{self, Drops, Path, ohm_of};
use crate::judge::finding::unit;
use crate::judge::kinds::burden::rated_ohm;
use crate::judge::kinds::excitation::primary_loop;
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::{quantity, short};
use crate::record::kinds::Test;
use crate::record::kinds::excitation::Attached;
use crate::trade::Pair;

/// Turns that are in contact pass between so much of what one bare turn does, and all of it; more where several are.
/// A contact that passes less burns open or welds. Common practice, no source.
const OF_A_CONTACT: f64 = 0.02;
/// How fast a worse contact, and how fast more turns at once, become rare, in natural logarithms. Conventions of this
/// project.
const WORSE_CONTACT: f64 = 1.5;
const MORE_TURNS: f64 = 0.8;
/// Leads and earth grid have some milliohm at least: a loop passes no more, siemens. Common practice, no source.
const MOST_OF_A_LOOP: f64 = 1000.0;
/// What a closed primary costs beyond its free size, in natural logarithms. A convention of this project.
const OF_A_LOOP: f64 = 0.5;
/// The record says that an end of the primary was open, or the circuit off: somebody may have closed it since.
const AGAINST_THE_RECORD: f64 = 5.0;

/// A curve as with a conductance across its winding: the best one, and half the misfit that it leaves.
struct Leaking<'h> {
    at: usize,
    held: &'h Held<'h>,
    conductance: f64,
    left: f64,
}

impl Leaking<'_> {
    fn made(&self, rule: &'static Rule) -> Hypothesis {
        let size = say!(
            "a conductance of {} across the winding, all along the curve",
            siemens(self.conductance)
        );
        let made = Hypothesis::new(rule, seat(self.held), size);
        match self.held.by {
            By::Iron => {
                made.remark("a core with a gap that its plate does not tell of reads so as well")
            }
            _ => made,
        }
    }
}

/// Paths across the driven winding, or a turn of it.
pub(super) fn across(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    (at, held): (usize, &Held<'_>),
) -> Vec<Hypothesis> {
    let pair = held.pair();
    let Some((conductance, left)) = held.leak() else {
        return Vec::new();
    };
    let leaking = Leaking {
        at,
        held,
        conductance,
        left,
    };
    let mut all = Vec::new();
    // Where both ends of the primary are said to be earthed, that is told of the unit as a whole.
    if primary_loop::closed(j, held.now.test).is_none() {
        let turn = of_a_turn(j, pair);
        let size = turn.map_or(0.0, |most| of_turns(conductance / most));
        let told = leaking
            .made(&rules::SHORTED_TURN_SUSPECTED)
            .curve(at, left)
            .price(price::OF_A_FREE_SIZE + price::OF_THE_TRANSFORMER + size)
            .graded(match held.by {
                By::Iron => Grade::Review,
                _ => Grade::Fails,
            })
            .decide("the curve again with every wire off this secondary, and the primary open at one end");
        let told = match is_off(j, held) {
            true => told,
            false => told.remark(
                "the section does not say `burden: disconnected`: the circuit may have been on",
            ),
        };
        all.push(match turn {
            Some(most) => told.remark(say!(
                "one shorted turn passes up to {}; how many there are cannot be read from the curve",
                siemens(most)
            )),
            None => told,
        });
    }
    all.extend(loads(j, evidence, &leaking));
    all.extend(links(j, evidence, &leaking));
    all
}

/// What so many times the conductance of one bare turn costs.
fn of_turns(times: f64) -> f64 {
    let off = match times < 1.0 {
        true => (libm::log(OF_A_CONTACT / times) / WORSE_CONTACT).max(0.0),
        false => libm::log(times) / MORE_TURNS,
    };
    0.5 * off * off
}

/// The circuit, or a part of it, still on the winding.
fn loads(j: &Judging<'_>, evidence: &Evidence<'_>, leaking: &Leaking<'_>) -> Vec<Hypothesis> {
    let Leaking {
        at,
        held,
        conductance,
        left,
    } = *leaking;
    let pair = held.pair();
    let against = if is_off(j, held) {
        AGAINST_THE_RECORD
    } else {
        0.0
    };
    let open = links_open(j, Some(pair.core));
    let told = |left: f64, size: f64, remark: Phrase| {
        let made = leaking
            .made(&rules::BURDEN_LEFT_ON)
            .curve(at, left)
            .price(size + against)
            .remark(remark)
            .decide("the curve again with this core's circuit taken off at its terminals, links open or wires lifted");
        match open {
            true => made.remark(
                "the links are said to be open: then it is a wire on the side of the transformer",
            ),
            false => made,
        }
    };
    let burdens = j.derived.burden.iter();
    let burdens = burdens.filter(|one| one.pair.core == pair.core);
    let known = burdens.map(|one| {
        let share = j.case.turns(one.pair).zip(j.case.turns(pair));
        let share = share.map_or(1.0, |(part, driven)| part / driven);
        (one.pair.ascending(), one.z.si, share)
    });
    let known: Vec<(Pair, f64, f64)> = known.collect();
    let mut all: Vec<Hypothesis> = known
        .iter()
        .map(|(part, z, share)| {
            let through = match Path::of(j, pair, *part) {
                Some(path) => path.share * path.share / (z + path.copper),
                None => share * share / z,
            };
            let left = left_by(j, held, through);
            let remark = say!(
                "that of the circuit as measured, {}",
                quantity(*z, 3, unit::OHM)
            );
            let made = told(left, price::OF_A_KNOWN_SIZE, remark);
            Drops::of(j, evidence, *part).moved(evidence, made, *z)
        })
        .collect();
    let usual = || {
        let amperes = j.case.rated_secondary(pair)?;
        Some(USUAL_BURDEN / (amperes * amperes))
    };
    // Of a circuit of which nobody knows the size the curve tells it.
    let drops = Drops::of(j, evidence, pair);
    let unknown = |made: Hypothesis| drops.moved(evidence, made, 1.0 / conductance);
    let whole = known.first().map(|(_, z, share)| z / (share * share));
    let Some(whole) = whole.or_else(|| rated_ohm(j, pair)).or_else(usual) else {
        return all;
    };
    let (least, most) = meant(j, held, conductance);
    // What nobody measured is a part of the rated burden.
    if known.is_empty() {
        let share = nearest(
            path::USUAL_SHARE,
            (1.0 / (most * whole), 1.0 / (least * whole)),
        );
        all.push(unknown(told(
            left,
            price::OF_A_FREE_SIZE + path::of_a_share(share),
            "a part of the rated burden, or of a usual one, as a circuit has it".into(),
        )));
    }
    // What an input of high impedance, or an open star point, leaves of a circuit may be far less than it.
    if least * whole < 1.0 {
        all.push(unknown(told(
            left,
            price::OF_A_FREE_SIZE + price::OF_A_LIST + OF_ANY_SIZE,
            "what an input of high impedance, or an open star point, leaves of a circuit".into(),
        )));
    }
    all
}

/// Whether the record says that the circuit was off.
fn is_off(j: &Judging<'_>, held: &Held<'_>) -> bool {
    let run = j.case.visit.tests.get(held.now.test);
    let run = run.and_then(Test::excitation);
    run.is_some_and(|run| run.burden.value() == Some(&Attached::Disconnected))
}

/// What a core without a rated burden serves, VA: a guess.
const USUAL_BURDEN: f64 = 5.0;
/// What is left of a circuit may be of any size over five decades; a turn is known to within two. In natural logarithms, a
/// convention of this project.
const OF_ANY_SIZE: f64 = 1.0;

/// What is seen of a conductance across the terminals. Of a current that takes part of the voltage in the winding, an
/// e.m.f. was made in quadrature: how it shows depends on whether the source stands on the side of the circuit or of
/// the winding.
fn seen(j: &Judging<'_>, held: &Held<'_>, through: f64) -> [f64; 3] {
    let drop = ohm_of(j, held.pair()).map_or(0.0, |ohm| ohm * through);
    match held.now.emf {
        EmfBy::Quadrature => {
            let beside = through / (1.0 - drop * drop).max(0.01).sqrt();
            [beside, through, through / (1.0 + 2.0 * drop).sqrt()]
        }
        // By its angle all of the drop was taken off, and of the winding it is none.
        EmfBy::Angle => [through, through, through / (1.0 - drop).max(0.01)],
        EmfBy::Voltage | EmfBy::DropLeftIn => [through; 3],
    }
}

/// Half the misfit of a curve with a conductance across the terminals, as it may be seen.
fn left_by(j: &Judging<'_>, held: &Held<'_>, through: f64) -> f64 {
    let fits = seen(j, held, through).map(|seen| held.fit(Shape::Leak(seen)));
    fits.into_iter().fold(f64::INFINITY, f64::min)
}

/// The same the other way round: the least and the most that what is seen may mean.
fn meant(j: &Judging<'_>, held: &Held<'_>, seen: f64) -> (f64, f64) {
    let drop = ohm_of(j, held.pair()).map_or(0.0, |ohm| ohm * seen);
    match held.now.emf {
        EmfBy::Quadrature => {
            let both = (1.0 + drop * drop).sqrt();
            (seen / both, seen * (drop + both))
        }
        EmfBy::Angle => (seen / (1.0 + drop), seen),
        EmfBy::Voltage | EmfBy::DropLeftIn => (seen, seen),
    }
}

/// The value between two ends that is nearest to a usual one.
fn nearest(usual: f64, (least, most): (f64, f64)) -> f64 {
    usual.min(most).max(least)
}

/// A link across a part of the winding, or across the whole of it.
fn links(j: &Judging<'_>, evidence: &Evidence<'_>, leaking: &Leaking<'_>) -> Vec<Hypothesis> {
    let Leaking {
        at,
        held,
        conductance,
        left,
    } = *leaking;
    let pair = held.pair();
    let Some(core) = j.case.core(pair) else {
        return Vec::new();
    };
    let (least, most) = meant(j, held, conductance);
    let (least, most) = (least / AS_READ, most * AS_READ);
    let parts: Vec<Pair> = path::pairs(core, pair).collect();
    let count = libm::log(parts.len().max(1) as f64);
    let link = |part: Pair| {
        let Path { share, copper, .. } = Path::of(j, pair, part)?;
        let square = share * share;
        let ohm = nearest(
            path::USUAL_LINK,
            (square / most - copper, square / least - copper),
        );
        // No link is better than a bare one.
        let (ohm, left) = match ohm < path::LEAST_OF_A_LINK {
            true => {
                let bare = square / (copper + path::LEAST_OF_A_LINK);
                (path::LEAST_OF_A_LINK, left_by(j, held, bare))
            }
            false => (ohm, left),
        };
        let name = Phrase::terminals(core.pair_text(part.from, part.to));
        let told = leaking
            .made(&rules::SHORT_LEFT_ON)
            .curve(at, left)
            .price(price::OF_A_KNOWN_SIZE + count + path::of_a_link(ohm))
            .remark(say!("that of a link across {}", name.clone()))
            .decide(say!(
                "the curve again after a look at the links of {}",
                name
            ));
        let told = Drops::of(j, evidence, part).moved(evidence, told, ohm);
        left.is_finite().then_some(told)
    };
    parts.iter().filter_map(|part| link(*part)).collect()
}

/// How well a conductance is read off a curve, as a multiple. A convention of this project.
const AS_READ: f64 = 1.1;

/// A primary that is closed is seen on every core at once, by the square of its turns over those of the primary.
pub(super) fn round_the_core(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let primary = j.case.primary_turns();
    let open: Vec<(usize, &Held<'_>, f64)> = evidence
        .curves
        .iter()
        .enumerate()
        .filter(|(_, held)| held.is_open())
        .filter_map(|(at, held)| Some((at, held, j.case.turns(held.pair())? / primary)))
        .collect();
    let contrary = |held: &Held<'_>| {
        let test = j.case.visit.tests.get(held.now.test);
        let said = test.and_then(|test| j.case.visit.primary_ends_in(test));
        said.is_some() && primary_loop::closed(j, held.now.test).is_none()
    };
    let price = |held: &Held<'_>| {
        let free = price::OF_A_FREE_SIZE + OF_A_LOOP;
        match contrary(held) {
            true => free + AGAINST_THE_RECORD,
            false => free,
        }
    };
    // Seen at one core, it says what every other one has to show.
    let from = open.iter();
    let from = from.filter(|(_, held, _)| held.is_off() && held.takes_more().0);
    let made = from.filter_map(|(_, held, own)| {
        let square = own * own;
        let conductance = held.leak()?.0.min(MOST_OF_A_LOOP / square);
        let seat = seat(held).of_the_unit();
        let observed = say!(
            "a conductance of {} across the primary, seen on {}",
            siemens(conductance * square),
            match open.len() {
                1 => "the only one that can be compared",
                _ => "all that can be compared",
            }
        );
        let made =
            Hypothesis::new(&rules::PRIMARY_LOOP_SUSPECTED, seat, observed).price(price(held));
        let made = open.iter().fold(made, |made, (at, other, ratio)| {
            let there = conductance * (own / ratio) * (own / ratio);
            made.curve(*at, other.fit(Shape::Leak(there)))
        });
        let made = made.decide("one core's curve again with one earth of the primary lifted under the site's safety rules");
        Some(made.remark(match open.len() {
            1 => "no other core is held against an earlier curve, which would tell them apart",
            _ => "the cores show it by the square of their turns",
        }))
    });
    made.collect()
}

/// What one shorted turn of a winding passes at most, seen at its terminals: of N turns with R ohm in all, a turn
/// has R/N, which is N R at the terminals.
fn of_a_turn(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    Some(1.0 / (j.case.turns(pair)? * ohm_of(j, pair)?))
}

fn siemens(conductance: f64) -> Quantity {
    match conductance < 1.0 {
        true => Quantity::new(short(1e3 * conductance), "mS"),
        false => Quantity::new(short(conductance), "S"),
    }
}
