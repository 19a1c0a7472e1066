//! What relays and meters show of a current that was fed into their circuit.

use crate::derive::deriving::{Deriving, exact, written};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::outcome::Outcome;
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

    static SHARE = "injection-share", "share of rated secondary current that was fed":
        "100*i/Isr" ("%") of [
            symbol("i", "A", "current that was fed"),
            symbol("Isr", "A", "rated secondary current"),
        ], |[i, isr]| i / isr * 100.0, "rated secondary current of the plate";

    static UNFED = "injection-unfed", "current shown of a phase that is not fed, as a share of the rated one":
        "100*r/(Isr*n)" ("%") of [
            symbol("r", "A", "current that is shown"),
            symbol("Isr", "A", "rated secondary current"),
            symbol("n", "", "ratio that the relay or meter is set to, 1 where it shows secondary current"),
        ], |[r, isr, n]| r / (isr * n) * 100.0, "rated secondary current of the plate";
}

/// One reading beside what was fed.
#[derive(Clone, Debug)]
pub struct Shown {
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    pub found: Found,
    pub readings: Vec<Span>,
}

/// What a reading comes to.
#[derive(Clone, Copy, Debug)]
pub enum Found {
    Fed {
        /// Current that is to be shown, ampere: secondary, or primary by the ratio that is set.
        expected: Value,
        /// Error of the reading, per cent.
        error: Value,
        /// Share of rated secondary current that was fed, per cent.
        share: Option<Value>,
    },
    /// Of a phase that was not fed: share of rated current that is shown, per cent; a bound of what is shown is one of it.
    Unfed(Outcome),
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
    let (fed, reading) = (exact(&row.current)?, row.reading.get()?);
    let is_fed = fed.value.si != 0.0;
    // An error is that of a value; that a phase is quiet a bound shows too.
    if row.ratio.is_unreadable() || (is_fed && !reading.value.is_exact()) {
        return None;
    }
    let shown = d.w.stated("current that is shown", reading);
    let what = "ratio that the relay or meter is set to";
    let set = row.ratio.get();
    let set = set.map(|ratio| d.w.number(what, "", ratio.value.value(), ratio.span));
    let core = row.core?;
    let pair = d.serving_alone(core).ok().map(|(pair, _)| pair);
    let isr = pair.or_else(|| d.full(core)).and_then(|pair| d.isr(pair));
    let found = if !is_fed {
        let isr = isr?;
        let n = set.unwrap_or_else(|| d.w.constant(what, "", 1.0, "it shows secondary current"));
        let share = d.w.step(&UNFED, [shown, isr, n])?;
        Found::Unfed(Outcome::read(share, reading.value.bound))
    } else {
        let fed = d.read(test, Current, "current that was fed", fed);
        let expected = match set {
            None => fed,
            Some(n) => d.w.step(&EXPECTED, [fed, n])?,
        };
        let error = d.w.step(&ERROR, [shown, expected])?;
        let share = isr.and_then(|isr| d.w.step(&SHARE, [fed, isr]));
        Found::Fed {
            expected,
            error,
            share,
        }
    };
    Some(Shown {
        test: index,
        row: place,
        found,
        readings: written([row.reading.span(), row.current.span()]),
    })
}
