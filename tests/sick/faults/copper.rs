//! Winding resistance: joints, clips, leads, time and temperature.

use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::Kind;
use super::{Seat, tested};

/// A bad joint in one section. Severity: share of the winding's resistance.
pub fn joint(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Resistance)?;
    let share = dice.decades(0.003, 0.5);
    let body = &case.last(record).body.cores[core];
    let section = dice.pick(&body.sections());
    let contact = share * body.ohms_of(body.full(), 20.0);
    for bench in case.on_site(record) {
        bench.places[core].direct.contact.push((section, contact));
    }
    Seat::at(record, core, share)
}

/// A joint that was sound at the last visit. Severity: share of the winding's resistance.
pub fn joint_aged(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Resistance)?;
    let benches = &case.records[record].benches;
    let before = benches.len().checked_sub(2)?;
    if !benches[before].does(core, Kind::Resistance) {
        return None;
    }
    let share = dice.decades(0.003, 0.5);
    let bench = case.last(record);
    let body = &bench.body.cores[core];
    let section = dice.pick(&body.sections());
    let contact = share * body.ohms_of(body.full(), 20.0);
    bench.places[core].direct.contact.push((section, contact));
    Seat::at(record, core, share)
}

/// A loose clip at one reading. Severity: share by which it reads high, at most.
pub fn clip(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Resistance)?;
    let share = dice.decades(0.003, 0.5);
    let bench = case.last(record);
    let body = &bench.body.cores[core];
    let mut pairs = body.sections();
    pairs.push(body.full());
    bench.places[core].direct.clip = Some((dice.pick(&pairs), share));
    Seat::at(record, core, share)
}

/// Read before the current has settled. Severity: share by which the first reading is high.
pub fn unsettled(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Resistance)?;
    let bench = case.last(record);
    bench.times = dice.pick(&[
        vec![5.0],
        vec![5.0, 15.0, 30.0],
        vec![5.0, 10.0, 20.0, 40.0],
    ]);
    let high = dice.decades(0.002, 0.5);
    let lasts = dice.decades(5.0, 40.0);
    bench.places[core].direct.settling = Some((high, lasts));
    Seat::at(record, core, high * libm::exp(-5.0 / lasts))
}

/// Too much current for too long warms the winding while it is read. Severity: growth over the readings.
pub fn heating(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Resistance)?;
    let bench = case.last(record);
    bench.times = vec![10.0, 60.0, 120.0, 180.0];
    let growth = dice.decades(0.001, 0.05);
    bench.places[core].direct.heating = growth / 170.0;
    Seat::at(record, core, growth)
}

/// Two-wire readings written as four-wire ones. Severity: leads against the smallest winding.
pub fn leads_not_subtracted(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Resistance)?;
    let leads = dice.decades(0.01, 0.5);
    let bench = case.last(record);
    bench.wires = 4;
    bench.leads = leads;
    bench.leads_left_in = true;
    let body = &bench.body.cores[core];
    Seat::at(record, None, leads / body.ohms_of(body.full(), 20.0))
}

/// Leads taken off before writing, and once more by the reader.
pub fn leads_twice(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Resistance)?;
    let leads = dice.decades(0.01, 0.5);
    let bench = case.last(record);
    let body = &bench.body.cores[core];
    let share = leads / body.ohms_of(body.full(), 20.0);
    // More leads than copper would be seen by everybody.
    (share < 0.6).then_some(())?;
    bench.wires = 2;
    bench.leads = leads;
    bench.leads_taken_off = true;
    Seat::at(record, None, share)
}

/// The temperature that is written is not the winding's: the sun, a cold tank. Severity: kelvins.
pub fn temperature_wrong(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Resistance)?;
    let off = dice.decades(0.5, 30.0);
    let sign = dice.sign();
    let bench = case.last(record);
    if dice.chance(0.5) {
        bench.stated = bench.stated.map(|stated| stated + sign * off);
    } else {
        bench.winding += sign * off;
    }
    Seat::at(record, None, off)
}

/// No temperature is written.
pub fn temperature_missing(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Resistance)?;
    case.last(record).stated = None;
    Seat::at(record, None, 1.0)
}

/// The reading was taken to 75 °C already, and stands beside the day's temperature.
pub fn already_at_75(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Resistance)?;
    case.last(record).converted = true;
    Seat::at(record, None, 1.0)
}
