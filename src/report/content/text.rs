//! Words and numbers as the report prints them: burdens, ratios, dashes, headings.

use super::Ctx;
use crate::document;
pub(super) use crate::document::NONE;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::Record;
use crate::standards::Family;
use crate::trade::{Burden, Ratio};

impl Ctx<'_> {
    /// A quantity as written, with the sign of its unit.
    pub(super) fn quantity(&self, quantity: &Quantity) -> String {
        self.pen.quantity(&document::Quantity {
            number: quantity.written_number(),
            u: quantity.written_half_width(),
            unit: quantity.unit.canonical.as_str(),
        })
    }

    /// `15 VA at 0.80`, `B-0.5`, `connected`.
    pub(super) fn burden(&self, burden: &Burden) -> String {
        let number = |x: String| self.pen.mark(&x);
        match burden {
            Burden::Power {
                va: size,
                power_factor,
            }
            | Burden::Impedance {
                ohm: size,
                power_factor,
            } => {
                let factor = power_factor.map(|factor| number(format!(" at {factor:.2}")));
                self.quantity(size) + &factor.unwrap_or_default()
            }
            Burden::Range { least, va } => {
                format!("{} to {}", number(least.to_string()), self.quantity(va))
            }
            Burden::Designation(text) => text.clone(),
            Burden::Connected => "connected".to_owned(),
            Burden::Shorted => "shorted".to_owned(),
        }
    }
}

/// `600/1 A`, or `1200:5 A` where the plate is of the IEEE family.
pub(super) fn ratio(record: &Record, ratio: Ratio) -> String {
    let ieee = record.plate.family() == Family::Ieee;
    let text = ratio.text();
    let text = if ieee { text.replace('/', ":") } else { text };
    format!("{text} A")
}

/// A text of the record; a dash where there is none.
pub(super) fn text(given: &Given<String>) -> String {
    given.value().map_or(NONE, String::as_str).to_owned()
}
