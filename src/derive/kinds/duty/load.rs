//! The burden of the circuit: measured, stated by the duty, or computed from the leads.

use crate::derive::conductor::reference;
use crate::derive::formula::{formulas, symbol};
use crate::derive::kinds::protection::Ground;
use crate::derive::kinds::protection::burden::{Impedance, connected, resistive};
use crate::derive::workings::{Value, Workings};
use crate::record::duty::{Duty, Returns};
use crate::standards::{Family, Metal, conductor_constant, threshold};

/// The burden of the circuit.
#[derive(Clone, Copy, Debug)]
pub struct Load {
    pub impedance: Impedance,
    pub from: LoadFrom,
    /// What the duty states, ohm, where the measured one counts.
    pub stated: Option<Value>,
}

/// Where a burden comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadFrom {
    Duty,
    Measured,
    /// Length of the leads with their section or resistance per length, and the relay burden.
    Leads,
}

const MANUAL: &str = "a relay maker's manual, lead resistance example, 0.0175 ohm mm2/m";

formulas! {
    static LEADS = "lead-resistance", "resistance of the leads":
        "k*p*l/A" ("ohm") of [
            symbol("k", "", "lengths that carry the current: 2 with a full return, else 1"),
            symbol("p", "ohm m", "resistivity of copper at 20 °C"),
            symbol("l", "m", "length of the leads, one way"),
            symbol("A", "m2", "cross-section of a lead"),
        ], |[k, p, l, a]| k * p * l / a, MANUAL;

    static BY_LENGTH = "lead-resistance-by-length", "resistance of the leads, by that per length":
        "k*r*l" ("ohm") of [
            symbol("k", "", "lengths that carry the current: 2 with a full return, else 1"),
            symbol("r", "ohm/m", "resistance per length of a lead at 20 °C"),
            symbol("l", "m", "length of the leads, one way"),
        ], |[k, r, l]| k * r * l, "series connection of equal lengths";

    static WARM = "lead-resistance-warm", "resistance of the leads at their temperature":
        "R*(k + t)/(k + 20)" ("ohm") of [
            symbol("R", "ohm", "resistance of the leads at 20 °C"),
            symbol("k", "degC", "constant of copper"),
            symbol("t", "degC", "temperature of the leads"),
        ], |[r, k, t]| r * (k + t) / (k + 20.0),
        "linear law of resistance, as of a winding";

    static WITH_RELAY = "leads-and-relay", "leads and relay":
        "R + Z" ("ohm") of [
            symbol("R", "ohm", "resistance of the leads"),
            symbol("Z", "ohm", "burden of the relay"),
        ], |[r, z]| r + z, "arithmetic sum, never less than the phasor sum";
}

/// The measured burden, else the one that the duty states, else that of leads and relay.
pub(super) fn of(ground: &Ground<'_>, w: &mut Workings, duty: &Duty) -> Option<Load> {
    let isr = ground.isr(w).ok()?;
    let stated = resistive(w, &duty.burden, isr);
    let mut other = None;
    let (impedance, from) = if let Some(measured) = measured(ground, w) {
        other = stated.map(|stated| stated.z);
        (measured, LoadFrom::Measured)
    } else if let Some(stated) = stated {
        (stated, LoadFrom::Duty)
    } else {
        let r = leads(w, duty)?;
        let z = match resistive(w, &duty.relay_burden, isr) {
            Some(relay) => w.step(&WITH_RELAY, [r, relay.z])?,
            None => r,
        };
        let what = "power factor of leads and relay";
        let impedance = Impedance {
            z,
            power_factor: w.number(what, "", 1.0, duty.span),
            stated: false,
        };
        (impedance, LoadFrom::Leads)
    };
    Some(Load {
        impedance,
        from,
        stated: other,
    })
}

/// The measured loop: of the tap in service, else of another pair of the core, since the circuit is the
/// same.
fn measured(ground: &Ground<'_>, w: &mut Workings) -> Option<Impedance> {
    let before = ground.derived.before.iter().rev();
    let loops = ground.derived.burden.iter();
    let loops = loops.chain(before.flat_map(|before| &before.burden));
    let loops = loops.map(|one| one.pair.ascending());
    let others = loops.filter(|pair| pair.core == ground.pair.core);
    let mut pairs = std::iter::once(ground.pair).chain(others);
    let found = pairs.find_map(|pair| connected(w, ground.derived, pair))?;
    Some(found.impedance)
}

fn leads(w: &mut Workings, duty: &Duty) -> Option<Value> {
    let length = duty.lead_length.get()?;
    let count = match duty.lead_returns.value() {
        Some(Returns::None) => 1.0,
        Some(Returns::Full) | None => 2.0,
    };
    let at = duty.lead_returns.span().unwrap_or(duty.span);
    let k = w.number("lengths that carry the current", "", count, at);
    let l = w.plate("length of the leads", length);
    let cold = if let Some(per_length) = duty.lead_resistance.get() {
        let r = w.plate("resistance per length of a lead", per_length);
        w.step(&BY_LENGTH, [k, r, l])
    } else {
        let a = w.plate("cross-section of a lead", duty.lead_section.get()?);
        let row = threshold("copper-resistivity")?;
        let p = w.cited("resistivity of copper", "ohm m", row.limit, &row.cited);
        w.step(&LEADS, [k, p, l, a])
    };
    let cold = cold.filter(|r| r.si >= 0.0)?;
    let copper = conductor_constant(Family::Iec, Metal::Copper, false)?;
    let constant = w.cited("constant of copper", "degC", copper.k, &copper.cited);
    let t = match duty.lead_temperature.get() {
        Some(stated) => w.plate("temperature of the leads", stated),
        None => {
            let row = reference()?;
            w.cited("temperature of the leads", "degC", row.limit, &row.cited)
        }
    };
    w.step(&WARM, [cold, constant, t])
}
