//! The instrument against itself: both inputs on one source, and the resistance of its leads.

use crate::derive::deriving::{Deriving, written};
use crate::derive::formula::{formulas, symbol};
use crate::derive::workings::{Origin, Value};
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
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Checked> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::self_check) {
        let (ratio, leads) = (&body.ratio_of_one, &body.leads);
        let deviation = ratio.get().and_then(|q| {
            let origin = Origin::Given { span: q.span };
            let shown = d.w.enter("ratio of 1 as shown", "", q.value, origin);
            d.w.step(&DEVIATION, [shown])
        });
        found.push(Checked {
            test: index,
            deviation,
            leads: d.read_exact(test, Measure::Resistance, "resistance of the leads", leads),
            readings: written([ratio.span(), leads.span()]),
            doubtful: test.doubtful.or(ratio.unreadable()).or(leads.unreadable()),
        });
    }
    found
}
