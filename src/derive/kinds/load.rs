//! Current on load against the primary current that another measurement gave.

use crate::derive::deriving::{Deriving, exact, written};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::load::{Load, LoadRow};
use crate::record::readings::Measure::Current;
use crate::trade::Pair;

const EXPECTED_CURRENT: Symbol = symbol("e", "A", "secondary current by the rated ratio");

formulas! {
    static EXPECTED = "load-expected", "secondary current by the rated ratio":
        "I/n" ("A") of [
            symbol("I", "A", "primary current on load"),
            symbol("n", "", "rated ratio of the pair in service"),
        ], |[i, n]| i / n, "rated transformation ratio";

    static DEVIATION = "load-deviation", "deviation of the secondary current on load":
        "100*(i - e)/e" ("%") of [
            symbol("i", "A", "secondary current on load"),
            EXPECTED_CURRENT,
        ], |[i, e]| (i - e) / e * 100.0, "relative deviation";

    static SHARE = "load-share", "share of rated secondary current":
        "100*e/Isr" ("%") of [
            EXPECTED_CURRENT,
            symbol("Isr", "A", "rated secondary current"),
        ], |[e, isr]| e / isr * 100.0, "rated secondary current of the plate";
}

/// One reading on load beside what the primary current makes of it.
#[derive(Clone, Debug)]
pub struct OnLoad {
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    pub pair: Pair,
    /// Secondary current by the rated ratio, ampere.
    pub expected: Value,
    /// The reading's deviation from it, per cent.
    pub deviation: Value,
    /// Share of rated secondary current that is expected, per cent.
    pub share: Option<Value>,
    pub readings: Vec<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<OnLoad> {
    let mut found = Vec::new();
    for (index, test, load) in d.visit.of(Test::load) {
        for (place, row) in load.rows.iter().enumerate() {
            found.extend(one(d, (index, test, load), place, row));
        }
    }
    found
}

fn one(
    d: &mut Deriving<'_>,
    (index, test, load): (usize, &Test, &Load),
    place: usize,
    row: &LoadRow,
) -> Option<OnLoad> {
    let pair = d.in_service(row.core?)?;
    let ratio = d.ratio(pair).filter(|ratio| *ratio > 0.0)?;
    let (primary, current) = (exact(&load.primary_current)?, exact(&row.current)?);
    if primary.value.si <= 0.0 {
        return None;
    }
    let i = d.read(test, Current, "secondary current on load", current);
    let p = d.w.stated("primary current on load", primary);
    let at = d.core(pair)?.span;
    let n =
        d.w.number("rated ratio of the pair in service", "", ratio, at);
    let expected = d.w.step(&EXPECTED, [p, n])?;
    let isr = d.isr(pair);
    Some(OnLoad {
        test: index,
        row: place,
        pair,
        expected,
        deviation: d.w.step(&DEVIATION, [i, expected])?,
        share: isr.and_then(|isr| d.w.step(&SHARE, [expected, isr])),
        readings: written([row.current.span(), load.primary_current.span()]),
    })
}
