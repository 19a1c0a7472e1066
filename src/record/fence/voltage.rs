//! What alternating voltage shows of insulation, a thousand or a hundred times off: volts under a heading in kV, a
//! fraction under one in per cent.

use super::Fenced;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::record::words;
use crate::standards::threshold;
use crate::trade::Item;

pub(super) fn fence(visit: &Visit, out: &mut Vec<Fenced>) {
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
        out.extend(rows.filter_map(|row| too_high(index, &row.peak, "withstand-winding-most")));
    }
    for (index, _, body) in visit.of(Test::dissipation_factor) {
        out.extend(body.rows.iter().filter_map(|row| {
            let least = threshold("dissipation-factor-least")?.limit;
            let read = row.factor.get().filter(|read| read.value.si < least)?;
            let meant = (read.value.number * 1e8).round() / 1e6;
            let told = words::factor_for_percent(&read.value.written_number(), meant, read.span);
            Some(Fenced::reading(index, read.span, told))
        }));
    }
}

/// A test voltage that no winding of its kind is made for.
fn too_high(test: usize, given: &Given<Quantity>, most: &str) -> Option<Fenced> {
    let most = threshold(most)?.limit;
    let read = given.get().filter(|read| read.value.si > most)?;
    let meant = read.value.number;
    let told = words::volts_for_kilovolts(&read.value.written(), meant, read.span);
    Some(Fenced::reading(test, read.span, told))
}
