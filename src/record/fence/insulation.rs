//! Voltage and time of an insulation test in each other's column.

use super::Fenced;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::record::words;
use crate::standards::threshold;

pub(super) fn fence(visit: &Visit, out: &mut Vec<Fenced>) {
    for (index, _, body) in visit.of(Test::insulation) {
        let rows = body.rows.iter().map(|row| (&row.voltage, &row.time));
        exchanged(index, rows, out);
    }
    for (index, _, body) in visit.of(Test::single_earth) {
        let rows = body.rows.iter().map(|row| (&row.voltage, &row.time));
        exchanged(index, rows, out);
    }
}

/// Rows of a table whose voltage is a time, and whose time a voltage.
fn exchanged<'r>(
    test: usize,
    rows: impl Iterator<Item = (&'r Given<Quantity>, &'r Given<Quantity>)>,
    out: &mut Vec<Fenced>,
) {
    let (Some(volts_least), Some(time_most)) = (
        threshold("insulation-voltage-least"),
        threshold("insulation-time-most"),
    ) else {
        return;
    };
    let mut told = false;
    for (volts, time) in rows {
        let (Some(volts), Some(time)) = (volts.get(), time.get()) else {
            continue;
        };
        if volts.value.si >= volts_least.limit || time.value.si < time_most.limit {
            continue;
        }
        let (voltage, seconds) = (volts.value.written_number(), time.value.written_number());
        let words = words::voltage_for_time(&voltage, &seconds, volts.span, time.span);
        out.push(Fenced {
            test,
            // Such a slip is one of the whole table.
            told: (!std::mem::replace(&mut told, true)).then_some(words),
            at: vec![volts.span, time.span],
            section: None,
        });
    }
}
