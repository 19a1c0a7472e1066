//! A main CT and the interposing CT that it feeds, taken as one.

use crate::derive::component::Component;
use crate::derive::formula::{formulas, symbol};
use crate::derive::kindred::Erred;
use crate::derive::label::Label;
use crate::derive::workings::{Origin, Value, Workings};
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
    let origin = Origin::Given { span: fed_by };
    let of = Label::from("error of the main CT, as its record has it");
    let entered = w.enter(of.clone(), "%", main.error, origin);
    if main.spread.known {
        let part = Component::Stated { of, at: fed_by };
        w.add_part(entered, part, main.spread.u);
    }
    w.step(&ERROR, [entered, own])
}
