//! Readings beyond what the instrument measures: nothing is known of how far off they are.

use super::Fenced;
use crate::ground::span::{Given, Located};
use crate::record::instruments::Instruments;
use crate::record::kinds::TestKind;
use crate::record::visit::Visit;
use crate::record::words;

/// So many times its range no instrument shows.
const FAR: f64 = 10.0;

pub(super) fn fence(visit: &Visit, instruments: &Instruments, out: &mut Vec<Fenced>) {
    for (index, test) in visit.tests.iter().enumerate() {
        let id = test.instrument.value().or(Given::value(&visit.instrument));
        let Some(instrument) = id.and_then(|id| instruments.find(id)) else {
            continue;
        };
        let name = test.kind.name();
        for (measure, Located { value, span }) in &test.readings {
            let measure = *measure;
            let mut functions = instrument.functions_for(measure, name).peekable();
            let inside = instrument.function(measure, name, value.si).is_some();
            // A phase that was not fed has no current that a source could give too little of.
            let unfed = test.kind == TestKind::Injection && value.si == 0.0;
            if functions.peek().is_none() || !value.is_exact() || inside || unfed {
                continue;
            }
            let (from, to) = functions.fold((f64::INFINITY, 0f64), |(from, to), function| {
                (from.min(function.from), to.max(function.to))
            });
            let scale = value.si / value.number;
            let scale = if scale.is_finite() && scale != 0.0 {
                scale
            } else {
                1.0
            };
            // A quotient of decimal numbers is not told to its last bit.
            let neat = |end: f64| {
                format!("{:.9e}", end / scale)
                    .parse()
                    .unwrap_or(end / scale)
            };
            let (from, to): (f64, f64) = (neat(from), neat(to));
            let unit = &value.unit.canonical;
            let range = format!("from {from} to {to} {unit}");
            let (id, of) = (&instrument.id, measure.word());
            // Ten times beyond the range nobody reads by a little too much.
            let thousandth = 1e-3 * value.number;
            let told = match value.number > FAR * to && (from..=to).contains(&thousandth) {
                true => words::reading_of_another_unit(&value.written(), *span, id, of, &range),
                false => words::reading_range(&value.written(), *span, id, of, &range),
            };
            out.push(Fenced::reading(index, *span, told));
        }
    }
}
