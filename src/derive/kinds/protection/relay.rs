//! IEEE classes C and T: exciting current at 20 times rated secondary current through the standard
//! burden. The class binds the whole winding unless the plate says more.

use super::{Accuracy, Check, Ground, Lack};
use crate::derive::accuracy::{AtEmf, LimitingEmf, at_emf, limiting_emf};
use crate::derive::formula::{formulas, symbol};
use crate::derive::workings::{Value, Workings};
use crate::standards::{ieee_burden, ieee_relay};

formulas! {
    static TERMINAL = "terminal-voltage", "voltage left at the terminals":
        "sqrt(E^2 - (K*Isr*Rct)^2*(1 - c^2)) - K*Isr*Rct*c" ("V") of [
            symbol("E", "V", "e.m.f. at the exciting current of the class"),
            symbol("K", "", "multiple of rated secondary current"),
            symbol("Isr", "A", "rated secondary current"),
            symbol("Rct", "ohm", "winding resistance at 75 °C"),
            symbol("c", "", "power factor of the standard burden"),
        ], |[e, k, i, r, c]| {
            let drop = k * i * r;
            (e.powi(2) - drop.powi(2) * (1.0 - c.powi(2))).sqrt() - drop * c
        }, "IEEE C57.13, 6.4.1 (from memory): e.m.f. less the drop in the winding, by phasors";
}

/// What the core gives at the exciting current that the class allows.
#[derive(Clone, Copy, Debug)]
pub struct Given {
    /// That current, ampere.
    pub current: Value,
    /// E.m.f. there, volt.
    pub emf: Value,
    /// What of it is left at the terminals at the multiple of the class, volt.
    pub terminal: Value,
}

/// What a relaying class came to.
#[derive(Clone, Debug)]
pub struct Relay {
    /// `C` or `T`.
    pub letter: char,
    /// Class voltage at 5 A as on the plate.
    pub volts: f64,
    /// Rated secondary current, ampere.
    pub isr: Value,
    pub emf: LimitingEmf,
    /// Exciting current at the phasor sum.
    pub at: AtEmf,
    /// Exciting current at the arithmetic sum.
    pub arithmetic: AtEmf,
    /// Where the readings go that far.
    pub given: Option<Given>,
}

pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    letter: char,
    volts: f64,
) -> Result<Accuracy, Lack> {
    let (isr, rct) = (ground.isr(w)?, ground.rct(w)?);
    let class = ieee_relay(volts).ok_or(Lack::Burden)?;
    let standard = ieee_burden(&class.burden).and_then(|burden| burden.at_secondary(isr.si));
    let burden = standard.ok_or(Lack::Burden)?;
    let what = "impedance of the standard burden";
    let zb = w.cited(what, "ohm", burden.z_ohm, &burden.cited);
    let what = "power factor of the standard burden";
    let c = w.cited(what, "", burden.pf, &burden.cited);
    let what = "multiple of rated secondary current";
    let k = w.cited(what, "", class.multiple, &class.cited);
    let emf = limiting_emf(w, [k, isr], [rct.0, zb, c]).ok_or(Lack::Burden)?;
    let most = class.at_secondary(isr.si).ok_or(Lack::RatedCurrent)?;
    let what = "exciting current that the class allows";
    let current = w.cited(what, "A", most.exciting_limit_a, &most.cited);
    let given = ground.curve.voltage_value(w, current).and_then(|volts| {
        Some(Given {
            current,
            emf: volts,
            terminal: w.step(&TERMINAL, [volts, k, isr, rct.0, c])?,
        })
    });
    let relay = Relay {
        letter,
        volts,
        isr,
        emf,
        at: at_emf(ground.curve, w, emf.phasor),
        arithmetic: at_emf(ground.curve, w, emf.arithmetic),
        given,
    };
    let readings = ground.rows_at(emf.phasor.si);
    Ok(ground.entry(Some(rct), readings, Check::Relay(relay)))
}
