//! Insulation: moisture, dirt, leads and earths.

use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::Kind;
use super::{Seat, tested};

/// Moisture in the whole unit. Severity: how many times the resistance has fallen.
pub fn wet(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Insulation)?;
    let fallen = dice.decades(1.2, 1000.0);
    let body = &mut case.last(record).body;
    body.primary.wet = fallen;
    for core in &mut body.cores {
        core.wall.wet = fallen * dice.decades(0.6, 1.6);
    }
    Seat::at(record, None, fallen)
}

/// Dirt on the outside of the primary: no time in it. Severity: its conductance, 1/Gohm.
pub fn surface(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Insulation)?;
    let ohms = dice.decades(5e7, 5e11);
    case.last(record).surface = Some(ohms);
    Seat::at(record, None, 1e9 / ohms)
}

/// A leaking test lead beside every group. Severity: its conductance, 1/Gohm.
pub fn test_lead(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Insulation)?;
    let ohms = dice.decades(1e7, 5e11);
    case.last(record).test_lead = Some(ohms);
    Seat::at(record, None, 1e9 / ohms)
}

/// The earth of one core was not lifted: what is left is contact and lead, some kilohms where it is bad
/// (common practice, no source).
pub fn earth_left_on(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Insulation)?;
    let ohms = dice.decades(1.2e4, 5e5);
    case.last(record).places[core].leak = Some(ohms);
    Seat::at(record, core, 1e6 / ohms)
}

/// The circuit of one core has a second earth: its neutral lead lies beside the ground, and with the
/// circuit still on, the core reads to earth. Severity: ohms of the ground.
pub fn second_earth(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Burden)?;
    let neutral = case.last(record).body.cores[core].neutral;
    let ground = dice.decades(0.05, 20.0);
    let (counted, on) = (dice.chance(0.3), dice.chance(0.5));
    let place = &mut case.last(record).places[core];
    place.circuit.0 -= neutral * neutral / (neutral + ground);
    if counted {
        place.earths = 2;
    }
    if on && place.done.contains(&Kind::Insulation) {
        place.leak = Some(dice.decades(1.2e4, 1e6));
    }
    Seat::at(record, core, 1.0 / ground)
}
