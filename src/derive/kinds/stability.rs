//! The operating current of a differential zone as a share of the restraining one.

use crate::derive::deriving::{Deriving, exact, written};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::workings::Value;
use crate::ground::number::Bound;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::stability::StabilityRow;

const RESTRAIN: Symbol = symbol("b", "A", "restraining current");

formulas! {
    static SPILL = "stability-share", "operating current as a share of the restraining one":
        "100*o/b" ("%") of [symbol("o", "A", "operating current"), RESTRAIN],
        |[o, b]| o / b * 100.0, "ratio of two currents of one relay";

    static SHARE = "stability-restrain", "restraining current as a share of rated secondary current":
        "100*b/Isr" ("%") of [RESTRAIN, symbol("Isr", "A", "rated secondary current")],
        |[b, isr]| b / isr * 100.0, "rated secondary current of the plate";
}

/// One reading of a zone.
#[derive(Clone, Debug)]
pub struct Balance {
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    /// Operating over restraining current, per cent.
    pub spill: Value,
    /// On which side of it the truth lies: of a current that is next to nothing a relay shows a bound.
    pub bound: Bound,
    /// Restraining over rated secondary current, per cent.
    pub share: Option<Value>,
    pub readings: Vec<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Balance> {
    let mut found = Vec::new();
    for (index, _, stability) in d.visit.of(Test::stability) {
        for (place, row) in stability.rows.iter().enumerate() {
            found.extend(one(d, index, (place, row)));
        }
    }
    found
}

/// The relay shows both, each to its last digit.
fn one(d: &mut Deriving<'_>, test: usize, (place, row): (usize, &StabilityRow)) -> Option<Balance> {
    let (operate, restrain) = (row.operate.get()?, exact(&row.restrain)?);
    // A bound of what counts either way says nothing of its size.
    if !operate.value.is_exact() && operate.value.si < 0.0 {
        return None;
    }
    let o = d.w.stated("operating current", operate);
    let b = d.w.stated("restraining current", restrain);
    let pair = row.core.and_then(|core| d.serving_alone(core).ok());
    let isr = pair.and_then(|(pair, _)| d.isr(pair));
    Some(Balance {
        test,
        row: place,
        spill: d.w.step(&SPILL, [o, b])?,
        bound: operate.value.bound,
        share: isr.and_then(|isr| d.w.step(&SHARE, [b, isr])),
        readings: written([row.operate.span(), row.restrain.span()]),
    })
}
