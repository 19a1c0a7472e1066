//! Which way the current went: through an open place, past the relays by a short, or through two phases.

use super::Circuit;
use crate::document::{Grade, Quantity, say};
use crate::judge::cause::evidence::Evidence;
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::cause::told::about;
use crate::judge::finding::unit;
use crate::judge::rules::burden as rules;
use crate::judge::words::{quantity, rounded};
use crate::record::kinds::burden::Path;

/// What is left of a circuit with an open place: stray ways of kilohms, ohm, and what that scatters by.
const STRAY: f64 = 4e3;
const OF_STRAY: f64 = 1.3;
/// And it is so much more than it should be, in natural logarithms: ten times.
const OPEN: f64 = 2.3;
/// Of a circuit that is shorted on the way the leads up to there are left: at most so much of it, in natural
/// logarithms, and its reactance goes with the relays.
const SHORTED: f64 = -0.6;
/// Leads have two hundredths of it at least, in natural logarithms, and what that scatters by.
const LEAST_LEFT: f64 = -3.9;
const OF_LEAST: f64 = 0.7;
/// By so much further its reactance has gone, in natural logarithms, and how well that is known. Where it has hardly
/// gone further and much of it is left, that is of relays: a part of the circuit is missing, and no short is on it.
const RELAYS: f64 = 1.0;
const OF_RELAYS: f64 = 0.5;
const HARDLY: f64 = 0.4;
const MUCH: f64 = -1.2;
/// Further off twice the reactance than this, in natural logarithms, it is no second phase.
const TWICE: f64 = 0.35;
/// What a neutral lead has of a circuit's resistance: half of it where all is lead, and less with the relays.
const NEUTRAL: (f64, f64) = (0.05, 0.5);

pub(super) fn open(evidence: &Evidence<'_>, circuit: &Circuit<'_>) -> Option<Hypothesis> {
    let over = circuit.over.as_ref().map(|(over, _)| *over);
    let far = circuit.r.or(over).filter(|far| *far > OPEN)?;
    let z = circuit.one.z.si;
    let off = libm::log(z / STRAY) / OF_STRAY;
    let observed = say!(
        "{}, where leads and relays have {}: an open place",
        quantity(z, 2, unit::OHM),
        quantity(z * libm::exp(-far), 2, unit::OHM)
    );
    let made = Hypothesis::new(&rules::CIRCUIT_OPEN, circuit.seat(), observed)
        .graded(Grade::Fails)
        .price(price::OF_A_KNOWN_SIZE + 0.5 * off * off)
        .decide("the loop again from terminal to terminal along its way: the voltage stands across the open place");
    let (r, x) = (circuit.r.unwrap_or(0.0), circuit.x.unwrap_or(0.0));
    Some(circuit.moved(made, evidence, (r, x), true))
}

pub(super) fn shorted(evidence: &Evidence<'_>, circuit: &Circuit<'_>) -> Option<Hypothesis> {
    let r = circuit.r.filter(|r| *r < SHORTED)?;
    if circuit.x.is_some_and(|x| x > MUCH && r - x < HARDLY) {
        return None;
    }
    let x = circuit.x.map_or(0.0, |x| x.min(r));
    let less = (LEAST_LEFT - r).max(0.0) / OF_LEAST;
    let kept = circuit
        .x
        .map_or(0.0, |x| (RELAYS - (r - x)).max(0.0) / OF_RELAYS);
    let observed = say!(
        "{} of the resistance that it should have, as where only leads are left",
        Quantity::new(rounded(100.0 * libm::exp(r), 2), "%")
    );
    let made = Hypothesis::new(&rules::CIRCUIT_SHORTED, circuit.seat(), observed)
        .price(price::OF_A_FREE_SIZE + circuit.of_parts() + 0.5 * (kept * kept + less * less))
        .decide("the voltage across the relay while the current is fed in: none behind a short");
    Some(circuit.moved(made, evidence, (r, x), false))
}

/// Two phases in series, written as the loop to neutral: twice the relays and the leads, and no neutral lead.
pub(super) fn two_phases(evidence: &Evidence<'_>, circuit: &Circuit<'_>) -> Option<Hypothesis> {
    let two = std::f64::consts::LN_2;
    let twice = circuit.x.is_none_or(|x| (x - two).abs() < TWICE);
    let seen = circuit.r.filter(|r| *r > 0.0 && twice)?;
    let with = |neutral: f64| libm::log(2.0 * (1.0 - neutral));
    let r = seen.clamp(with(NEUTRAL.1), with(NEUTRAL.0));
    let observed = match circuit.x {
        Some(_) => say!(
            "twice the reactance that it should have, and {} times the resistance: two phases in series, without the neutral lead",
            Quantity::new(about(libm::exp(seen)), "")
        ),
        None => say!(
            "{} times the impedance that it should have: as two phases in series, without the neutral lead",
            Quantity::new(about(libm::exp(seen)), "")
        ),
    };
    let unsaid = match circuit.one.path {
        Some(Path::PhaseNeutral | Path::SinglePhase) => 0.0,
        _ => 0.5,
    };
    let made = Hypothesis::new(&rules::CIRCUIT_TWO_PHASES, circuit.seat(), observed)
        .price(price::OF_A_FREE_SIZE)
        .besides(unsaid)
        .decide("the loop again, with one clip on the neutral terminal");
    let over = circuit.over.as_ref();
    let beyond = over.is_some_and(|(over, _)| *over > 0.0);
    Some(circuit.moved(made, evidence, (r, two), beyond))
}
