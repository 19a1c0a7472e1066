//! The instrument against itself: both inputs on one source, and the resistance of its leads.

use crate::derive::case::Case;
use crate::derive::formula::formulas;
use crate::derive::formula::symbol;
use crate::derive::input;
use crate::derive::workings::{Origin, Value, Workings};
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::readings::Measure;

formulas! {
    static DEVIATION = "self-check-deviation", "deviation of the instrument from 1:1":
        "100*(q - 1)" ("%") of [symbol("q", "", "ratio shown with both inputs on one source")],
        |[q]| 100.0 * (q - 1.0), "relative deviation in per cent";
}

/// One self-check.
#[derive(Clone, Debug)]
pub struct Checked {
    /// Index of the test in the visit.
    pub test: usize,
    /// Deviation from 1:1 as shown, per cent. The instrument's own limit of error is what is
    /// checked, so it is no part of the uncertainty.
    pub deviation: Option<Value>,
    /// Resistance of the leads, clips shorted together, ohm.
    pub leads: Option<Value>,
    /// What was written, ratio first.
    pub readings: Vec<Span>,
    /// Something in the section was not understood, here.
    pub doubtful: Option<Span>,
}

/// Derives all self-checks of a visit.
pub fn derive(case: &Case<'_>, w: &mut Workings) -> Vec<Checked> {
    let mut found = Vec::new();
    for (index, test, body) in case.visit.of(Test::self_check) {
        let ratio = body.ratio_of_one.get().copied();
        let shown = ratio.map(|q| {
            w.reading(
                "ratio of 1 as shown",
                "",
                q.value,
                Origin::Given { span: q.span },
                &[],
            )
        });
        let leads = body.leads.get().filter(|leads| leads.value.is_exact());
        found.push(Checked {
            test: index,
            deviation: shown.and_then(|q| w.step(&DEVIATION, [q])),
            leads: leads.map(|leads| {
                input::reading(
                    w,
                    case,
                    test,
                    Measure::Resistance,
                    "resistance of the leads",
                    leads,
                )
            }),
            readings: [body.ratio_of_one.span(), body.leads.span()]
                .into_iter()
                .flatten()
                .collect(),
            doubtful: test.doubtful.or_else(|| unreadable(body)),
        });
    }
    found
}

fn unreadable(body: &crate::record::kinds::self_check::SelfCheck) -> Option<Span> {
    let ratio = body
        .ratio_of_one
        .span()
        .filter(|_| body.ratio_of_one.is_unreadable());
    ratio.or_else(|| body.leads.span().filter(|_| body.leads.is_unreadable()))
}
