//! A main CT and the interposing CT that it feeds, taken as one.

use crate::derive::component::Component;
use crate::derive::formula::{formulas, symbol};
use crate::derive::kindred::{Erred, Loaded};
use crate::derive::label::Label;
use crate::derive::workings::{Origin, Uncertainty, Value, Workings};
use crate::ground::span::Span;

formulas! {
    static ERROR = "overall-error", "error of main and interposing CT together":
        "em + ei" ("%") of [
            symbol("em", "%", "error of the main CT"),
            symbol("ei", "%", "error of the interposing CT"),
        ], |[em, ei]| em + ei,
        "product of two ratios; the product of the two errors is left out";
}

/// Sum of an error and that of the main CT, whose uncertainty is a part of its own: the two were read apart.
pub fn error(w: &mut Workings, main: &Erred, own: Value, fed_by: Span) -> Option<Value> {
    let what = "error of the main CT, as its record has it";
    let entered = of_main(w, (what, "%"), (main.error, main.spread), fed_by);
    w.step(&ERROR, [entered, own])
}

/// The circuit of the main CT as it was read there, the interposing CT in it, ohm.
pub fn circuit(w: &mut Workings, main: &Loaded, fed_by: Span) -> Value {
    let what = "burden of the main CT, as its record has it";
    of_main(w, (what, "ohm"), (main.z, main.spread), fed_by)
}

/// A value out of the ledger of the main CT.
fn of_main(
    w: &mut Workings,
    (what, unit): (&'static str, &'static str),
    (value, spread): (f64, Uncertainty),
    fed_by: Span,
) -> Value {
    let origin = Origin::Given { span: fed_by };
    let of = Label::from(what);
    let entered = w.enter(of.clone(), unit, value, origin);
    if spread.known {
        let part = Component::Stated { of, at: fed_by };
        w.add_part(entered, part, spread.u);
    }
    entered
}
