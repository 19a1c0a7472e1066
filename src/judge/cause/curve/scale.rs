//! A voltmeter that shows something else than the r.m.s. of a sine, or a source of another frequency: every curve of
//! the visit moves along the axis of voltage, or above its knee.

use super::seat;
use crate::derive::kinds::excitation::shape::{Shape, least};
use crate::document::{Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Evidence, LOUDEST};
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::short;
use std::collections::BTreeSet;

/// A source that is no mains wanders by so much, in natural logarithms.
const WANDERS: f64 = 0.05;
/// Ohm that an r.m.s. voltmeter may add in quadrature.
const PEAKS: (f64, f64) = (1e-2, 1e5);
/// That a curve speaks for itself which was taken with another instrument, in natural logarithms.
const OF_ANOTHER: f64 = 4.0;
/// The least that a free frequency is told of.
const LEAST: f64 = 0.01;

pub(super) fn of_volts(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let open = evidence.curves.iter().enumerate();
    let open: Vec<(usize, &Held<'_>)> = open.filter(|(_, held)| held.is_open()).collect();
    let Some((_, first)) = open.iter().find(|(_, held)| held.is_off()) else {
        return Vec::new();
    };
    // One core beside one sister: another section of iron moves a curve along the axis of voltage as well, and nobody
    // knows which of the two is the odd one.
    if open.len() == 1 && first.by == By::Sisters(1) {
        return Vec::new();
    }
    let seat = match open.len() {
        1 => seat(first),
        // One instrument for all.
        _ => seat(first).of_the_unit(),
    };
    // A curve that is as it should be speaks against; less where it was taken with another instrument.
    let instrument = |held: &Held<'_>| {
        let test = j.case.visit.tests.get(held.now.test)?;
        test.instrument.value().or(j.case.visit.instrument.value())
    };
    let own = instrument(first);
    let same_one = |held: &Held<'_>| instrument(held) == own;
    let other = |held: &Held<'_>, shape| {
        let most = if same_one(held) { LOUDEST } else { OF_ANOTHER };
        held.fit(shape).min(held.same() + most)
    };
    // One core that fits beside others that do not is no matter of the source or of the voltmeter.
    let is_of_all = |shape| {
        let cores = |fits: bool| -> BTreeSet<usize> {
            let all = open.iter().filter(|(_, held)| same_one(held));
            let all = all.filter(|(_, held)| (held.fit(shape) < held.same()) == fits);
            all.map(|(_, held)| held.pair().core).collect()
        };
        let (fit, stand) = (cores(true), cores(false));
        fit.len() > 1 || stand.is_subset(&fit)
    };
    let made = |rule: &'static Rule, observed: Phrase, shape: Shape| {
        if !is_of_all(shape) {
            return None;
        }
        let mut made = Hypothesis::new(rule, seat.clone(), observed);
        for (at, held) in &open {
            let left = other(held, shape);
            match left < held.same() {
                true => made = made.curve(*at, left),
                false => made = made.besides(held.same() - left),
            }
        }
        Some(made)
    };
    let crest = std::f64::consts::SQRT_2;
    let form = std::f64::consts::PI / (2.0 * crest);
    let meter = |observed: &'static str, shape| {
        let made = made(&rules::VOLTMETER_SCALE, observed.into(), shape)?;
        Some(made.decide("one voltage of the mains, read on this voltmeter and on a second one"))
    };
    let scales = [
        meter(
            "the voltage is shown as a plain mean, 0.90 of the r.m.s. value",
            Shape::Volts(1.0 / form),
        ),
        meter(
            "the voltage is shown 1.11 times too high, as where 1.11 for a plain mean is in the scale already",
            Shape::Volts(form),
        ),
        meter(
            "the voltage is shown as a peak, 1.41 times the r.m.s. value",
            Shape::Volts(crest),
        ),
    ];
    let mut all: Vec<Hypothesis> = scales.into_iter().flatten().collect();
    // How far the voltage drops in the source, and so its wave, is another thing for each core.
    let peaky: Vec<f64> = open
        .iter()
        .map(|(_, held)| match held.takes_more().1 {
            true => held.same(),
            false => 0.5 * held.pairing.best(Shape::Peaky, PEAKS).misfit,
        })
        .collect();
    let observed =
        "above the knee the voltage is shown higher than before, as the r.m.s. of a peaky wave";
    let sense = Hypothesis::new(&rules::VOLTMETER_SENSE, seat.clone(), observed)
        .price(price::OF_A_FREE_SIZE + 0.5 * price::OF_A_LIST)
        .decide("the readings above the knee again with a voltmeter that senses the mean");
    let bent = open.iter().zip(peaky);
    let bent = bent.filter(|((_, held), left)| *left < held.same());
    all.push(bent.fold(sense, |made, ((at, _), left)| made.curve(*at, left)));
    let rated = j.case.record.plate.frequency.value();
    let rated = rated.map_or(50.0, |rated| rated.si);
    let source = |hertz: f64| {
        let shown = Quantity::new(short(libm::round(10.0 * hertz) / 10.0), "Hz");
        let observed = say!("the voltage is that of a source of {}", shown);
        let made = made(
            &rules::SOURCE_FREQUENCY,
            observed,
            Shape::Volts(hertz / rated),
        )?;
        Some(made.decide("the frequency of the source at the leads"))
    };
    all.extend(source(if rated < 55.0 { 60.0 } else { 50.0 }));
    let together = |times: f64| -> f64 {
        let all = open.iter();
        all.map(|(_, held)| other(held, Shape::Volts(times))).sum()
    };
    let free = least(together, (1.0 / 1.12, 1.12));
    let off = libm::log(free) / WANDERS;
    if libm::log(free).abs() > LEAST {
        let size = price::OF_A_FREE_SIZE + price::OF_A_LIST + 0.5 * off * off;
        all.extend(source(free * rated).map(|made| made.price(size)));
    }
    all
}
