//! Voltage and time of an insulation test in each other's column.

use super::Fenced;
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::record::words;
use crate::standards::threshold;

pub(super) fn fence(visit: &Visit, out: &mut Vec<Fenced>) {
    let (Some(volts_least), Some(time_most)) = (
        threshold("insulation-voltage-least"),
        threshold("insulation-time-most"),
    ) else {
        return;
    };
    for (index, _, insulation) in visit.of(Test::insulation) {
        let mut told = false;
        for row in &insulation.rows {
            let (Some(volts), Some(time)) = (row.voltage.get(), row.time.get()) else {
                continue;
            };
            if volts.value.si >= volts_least.limit || time.value.si < time_most.limit {
                continue;
            }
            let (voltage, seconds) = (volts.value.written_number(), time.value.written_number());
            let words = words::voltage_for_time(&voltage, &seconds, volts.span, time.span);
            out.push(Fenced {
                test: index,
                // Such a slip is one of the whole table.
                told: (!std::mem::replace(&mut told, true)).then_some(words),
                at: vec![volts.span, time.span],
                section: None,
            });
        }
    }
}
