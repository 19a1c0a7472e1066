//! Why a curve differs from an earlier one of the same pair. Every way that is known is held against all readings;
//! the one that explains them best is named, with the next beside it, and none where none does.

use super::primary_loop;
use crate::derive::curve::Curve;
use crate::derive::kinds::excitation::shape::{Pairing, Shape};
use crate::derive::kinds::excitation::{EmfBy, Excited};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::{quantity, short};
use crate::record::core::Core;
use crate::record::kinds::Flux;
use crate::trade::Pair;

/// A curve beside the earlier one that it is held against.
pub(super) struct Beside<'a> {
    pub now: &'a Excited,
    pub curve: &'a Curve,
    pub earlier: &'a Curve,
    /// Volt, of the earlier curve.
    pub knee: f64,
    /// Whether a limit between the two curves is exceeded.
    pub exceeded: bool,
}

/// One way, with what speaks for it.
struct Way {
    rule: &'static Rule,
    /// Natural logarithm of how much less likely it is than that nothing is wrong: half the misfit, and a price for
    /// what it is free to choose.
    cost: f64,
    observed: Phrase,
    remark: Option<Phrase>,
}

/// Prices of the ways, in natural logarithms. Conventions of this project: faults of measuring are far more
/// common than faults of a transformer, and each free number has to earn its place.
const OF_A_KNOWN_SIZE: f64 = 1.0;
const OF_A_FREE_SIZE: f64 = 2.0;
const OF_A_LIST: f64 = 2.5;
const OF_THE_TRANSFORMER: f64 = 2.5;
/// That it is something else than all of these, which would fit any readings.
const SOMETHING_ELSE: f64 = 10.0;
/// A way is named where it is so much likelier than that nothing is wrong: e to the power of 4, 50 to 1.
const NAMED: f64 = 4.0;
/// Ways nearer to each other than 3 to 1 are a tie.
const TIE: f64 = 1.1;

/// The cause of a difference, if there is one and it can be told.
pub(super) fn name(j: &Judging<'_>, beside: &Beside<'_>) -> Option<Finding> {
    let pairing = Pairing::new(j.w, beside.curve, beside.earlier, beside.knee);
    let same = 0.5 * pairing.fit(Shape::Same).misfit;
    let least = if beside.exceeded { NAMED } else { 2.0 * NAMED };
    if same < least {
        return None;
    }
    let mut ways = ways(j, beside, &pairing);
    ways.sort_by(|one, other| one.cost.total_cmp(&other.cost));
    let mut ways = ways.into_iter();
    let best = ways.next()?;
    if best.cost > SOMETHING_ELSE || same - best.cost < least {
        return None;
    }
    let mut others = ways.filter(|way| way.rule != best.rule);
    let next = others.next().filter(|next| next.cost < SOMETHING_ELSE);
    let lead = next
        .as_ref()
        .map_or(f64::INFINITY, |next| next.cost - best.cost);
    if best.rule == &rules::PRIMARY_LOOP_SUSPECTED && primary_loop::closed(j).is_some() {
        return None;
    }
    let turn = best.rule == &rules::SHORTED_TURN_SUSPECTED;
    let grade = match turn && lead > 2.0 * TIE {
        true => Grade::Fails,
        false => Grade::Review,
    };
    let mut finding = Finding::observation(best.rule, best.observed, grade).at(
        beside.now.test,
        beside.now.pair,
        first_row(beside),
    );
    finding.remarks.extend(best.remark);
    if let Some(next) = next.filter(|_| lead < 10.0) {
        finding = finding.remark(beside_it(next.rule, lead));
    }
    Some(finding)
}

/// `as likely: …`, `next likeliest: … (20 to 1)`.
fn beside_it(rule: &'static Rule, lead: f64) -> Phrase {
    match lead < TIE {
        true => say!("as likely: {}; {}", rule.title, rule.action),
        false => {
            let odds = Quantity::new(short(libm::exp(lead).min(1000.0).round()), "");
            say!("next likeliest: {}, {} to 1", rule.title, odds)
        }
    }
}

fn first_row(beside: &Beside<'_>) -> Vec<Span> {
    let at = beside.curve.first().at;
    beside.now.rows.get(at).copied().into_iter().collect()
}

fn ways(j: &Judging<'_>, beside: &Beside<'_>, pairing: &Pairing<'_>) -> Vec<Way> {
    let mut ways = Vec::new();
    ways.extend(other_taps(j, beside, pairing));
    ways.extend(scales(j, pairing));
    ways.extend(leaks(j, beside, pairing));
    ways.push(offset(j, beside, pairing));
    ways.push(bend(pairing));
    ways
}

/// The leads on another pair of the same winding: the curve moves along both axes.
fn other_taps(j: &Judging<'_>, beside: &Beside<'_>, pairing: &Pairing<'_>) -> Vec<Way> {
    let own = beside.now.pair.ascending();
    let Some(core) = j.case.core(own) else {
        return Vec::new();
    };
    let Some(turns) = core.nominal_ratio(own.from, own.to) else {
        return Vec::new();
    };
    let way = |pair: Pair| {
        let share = core.nominal_ratio(pair.from, pair.to)? / turns;
        let fit = pairing.fit(Shape::Turns(share));
        Some(Way {
            rule: &rules::CURVE_OF_ANOTHER_TAP,
            cost: 0.5 * fit.misfit + OF_A_LIST,
            observed: say!(
                "the curve is that of {}",
                Phrase::terminals(core.pair_text(pair.from, pair.to))
            ),
            remark: None,
        })
    };
    let others = pairs(core, own).filter(|pair| *pair != own);
    others.filter_map(way).collect()
}

fn pairs(core: &Core, of: Pair) -> impl Iterator<Item = Pair> {
    let last = core.last_mark();
    (0..=last).flat_map(move |from| (from + 1..=last).map(move |to| Pair { from, to, ..of }))
}

/// A voltmeter that shows something else than the r.m.s. of a sine, or a source of another frequency: the curve
/// moves along the axis of voltage.
fn scales(j: &Judging<'_>, pairing: &Pairing<'_>) -> Vec<Way> {
    let crest = std::f64::consts::SQRT_2;
    let form = std::f64::consts::PI / (2.0 * crest);
    let meters = [
        (
            1.0 / form,
            "the voltage is shown as a plain mean, 0.90 of the r.m.s. value",
        ),
        (
            crest,
            "the voltage is shown as a peak, 1.41 times the r.m.s. value",
        ),
    ];
    let meters = meters.map(|(times, observed)| Way {
        rule: &rules::VOLTMETER_SCALE,
        cost: 0.5 * pairing.fit(Shape::Volts(times)).misfit + OF_A_LIST,
        observed: observed.into(),
        remark: None,
    });
    let rated = j.case.record.plate.frequency.value().map(|rated| rated.si);
    let other = match rated {
        Some(rated) if rated < 55.0 => (60.0 / 50.0, "60 Hz"),
        _ => (50.0 / 60.0, "50 Hz"),
    };
    let source = Way {
        rule: &rules::SOURCE_FREQUENCY,
        cost: 0.5 * pairing.fit(Shape::Volts(other.0)).misfit + OF_A_LIST,
        observed: say!("the curve is that of a source of {}", other.1),
        remark: None,
    };
    meters.into_iter().chain([source]).collect()
}

/// Conductances that a closed path across a winding may have, siemens.
const CONDUCTANCES: (f64, f64) = (1e-7, 30.0);

/// A closed path across the winding or round the core: the current grows by a part in proportion to the voltage.
/// How large it is tells which paths can be meant.
fn leaks(j: &Judging<'_>, beside: &Beside<'_>, pairing: &Pairing<'_>) -> Vec<Way> {
    let pair = beside.now.pair.ascending();
    let best = pairing.best(Shape::Leak, CONDUCTANCES);
    let Shape::Leak(conductance) = best.shape else {
        return Vec::new();
    };
    let size = say!(
        "a conductance of {} across the winding, all along the curve",
        siemens(conductance)
    );
    let way = |rule, cost, remark| Way {
        rule,
        cost,
        observed: size.clone(),
        remark,
    };
    let free = 0.5 * best.misfit + OF_A_FREE_SIZE;
    let turn = of_a_turn(j, pair);
    let mut ways = Vec::new();
    // Where both ends of the primary are said to be earthed, that is told of the unit as a whole.
    let closed = primary_loop::closed(j).is_some();
    if closed {
        ways.push(way(&rules::PRIMARY_LOOP_SUSPECTED, free + OF_A_LOOP, None));
    } else if turn.is_none_or(|most| conductance < MORE_THAN_A_TURN * most) {
        let remark = turn.map(|most| {
            say!(
                "one shorted turn passes up to {}; how many there are cannot be read from the curve, the turns \
                 ratio bounds it",
                siemens(most)
            )
        });
        ways.push(way(
            &rules::SHORTED_TURN_SUSPECTED,
            free + OF_THE_TRANSFORMER,
            remark,
        ));
        ways.extend(
            primary_loop(j, beside, conductance).map(|(others, remark)| {
                way(
                    &rules::PRIMARY_LOOP_SUSPECTED,
                    free + OF_A_LOOP + others,
                    Some(remark),
                )
            }),
        );
    }
    if turn.is_none_or(|most| conductance >= most / MORE_THAN_A_TURN) {
        ways.push(way(&rules::SHORT_LEFT_ON, free + OF_A_LIST, None));
    }
    // Of a current that takes part of the voltage in the winding, an e.m.f. was made in quadrature.
    let ohm = measured(j, pair).filter(|_| beside.now.emf == EmfBy::Quadrature);
    let seen = |through: f64| {
        let drop = ohm.map_or(0.0, |ohm| ohm * through);
        through / (1.0 - drop * drop).max(0.01).sqrt()
    };
    let burdens = j.derived.burden.iter();
    let burdens = burdens.filter(|one| one.pair.core == pair.core);
    ways.extend(burdens.map(|burden| {
        let fit = pairing.fit(Shape::Leak(seen(1.0 / burden.z.si)));
        let remark = say!(
            "that of the circuit as measured, {}",
            quantity(burden.z.si, 3, unit::OHM)
        );
        way(
            &rules::BURDEN_LEFT_ON,
            0.5 * fit.misfit + OF_A_KNOWN_SIZE,
            Some(remark),
        )
    }));
    ways.extend(links(j, pair).into_iter().map(|(through, name)| {
        let fit = pairing.fit(Shape::Leak(seen(through)));
        let remark = say!("that of a link across {}", Phrase::terminals(name));
        way(
            &rules::SHORT_LEFT_ON,
            0.5 * fit.misfit + OF_A_LIST,
            Some(remark),
        )
    }));
    ways
}

/// A turn whose contact is good passes the most; how well its resistance is known.
const MORE_THAN_A_TURN: f64 = 1.5;
const OF_A_LOOP: f64 = 0.5;
/// The record says that an end of the primary was open: somebody may have closed it since.
const AGAINST_THE_RECORD: f64 = 5.0;

/// What one shorted turn of a winding passes at most, seen at its terminals: of N turns with R ohm in all, a turn
/// has R/N, which is N R at the terminals.
fn of_a_turn(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    let stated = || {
        let core = j.case.core(pair).filter(|core| core.is_full(pair))?;
        core.resistance.value().map(|stated| stated.value.si)
    };
    let ohm = measured(j, pair).or_else(stated)?;
    Some(1.0 / (j.case.turns(pair)? * ohm))
}

fn measured(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    let mut windings = j.derived.resistance.iter();
    windings
        .find(|one| one.pair.ascending() == pair)
        .map(|one| one.cold.si)
}

/// What a link across a part of the winding passes, seen at the pair, with the part's name.
fn links(j: &Judging<'_>, pair: Pair) -> Vec<(f64, String)> {
    let (Some(core), Some(turns)) = (j.case.core(pair), j.case.turns(pair)) else {
        return Vec::new();
    };
    let link = |part: Pair| {
        let share = j.case.turns(part)? / turns;
        let through = share * share / measured(j, part)?;
        Some((through, core.pair_text(part.from, part.to)))
    };
    let parts = pairs(core, pair).filter(|part| *part != pair);
    parts.filter_map(link).collect()
}

/// A primary that is closed is seen on every core, by the square of its turns: what the other cores say of it, in
/// natural logarithms with what the record says, and in words.
fn primary_loop(j: &Judging<'_>, beside: &Beside<'_>, conductance: f64) -> Option<(f64, Phrase)> {
    let own = j.case.turns(beside.now.pair)?;
    let contrary = j.case.visit.primary_ends().is_some();
    let (mut against, mut seen) = (0.0, 0);
    for other in &j.derived.excitation {
        let turns = j.case.turns(other.pair);
        let held = turns.zip(super::reference::held(j, other));
        let Some((turns, held)) = held.filter(|_| other.pair.core != beside.now.pair.core) else {
            continue;
        };
        let pairing = Pairing::new(j.w, held.curve, held.earlier, held.knee);
        let there = conductance * (own / turns) * (own / turns);
        let [with, without] =
            [Shape::Leak(there), Shape::Same].map(|shape| pairing.fit(shape).misfit);
        against += 0.5 * (with - without);
        seen += 1;
    }
    let remark = match (seen, against < 0.0) {
        (0, _) => "no other core is held against an earlier curve, which would tell them apart",
        (_, true) => "the other cores show it as well, by the square of their turns",
        (_, false) => "the other cores do not show it",
    };
    let price = if contrary { AGAINST_THE_RECORD } else { 0.0 };
    Some((against + price, remark.into()))
}

fn siemens(conductance: f64) -> Quantity {
    match conductance < 1.0 {
        true => Quantity::new(short(1e3 * conductance), "mS"),
        false => Quantity::new(short(conductance), "S"),
    }
}

/// Flux left in the core: the low end is raised, the knee is not.
fn offset(j: &Judging<'_>, beside: &Beside<'_>, pairing: &Pairing<'_>) -> Way {
    let magnetised = after_dc(j, beside.now);
    let price = if magnetised {
        OF_A_KNOWN_SIZE
    } else {
        OF_A_FREE_SIZE
    };
    // How far up it shows depends on iron and history.
    let best = |power: f64| {
        let best = pairing.best(|times| Shape::Offset(times, power), (1.03, 20.0));
        best.misfit
    };
    let misfit = [1.5, 2.5, 3.5]
        .map(best)
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let remark = "direct current was on this core before, and it was not demagnetised after";
    Way {
        rule: &rules::RESIDUAL_MAGNETISM,
        cost: 0.5 * misfit + price,
        observed: "the current is higher at the low end and not at the knee".into(),
        remark: magnetised.then(|| remark.into()),
    }
}

/// Less iron, or fewer turns that the ratio does not show: the core saturates at a lower voltage.
fn bend(pairing: &Pairing<'_>) -> Way {
    let best = pairing.best(Shape::Bend, (0.7, 0.985));
    let Shape::Bend(times) = best.shape else {
        return Way {
            rule: &rules::KNEE_LOWER,
            cost: f64::INFINITY,
            observed: Phrase::default(),
            remark: None,
        };
    };
    Way {
        rule: &rules::KNEE_LOWER,
        cost: 0.5 * best.misfit + OF_A_FREE_SIZE + OF_THE_TRANSFORMER,
        observed: say!(
            "the core saturates at {} of the voltage of then, and takes the same current below",
            quantity(100.0 * times, 3, unit::PERCENT)
        ),
        remark: None,
    }
}

/// Whether the last thing before this curve that touched the core's flux was a direct current.
fn after_dc(j: &Judging<'_>, excited: &Excited) -> bool {
    let core = excited.pair.core;
    let before = j.case.visit.tests.iter().take(excited.test);
    let mut dc = false;
    for test in before.filter(|test| test.touches(core)) {
        match test.flux_on(core) {
            Flux::Remains => dc = true,
            Flux::Cleared => dc = false,
            Flux::Measured | Flux::Untouched => {}
        }
    }
    dc
}
