//! The burden of a run, and the rated one of a pair, in volt-amperes.

use crate::derive::case::Case;
use crate::derive::deriving::Deriving;
use crate::ground::span::Span;
use crate::record::kinds::ratio::RatioTest;
use crate::trade::{Burden, Pair};

/// What was on the secondary.
#[derive(Clone, Debug, PartialEq)]
pub enum Burdened {
    /// A burden box or a stated impedance, VA at rated secondary current.
    Stated {
        va: f64,
        power_factor: Option<f64>,
    },
    /// By its designation, such as `B-0.5`; its VA stand in the tables of limits.
    Designated(String),
    /// The circuit in service, as measured at this visit.
    Connected {
        va: Option<f64>,
        power_factor: Option<f64>,
    },
    Shorted,
    /// Nobody says.
    Unknown,
}

/// The burden that a section names.
pub(super) fn of(d: &Deriving<'_>, body: &RatioTest, pair: Pair) -> Burdened {
    match body.burden.value() {
        None => Burdened::Unknown,
        Some(Burden::Connected) => {
            let known = d.derived.loop_of(pair);
            Burdened::Connected {
                va: known.and_then(|known| known.va).map(|va| va.si),
                power_factor: known.and_then(|known| known.power_factor).map(|pf| pf.si),
            }
        }
        Some(Burden::Shorted) => Burdened::Shorted,
        Some(Burden::Designation(name)) => Burdened::Designated(name.clone()),
        Some(stated) => match va(d, stated, pair) {
            Some((va, power_factor)) => Burdened::Stated { va, power_factor },
            None => Burdened::Unknown,
        },
    }
}

/// Volt-amperes at rated secondary current with the power factor if stated.
fn va(case: &Case<'_>, burden: &Burden, pair: Pair) -> Option<(f64, Option<f64>)> {
    match burden {
        Burden::Power { va, power_factor } => Some((va.si, *power_factor)),
        Burden::Range { va, .. } => Some((va.si, None)),
        Burden::Impedance { ohm, power_factor } => {
            let secondary = case.rated_secondary(pair)?;
            Some((ohm.si * secondary * secondary, *power_factor))
        }
        Burden::Designation(_) | Burden::Connected | Burden::Shorted => None,
    }
    .filter(|(va, _)| va.is_finite() && *va > 0.0)
}

/// The rated burden of a pair as written: the tap's own, else the core's for the full winding.
pub fn rated_burden<'a>(case: &Case<'a>, pair: Pair) -> Option<(&'a Burden, Span)> {
    let core = case.core(pair)?;
    let own = core.tap(pair.from, pair.to).map(|tap| &tap.burden);
    let own = own.filter(|burden| !burden.is_missing());
    let given = own.or_else(|| core.is_full(pair).then_some(&core.burden));
    given?.get().map(|located| (&located.value, located.span))
}

/// Volt-amperes and power factor of the rated burden, where it is not a designation.
pub(super) fn rated(case: &Case<'_>, pair: Pair) -> Option<(f64, Option<f64>)> {
    va(case, rated_burden(case, pair)?.0, pair)
}
