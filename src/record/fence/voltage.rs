//! What alternating voltage shows of insulation, a thousand or a hundred times off: volts under a heading in kV, a
//! fraction under one in per cent, a capacitance that no insulation has.

use super::Fenced;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::threshold;
use crate::trade::Item;

pub(super) fn fence(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    for (index, _, body) in visit.of(Test::withstand) {
        for row in &body.rows {
            let from = row.between.value().map(|between| between.from.as_slice());
            let most = match from {
                Some(from) if !from.contains(&Item::Primary) => "withstand-winding-most",
                _ => "withstand-primary-most",
            };
            out.extend(too_high(index, &row.voltage, most));
        }
    }
    for (index, _, body) in visit.of(Test::inter_turn) {
        let rows = body.rows.iter();
        out.extend(rows.filter_map(|row| {
            let most = too_high(index, &row.peak, "withstand-winding-most");
            most.or_else(|| too_low(index, &row.peak, threshold("inter-turn-least")?.limit))
        }));
    }
    let highest = record.plate.highest_voltage.value().map(|volts| volts.si);
    for (index, _, body) in visit.of(Test::partial_discharge) {
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

/// A test voltage that no winding of its kind is made for.
fn too_high(test: usize, given: &Given<Quantity>, most: &str) -> Option<Fenced> {
    let most = threshold(most)?.limit;
    let read = given.get().filter(|read| read.value.si > most)?;
    let told = words::volts_for_kilovolts(&read.value, read.span);
    Some(Fenced::reading(test, read.span, told))
}
