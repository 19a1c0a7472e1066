//! The resistance of a primary that is a winding, a power of ten off the plate's, or a thousand times off what goes
//! with the secondary's: both windings of one core have about as much copper.

use super::Fenced;
use super::winding::{shown, slip};
use crate::ground::span::{Located, Span};
use crate::record::kinds::Test;
use crate::record::kinds::primary_resistance::PrimaryRow;
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::threshold;

/// What the resistance is held against.
enum Expected {
    /// The most that the plate allows, ohm.
    Plate(f64, Span),
    /// By the secondary's, ohm.
    Turns(f64),
}

pub(super) fn fence(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    let mut tests = visit.of(Test::primary_resistance).peekable();
    // Each position of the links has its own.
    if tests.peek().is_none() || record.plate.links.len() > 1 {
        return;
    }
    let Some(expected) = expected(record) else {
        return;
    };
    for (index, _, body) in tests {
        out.extend(body.rows.iter().filter_map(|row| {
            let (read, turned, at) = read(row)?;
            if fits(&expected, read)? {
                return None;
            }
            let ohm = shown(read);
            // Of the two slips the one that comes nearer.
            let (Expected::Plate(usual, _) | Expected::Turns(usual)) = &expected;
            let off = |ohm: f64| libm::log(ohm / usual).abs();
            let by_unit = off(0.001 * read).min(off(1000.0 * read));
            let turned = turned.filter(|turned| off(*turned) < by_unit);
            if let Some(turned) = turned.filter(|turned| fits(&expected, *turned) == Some(true)) {
                let told = words::resistance_exchanged(&ohm, &shown(turned), at);
                return Some(Fenced::reading(index, at, told));
            }
            let told = match &expected {
                Expected::Plate(plate, span) => {
                    let times = slip(read / plate, Vec::new())?;
                    words::resistance_implausible(&ohm, &shown(*plate), times, at, *span)
                }
                Expected::Turns(usual) => {
                    let mut meant = [0.001 * read, 1000.0 * read].into_iter();
                    let meant = meant.find(|meant| fits(&expected, *meant) == Some(true))?;
                    words::primary_by_secondary(&ohm, &shown(*usual), &shown(meant), at)
                }
            };
            Some(Fenced::reading(index, at, told))
        }));
    }
}

/// The resistance of a row, what it is with voltage and current exchanged, and where it was read.
fn read(row: &PrimaryRow) -> Option<(f64, Option<f64>, Span)> {
    if let Some(Located { value, span }) = row.resistance.get() {
        return Some((value.si, None, *span));
    }
    let (volts, amps) = (row.voltage.get()?, row.current.get()?);
    let (v, i) = (volts.value, amps.value);
    let ohm = v.si / i.si;
    let turned = i.number * (v.si / v.number) / (v.number * (i.si / i.number));
    let both = ohm.is_finite() && ohm > 0.0;
    both.then_some((ohm, Some(turned).filter(|ohm| ohm.is_finite()), volts.span))
}

fn expected(record: &Record) -> Option<Expected> {
    let plate = &record.plate;
    if let Some(stated) = plate.primary_resistance.get() {
        return Some(Expected::Plate(stated.value.value.si, stated.span));
    }
    plate.primary_turns.value().filter(|turns| **turns > 1.0)?;
    record.cores.iter().find_map(|core| {
        let secondary = core.resistance.value()?.value.si;
        let ratio = core.full_ratio()?.value();
        // The ratio of the turns is that of the currents.
        let usual = secondary / (ratio * ratio);
        (usual.is_finite() && usual > 0.0).then_some(Expected::Turns(usual))
    })
}

fn fits(expected: &Expected, ohm: f64) -> Option<bool> {
    let (usual, least, most) = match expected {
        Expected::Plate(plate, _) => {
            let least = threshold("resistance-least")?.limit;
            (plate, least, threshold("resistance-thousandfold")?.limit)
        }
        Expected::Turns(usual) => {
            let near = threshold("primary-by-secondary")?.limit;
            (usual, near, near)
        }
    };
    Some((1.0 / least..=most).contains(&(ohm / usual)))
}
