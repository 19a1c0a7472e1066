//! Currents fed into a circuit that no relay is fed with: nearly always mA under a heading in A.

use super::Fenced;
use crate::record::kinds::Test;
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::threshold;

pub(super) fn fence(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    for (index, _, injection) in visit.of(Test::injection) {
        out.extend(injection.rows.iter().filter_map(|row| {
            let rated = record.cores.get(row.core?)?.rated_secondary()?;
            let most = threshold("injection-implausible")?.limit * rated;
            let fed = row.current.get().filter(|fed| fed.value.si > most)?;
            let (written, times) = (fed.value.written(), fed.value.si / rated);
            let told = words::injection_implausible(&written, rated, times, fed.span);
            Some(Fenced::reading(index, fed.span, told))
        }));
    }
}
