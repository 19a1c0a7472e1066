//! Readings, plate values and constants as the first steps of the ledger, with the uncertainty that
//! the instrument and the last written digit give them.
//!
//! What the instrument's limits of error make (share of reading, share of range, floor) is taken as
//! wholly shared between its readings with one function and range: it is the same error of the same
//! circuit. The last digit is each reading's own. (GUM 5.2 leaves the split to judgement; this is its
//! usual reading.)

use super::workings::{Origin, Part, Value, Workings};
use crate::derive::case::Case;
use crate::standards::Cited;
use std::borrow::Cow;

use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::{Located, Span};
use crate::record::instruments::{Function, Instrument};
use crate::record::kinds::Test;
use crate::record::readings::Measure;

/// Enters a reading of a test. Without a known instrument it has no parts, so that nothing that
/// rests on it claims an uncertainty.
pub fn reading(
    w: &mut Workings,
    case: &Case<'_>,
    test: &Test,
    measure: Measure,
    what: impl Into<String>,
    reading: &Reading,
) -> Value {
    reading_on(w, case, test, (measure, ""), what, reading)
}

/// Enters a reading of a second measuring circuit of the same kind (the voltmeter at the primary, the
/// ammeter in the primary). Its error is shared among the readings of that circuit only: in a ratio
/// of two circuits it must not cancel.
pub fn reading_on(
    w: &mut Workings,
    case: &Case<'_>,
    test: &Test,
    (measure, circuit): (Measure, &str),
    what: impl Into<String>,
    reading: &Reading,
) -> Value {
    let what = what.into();
    let instrument = case.instrument(test);
    let function = instrument
        .and_then(|instrument| instrument.function(measure, test.kind.name(), reading.value.si));
    let parts = match (instrument, function) {
        (Some(instrument), Some(function)) => parts(
            w,
            instrument,
            (function, circuit),
            &reading.value,
            &what,
            reading.span,
        ),
        _ => Vec::new(),
    };
    let unit = si_unit(&reading.value);
    w.reading(
        what,
        unit,
        reading.value.si,
        Origin::Reading { span: reading.span },
        &parts,
    )
}

fn parts(
    w: &mut Workings,
    instrument: &Instrument,
    (function, circuit): (&Function, &str),
    quantity: &Quantity,
    what: &str,
    span: Span,
) -> Vec<Part> {
    let at = if circuit.is_empty() {
        String::new()
    } else {
        format!(" {circuit}")
    };
    let shared = w.shared(format!(
        "{} {} up to {:.4e}{at}",
        instrument.id,
        function.measures.word(),
        function.to
    ));
    let own = w.own(format!("last digit of {what} at byte {}", span.start));
    // JCGM 100:2008, 4.3.7: share, floor and digits make one limit of error, a sum. What the digits add to
    // it is the reading's own part; without stated digits it is the rounding to the last written one.
    let common = function.limit_of_error(quantity.si);
    let whole = common + function.digits * quantity.resolution;
    let digit = match function.digits > 0.0 {
        true => function.standard(((whole + common) * (whole - common)).sqrt()),
        false => quantity.resolution / 12f64.sqrt(),
    };
    vec![
        Part {
            component: shared,
            u: function.standard(common),
        },
        Part {
            component: own,
            u: digit,
        },
    ]
}

/// Enters a value that the record states beside the readings (a temperature): its half-width if one
/// is written, else only its last digit.
pub fn stated(w: &mut Workings, what: impl Into<String>, reading: &Reading) -> Value {
    let what = what.into();
    let own = w.own(format!("{what} at byte {}", reading.span.start));
    let half = reading
        .value
        .half_width
        .unwrap_or(reading.value.resolution / 2.0);
    let unit = si_unit(&reading.value);
    w.reading(
        what,
        unit,
        reading.value.si,
        Origin::Given { span: reading.span },
        &[Part {
            component: own,
            u: half / 3f64.sqrt(),
        }],
    )
}

/// Enters a plate value, taken as exact.
pub fn plate(w: &mut Workings, what: impl Into<String>, value: &Located<Quantity>) -> Value {
    w.reading(
        what,
        si_unit(&value.value),
        value.value.si,
        Origin::Plate { span: value.span },
        &[],
    )
}

/// Enters a number of the plate (turns, a factor, a rated current), taken as exact.
pub fn plate_number(
    w: &mut Workings,
    what: impl Into<String>,
    unit: &'static str,
    value: f64,
    span: Span,
) -> Value {
    w.reading(what, unit, value, Origin::Plate { span }, &[])
}

/// Enters a constant, taken as exact.
pub fn constant(
    w: &mut Workings,
    what: impl Into<String>,
    unit: &'static str,
    value: f64,
    source: impl Into<Cow<'static, str>>,
) -> Value {
    let source = source.into();
    w.reading(what, unit, value, Origin::Constant { source }, &[])
}

/// Enters a constant of a standard's table, taken as exact.
pub fn cited(
    w: &mut Workings,
    what: impl Into<String>,
    unit: &'static str,
    value: f64,
    cited: &Cited,
) -> Value {
    constant(w, what, unit, value, cited.line())
}

/// The SI unit that a quantity's `si` is in.
pub fn si_unit(quantity: &Quantity) -> &'static str {
    use crate::ground::unit::Dimension;
    match quantity.unit.dimension {
        Dimension::Voltage => "V",
        Dimension::Current => "A",
        Dimension::Resistance => "ohm",
        Dimension::Inductance => "H",
        Dimension::ApparentPower => "VA",
        Dimension::Frequency => "Hz",
        Dimension::Time => "s",
        Dimension::Angle => "rad",
        Dimension::Temperature => "C",
        Dimension::Percent => "%",
        Dimension::Length => "m",
        Dimension::Area => "m2",
    }
}
