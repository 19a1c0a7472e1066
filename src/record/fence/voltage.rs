//! What is put on insulation and read of it, and cannot be: volts under a heading in kV, a voltage far beyond what a
//! winding is made for, a fraction under one in per cent, a capacitance that no insulation has.

use super::Fenced;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::kinds::Test;
use crate::record::plate::Plate;
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::{self, TestVoltage, Threshold, threshold};
use crate::trade::Item;

pub(super) fn fence(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    for (index, _, body) in visit.of(Test::withstand) {
        for row in &body.rows {
            let made_for = row.between.value().map_or(MadeFor::PRIMARY, |between| {
                MadeFor::of(&record.plate, &between.from)
            });
            out.extend(made_for.too_high(index, &row.voltage));
        }
    }
    for (index, _, body) in visit.of(Test::single_earth) {
        let made_for = MadeFor::winding(standards::withstand_secondary(record.plate.family()));
        let rows = body.rows.iter();
        out.extend(rows.filter_map(|row| made_for.too_high(index, &row.voltage)));
    }
    for (index, _, body) in visit.of(Test::inter_turn) {
        let rows = body.rows.iter();
        out.extend(rows.filter_map(|row| {
            let most = MadeFor::winding(None).too_high(index, &row.peak);
            most.or_else(|| too_low(index, &row.peak, threshold("inter-turn-least")?.limit))
        }));
    }
    let highest = record.plate.highest_voltage.value().map(|volts| volts.si);
    for (index, _, body) in visit.of(Test::partial_discharge) {
        out.extend(MadeFor::primary(&record.plate).too_high(index, &body.prestress));
        out.extend(body.rows.iter().filter_map(|row| {
            let share = threshold("discharge-voltage-least")?.limit / 100.0;
            too_low(index, &row.voltage, share * highest?)
        }));
    }
    for (index, _, body) in visit.of(Test::dissipation_factor) {
        for row in &body.rows {
            let least = threshold("dissipation-voltage-least").map_or(0.0, |row| row.limit);
            out.extend(too_low(index, &row.voltage, least));
            out.extend(too_much(index, &row.capacitance));
        }
        out.extend(body.rows.iter().filter_map(|row| {
            let least = threshold("dissipation-factor-least")?.limit;
            let read = row.factor.get().filter(|read| read.value.si < least)?;
            let meant = (read.value.number * 1e8).round() / 1e6;
            let told = words::factor_for_percent(&read.value.written_number(), meant, read.span);
            Some(Fenced::reading(index, read.span, told))
        }));
    }
}

/// A test voltage that no test of its kind is made with.
fn too_low(test: usize, given: &Given<Quantity>, least: f64) -> Option<Fenced> {
    let read = given.get().filter(|read| read.value.si < least)?;
    let told = words::kilovolts_for_volts(&read.value, read.span);
    Some(Fenced::reading(test, read.span, told))
}

/// A capacitance that no insulation of a transformer has.
fn too_much(test: usize, given: &Given<Quantity>) -> Option<Fenced> {
    let most = threshold("capacitance-most")?.limit;
    let read = given.get().filter(|read| read.value.si > most)?;
    let told = words::capacitance_implausible(&read.value.written(), read.span);
    Some(Fenced::reading(test, read.span, told))
}

/// What a winding is made to hold.
struct MadeFor {
    /// The test voltage that the standard of the plate has for it, V; `None` where that is not known.
    volts: Option<f64>,
    /// What no winding of its kind is made for.
    most: &'static str,
}

impl MadeFor {
    /// A primary, or nobody says what.
    const PRIMARY: Self = Self {
        volts: None,
        most: "withstand-primary-most",
    };

    /// Everything on one side of a test together: the primary, where it is there, has the higher voltage.
    fn of(plate: &Plate, from: &[Item]) -> Self {
        let is_section = |item: &Item| matches!(item, Item::Section(_));
        match from {
            from if from.contains(&Item::Primary) => Self::primary(plate),
            from if from.iter().any(is_section) => {
                Self::winding(standards::withstand_sections(plate.family()))
            }
            _ => Self::winding(standards::withstand_secondary(plate.family())),
        }
    }

    fn primary(plate: &Plate) -> Self {
        let si = |given: &Given<Quantity>| given.value().map(|volts| volts.si);
        let levels = si(&plate.highest_voltage)
            .and_then(|um| standards::withstand(plate.family(), um)?.voltage(si(&plate.bil)));
        let volts = levels.map(|level| match level {
            TestVoltage::One(most) | TestVoltage::Between(_, most) => most,
        });
        Self {
            volts,
            ..Self::PRIMARY
        }
    }

    fn winding(asked: Option<&Threshold>) -> Self {
        Self {
            volts: asked.map(|row| row.limit),
            most: "withstand-winding-most",
        }
    }

    /// A test voltage far beyond it, or beyond what any of its kind is made for.
    fn too_high(&self, test: usize, given: &Given<Quantity>) -> Option<Fenced> {
        let most = threshold(self.most)?.limit;
        let beyond = threshold("withstand-beyond")?.limit;
        let read = given.get()?;
        let (volts, span) = (read.value.si, read.span);
        let told = match self.volts {
            Some(made_for) if volts > beyond * made_for && volts <= most => {
                words::voltage_beyond(&read.value, made_for, span)
            }
            _ if volts > most => words::volts_for_kilovolts(&read.value, span),
            _ => return None,
        };
        Some(Fenced::reading(test, span, told))
    }
}
