//! Words and numbers as the report prints them: burdens, ratios, dashes, headings.

use super::Ctx;
use crate::ground::date::Date;
use crate::ground::span::Given;
use crate::record::Record;
use crate::trade::{Burden, Ratio};

/// Stands where nothing was written.
pub(super) const NONE: &str = "–";

impl Ctx<'_> {
    /// `15 VA at 0.80`, `B-0.5`, `connected`.
    pub(super) fn burden(&self, burden: &Burden) -> String {
        let factor = |factor: &Option<f64>| {
            factor
                .map(|factor| format!(" at {factor:.2}"))
                .unwrap_or_default()
        };
        let said = match burden {
            Burden::Power { va, power_factor } => {
                format!("{}{}", va.written(), factor(power_factor))
            }
            Burden::Range { least, va } => format!("{least} to {}", va.written()),
            Burden::Impedance { ohm, power_factor } => {
                format!("{}{}", ohm.written(), factor(power_factor))
            }
            Burden::Designation(text) => return text.clone(),
            Burden::Connected => "connected".to_owned(),
            Burden::Shorted => "shorted".to_owned(),
        };
        self.pen.say(&said)
    }
}

/// `600/1 A`, or `1200:5 A` where the plate is of the IEEE family.
pub(super) fn ratio(record: &Record, ratio: Ratio) -> String {
    let mark = if record.plate.family() == crate::standards::Family::Ieee {
        ':'
    } else {
        '/'
    };
    format!("{}{mark}{} A", ratio.primary, ratio.secondary)
}

/// A text of the record; a dash where there is none.
pub(super) fn text(given: &Given<String>) -> String {
    given.value().map_or(NONE, String::as_str).to_owned()
}

pub(super) fn day(date: Option<Date>) -> String {
    date.map_or_else(|| NONE.to_owned(), |date| date.to_string())
}
