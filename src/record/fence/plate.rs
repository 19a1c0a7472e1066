//! Values of a rating plate a thousand times off: V where kV is meant, Mohm where mohm is.

use super::Taken;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::plate::Plate;
use crate::record::words;
use crate::standards::threshold;

/// Tells them, and takes them out.
pub(super) fn fence(plate: &mut Plate, found: &mut Vec<Diagnostic>) {
    kilovolts(
        &mut plate.highest_voltage,
        ("highest voltage", "highest-voltage-least"),
        found,
    );
    kilovolts(&mut plate.bil, ("BIL", "bil-least"), found);
    let most = threshold("primary-resistance-most").map_or(f64::INFINITY, |row| row.limit);
    let stated = plate.primary_resistance.get();
    let Some(stated) = stated.filter(|stated| stated.value.value.si > most) else {
        return;
    };
    let at = stated.span;
    let written = stated.value.value.written();
    found.push(words::primary_resistance_of_plate(&written, at));
    plate.primary_resistance.take_out(&[at]);
}

fn kilovolts(given: &mut Given<Quantity>, (of, least): (&str, &str), found: &mut Vec<Diagnostic>) {
    let least = threshold(least).map_or(0.0, |row| row.limit);
    let Some(stated) = given.get().filter(|stated| stated.value.si < least) else {
        return;
    };
    let at = stated.span;
    found.push(words::volts_of_plate(of, &stated.value, at));
    given.take_out(&[at]);
}
