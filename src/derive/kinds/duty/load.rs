//! The burden of the circuit: stated by the duty, measured, or computed from the leads.

use crate::derive::formula::{formulas, symbol};
use crate::derive::kinds::protection::Ground;
use crate::derive::kinds::protection::burden::{Impedance, connected, resistive};
use crate::derive::workings::{Value, Workings};
use crate::record::duty::{Duty, Returns};
use crate::standards::threshold;

/// The burden of the circuit.
#[derive(Clone, Copy, Debug)]
pub struct Load {
    pub impedance: Impedance,
    pub from: LoadFrom,
}

/// Where a burden comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadFrom {
    Duty,
    Measured,
    /// Length and section of the leads, and the relay burden.
    Leads,
}

const MANUAL: &str = "a relay maker's manual, lead resistance example, 0.0175 ohm mm2/m";

formulas! {
    static LEADS = "lead-resistance", "resistance of the leads":
        "k*p*l/A" ("ohm") of [
            symbol("k", "", "lengths that carry the current: 2 with a full return, else 1"),
            symbol("p", "ohm m", "resistivity of copper"),
            symbol("l", "m", "length of the leads, one way"),
            symbol("A", "m2", "cross-section of a lead"),
        ], |[k, p, l, a]| k * p * l / a, MANUAL;

    static WITH_RELAY = "leads-and-relay", "leads and relay":
        "R + Z" ("ohm") of [
            symbol("R", "ohm", "resistance of the leads"),
            symbol("Z", "ohm", "burden of the relay"),
        ], |[r, z]| r + z, "arithmetic sum, never less than the phasor sum";
}

/// The burden that the duty states, else the measured one, else that of leads and relay.
pub(super) fn of(ground: &Ground<'_>, w: &mut Workings, duty: &Duty) -> Option<Load> {
    let isr = ground.isr(w).ok()?;
    let (impedance, from) = if let Some(stated) = resistive(w, &duty.burden, isr) {
        (stated, LoadFrom::Duty)
    } else if let Some(measured) = connected(w, ground.derived, ground.pair) {
        (measured.impedance, LoadFrom::Measured)
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
    Some(Load { impedance, from })
}

fn leads(w: &mut Workings, duty: &Duty) -> Option<Value> {
    let (length, section) = (duty.lead_length.get()?, duty.lead_section.get()?);
    let count = match duty.lead_returns.value() {
        Some(Returns::None) => 1.0,
        Some(Returns::Full) | None => 2.0,
    };
    let at = duty.lead_returns.span().unwrap_or(duty.span);
    let k = w.number("lengths that carry the current", "", count, at);
    let row = threshold("copper-resistivity")?;
    let p = w.cited("resistivity of copper", "ohm m", row.limit, &row.cited);
    let l = w.plate("length of the leads", length);
    let a = w.plate("cross-section of a lead", section);
    w.step(&LEADS, [k, p, l, a]).filter(|r| r.si >= 0.0)
}
