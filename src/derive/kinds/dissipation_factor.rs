//! Capacitance and dissipation factor as read, row by row. Nothing is corrected: neither for the temperature,
//! whose effect no table here gives for paper in oil, nor for the voltage.

use crate::derive::deriving::{Deriving, exact, unreadable};
use crate::derive::label::Label;
use crate::derive::outcome::Outcome;
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::readings::Measure;
use crate::record::schema::FoundBy;
use crate::trade::Between;

/// What one row shows.
#[derive(Clone, Debug)]
pub struct Insulated {
    /// Index of the test in the visit.
    pub test: usize,
    pub between: Option<Between>,
    /// Test voltage, volt; `None` when nobody wrote it.
    pub voltage: Option<f64>,
    /// Farad.
    pub capacitance: Option<Outcome>,
    /// Per cent.
    pub factor: Option<Outcome>,
    /// Degree Celsius; `None` when nobody wrote it.
    pub temperature: Option<Value>,
    /// How that temperature was found.
    pub temperature_by: Option<FoundBy>,
    pub at: Span,
    /// Something in the section was not understood, here.
    pub doubtful: Option<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Insulated> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::dissipation_factor) {
        let stated = d.temperature(test);
        let what = "temperature of the insulation";
        let temperature = stated.map(|stated| d.stated_temperature(test, what, stated));
        for (n, row) in body.rows.iter().enumerate() {
            let mut sided = |measure, what, given| {
                let reading = Label::row(what, n + 1);
                Some(d.read_sided(test, measure, reading, given?))
            };
            let (capacitance, factor) = (row.capacitance.get(), row.factor.get());
            let capacitance = sided(Measure::Capacitance, "capacitance", capacitance);
            let factor = sided(Measure::DissipationFactor, "dissipation factor", factor);
            if capacitance.is_none() && factor.is_none() {
                continue;
            }
            let unread = unreadable([&row.voltage, &row.capacitance, &row.factor]);
            let unread = unread.or(row.between.unreadable());
            found.push(Insulated {
                test: index,
                between: row.between.value().cloned(),
                voltage: exact(&row.voltage).map(|voltage| voltage.value.si),
                capacitance,
                factor,
                temperature,
                temperature_by: temperature.and(d.temperature_by(test)),
                at: row.span,
                doubtful: test.doubtful.or(unread),
            });
        }
    }
    found
}
