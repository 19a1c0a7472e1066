//! The security factor of a measuring core at the burden that is connected. It rises as the burden falls:
//! what the plate states holds at rated burden only.

use super::excitation::CurveAt;
use super::protection::Ground;
use super::protection::burden::{Impedance, connected};
use super::resistance::From;
use crate::derive::accuracy::actual_factor;
use crate::derive::deriving::Deriving;
use crate::derive::outcome::Outcome;
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::standards::threshold;
use crate::trade::{Class, Pair};

/// What the connected circuit makes of a security factor.
#[derive(Clone, Debug)]
pub struct AtConnected {
    pub pair: Pair,
    /// The section of the curve.
    pub at: CurveAt,
    /// FS of the plate.
    pub rated: f64,
    pub burden: Impedance,
    pub rct: (Value, From),
    /// The factor at which the exciting current reaches its share.
    pub found: Outcome,
    pub scaled_from: Option<Pair>,
    pub other_frequency: bool,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<AtConnected> {
    let mut pairs: Vec<Pair> = Vec::new();
    for one in &d.derived.burden {
        let pair = one.pair.ascending();
        if !pairs.contains(&pair) {
            pairs.push(pair);
        }
    }
    pairs.into_iter().filter_map(|pair| of(d, pair)).collect()
}

fn of(d: &mut Deriving<'_>, pair: Pair) -> Option<AtConnected> {
    let ground = Ground::of(d.case, d.derived, pair)?;
    let Some(Class::Measuring {
        security: Some(rated),
        ..
    }) = ground.core.class_of(pair)
    else {
        return None;
    };
    let w = &mut *d.w;
    let found = connected(w, ground.derived, pair)?;
    let (isr, rct) = (ground.isr(w).ok()?, ground.rct(w).ok()?);
    let z = found.impedance.in_loop(w, rct.0)?;
    let share = threshold("iec-instrument-security")?.limit / 100.0;
    let factor = actual_factor(ground.curve, w, isr, z, share);
    Some(AtConnected {
        pair,
        at: ground.at,
        rated: *rated,
        burden: found.impedance,
        rct,
        found: factor,
        scaled_from: ground.excited.scaled_from,
        other_frequency: ground.excited.other_frequency.is_some(),
        readings: ground.rows_of(&factor, isr, z),
        doubtful: ground.excited.doubtful,
    })
}
