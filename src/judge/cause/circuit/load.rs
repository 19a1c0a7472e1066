//! More in the circuit than it should have: long or thin leads, relays in series. Where the sisters have as much, it
//! is the design.

use super::Circuit;
use crate::document::{Phrase, Quantity, say};
use crate::judge::cause::evidence::{By, Evidence, Of};
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::cause::told::about;
use crate::judge::rules::burden as rules;
use crate::judge::words::short;

/// Nearer than this to what it should be, in natural logarithms, a circuit is as the others.
const ALIKE: f64 = 0.3;
/// How much more a circuit is loaded with as a rule, in natural logarithms.
const AS_A_RULE: f64 = 1.2;

pub(super) fn all(evidence: &Evidence<'_>, circuit: &Circuit<'_>) -> Option<Hypothesis> {
    let over = circuit.over.as_ref().map_or(0.0, |(over, _)| *over);
    let on_plate = matches!(circuit.over, Some((_, By::Plate)));
    let own = circuit.r.unwrap_or(0.0).max(circuit.x.unwrap_or(0.0));
    let over = if on_plate { over } else { 0.0 };
    let more = if over > 0.0 { over } else { own };
    if more <= 0.0 {
        return None;
    }
    let is_alike = circuit.is_known() && own < ALIKE;
    let (r, x) = match is_alike {
        true => (0.0, 0.0),
        // Leads have no reactance to speak of, relays have.
        false => (
            circuit.r.unwrap_or(0.0).max(0.0),
            circuit.x.unwrap_or(0.0).max(0.0),
        ),
    };
    let off = more / AS_A_RULE;
    let times = |ln: f64| Quantity::new(about(libm::exp(ln)), "");
    let observed = match (over > 0.0, is_alike) {
        (true, true) => say!(
            "{} times the rated burden, as in {}: the design of the circuit",
            times(over),
            others(evidence, circuit)
        ),
        (true, false) if circuit.is_known() => say!(
            "{} times the rated burden, and {} times what the circuit should have{}",
            times(over),
            times(own),
            what(circuit)
        ),
        (true, false) => say!("{} times the rated burden", times(over)),
        (false, _) => say!(
            "{} times what the circuit should have{}",
            times(own),
            what(circuit)
        ),
    };
    let made = Hypothesis::new(&rules::CIRCUIT_LOAD, circuit.seat(), observed)
        .price(price::OF_A_FREE_SIZE + circuit.of_parts() + 0.5 * off * off)
        .decide("the voltage across each part of the loop while the current is fed in: leads out and back, and each relay");
    let volt_amperes = circuit
        .one
        .va
        .map(|va| Quantity::new(short(libm::round(10.0 * va.si) / 10.0), "VA"));
    let made = match volt_amperes {
        Some(va) => made.remark(say!("{} at rated secondary current", va)),
        None => made,
    };
    Some(circuit.moved(made, evidence, (r, x), true))
}

/// What the load is made of, by its parts.
fn what(circuit: &Circuit<'_>) -> &'static str {
    match circuit.r.zip(circuit.x) {
        Some((r, x)) if r > x + ALIKE => {
            ": more resistance, as of longer or thinner leads or of a bad contact"
        }
        Some((r, x)) if x > r + ALIKE => ": more reactance, as of relays in series",
        Some(_) => ": resistance and reactance alike",
        None => "",
    }
}

fn others(evidence: &Evidence<'_>, circuit: &Circuit<'_>) -> Phrase {
    let families = evidence.families_of(Of::Circuit);
    let items = families.flat_map(|(_, family)| &family.items);
    let mut own = items.filter(|item| circuit.holds(item));
    match own.any(|item| matches!(item.by, By::Sisters(_))) {
        true => "the sisters".into(),
        false => "the earlier visit".into(),
    }
}
