//! What relays and meters show of a current that was fed into their circuit.

use crate::derive::deriving::{Deriving, exact, written};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::injection::InjectionRow;
use crate::record::readings::Measure::Current;

const SHOULD_SHOW: Symbol = symbol("e", "A", "current that is to be shown");

formulas! {
    static EXPECTED = "injection-expected", "current that is to be shown":
        "i*n" ("A") of [
            symbol("i", "A", "current that was fed"),
            symbol("n", "", "ratio that the relay or meter is set to"),
        ], |[i, n]| i * n, "rated transformation ratio";

    static ERROR = "injection-error", "error of the current that is shown":
        "100*(r - e)/e" ("%") of [symbol("r", "A", "current that is shown"), SHOULD_SHOW],
        |[r, e]| (r - e) / e * 100.0, "relative deviation";
}

/// One reading beside what was fed.
#[derive(Clone, Debug)]
pub struct Shown {
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    /// Current that is to be shown, ampere: secondary, or primary by the ratio that is set.
    pub expected: Value,
    /// Error of the reading, per cent.
    pub error: Value,
    pub readings: Vec<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Shown> {
    let mut found = Vec::new();
    for (index, test, injection) in d.visit.of(Test::injection) {
        for (place, row) in injection.rows.iter().enumerate() {
            found.extend(one(d, (index, test), (place, row)));
        }
    }
    found
}

/// The source's current is read with the instrument; what a relay shows is its own, to its last digit.
fn one(
    d: &mut Deriving<'_>,
    (index, test): (usize, &Test),
    (place, row): (usize, &InjectionRow),
) -> Option<Shown> {
    let (fed, reading) = (exact(&row.current)?, exact(&row.reading)?);
    if row.ratio.is_unreadable() {
        return None;
    }
    let fed = d.read(test, Current, "current that was fed", fed);
    let shown = d.w.stated("current that is shown", reading);
    let expected = match row.ratio.get() {
        None => fed,
        Some(ratio) => {
            let what = "ratio that the relay or meter is set to";
            let n = d.w.number(what, "", ratio.value.value(), ratio.span);
            d.w.step(&EXPECTED, [fed, n])?
        }
    };
    Some(Shown {
        test: index,
        row: place,
        expected,
        error: d.w.step(&ERROR, [shown, expected])?,
        readings: written([row.reading.span(), row.current.span()]),
    })
}
