//! Apparent charge as read, voltage by voltage.

use crate::derive::deriving::{Deriving, exact};
use crate::derive::label::Label;
use crate::derive::outcome::Outcome;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::readings::Measure;

/// The charge at one voltage.
#[derive(Clone, Debug)]
pub struct Discharge {
    /// Index of the test in the visit.
    pub test: usize,
    /// Test voltage, volt.
    pub voltage: f64,
    /// Coulomb.
    pub charge: Outcome,
    pub at: Span,
    /// Something in the section was not understood, here.
    pub doubtful: Option<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Discharge> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::partial_discharge) {
        for (n, row) in body.rows.iter().enumerate() {
            let (Some(voltage), Some(charge)) = (exact(&row.voltage), row.charge.get()) else {
                continue;
            };
            found.push(Discharge {
                test: index,
                voltage: voltage.value.si,
                charge: d.read_sided(
                    test,
                    Measure::Charge,
                    Label::row("apparent charge", n + 1),
                    charge,
                ),
                at: charge.span,
                doubtful: test.doubtful,
            });
        }
    }
    found
}
