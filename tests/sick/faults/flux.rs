//! What is wrong round the core: loops, flux left behind, iron that has changed.

use super::super::bench::Loop;
use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::Kind;
use super::{Seat, tested};

/// Both ends of the primary are earthed: one loop round all cores. Severity: conductance of the loop, S.
pub fn primary_loop(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Excitation)?;
    let bench = case.last(record);
    // Earth grid and leads of 10 to 20 m: milliohms to ohms with about 1 uH/m (common practice, no source).
    let r = dice.decades(1e-3, 30.0) + bench.body.primary_ohms;
    let x = 2.0 * std::f64::consts::PI * bench.body.hertz * 15e-6;
    let turns = bench.written_turns();
    bench.both_earthed = dice.chance(0.4);
    for place in &mut bench.places {
        place.loops.push(Loop {
            turns,
            within: None,
            r,
            x,
        });
    }
    Seat::at(record, None, 1.0 / libm::hypot(r, x))
}

/// One turn or a few are closed in themselves, through copper and a contact. Severity: its conductance
/// against that of the bare turn.
pub fn shorted_turn(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Excitation)?;
    let turns = dice.pick(&[1.0, 1.0, 1.0, 2.0, 5.0]);
    let bench = case.last(record);
    let one = &bench.body.cores[core];
    let copper = one.ohms_of(one.full(), bench.winding) / one.all_turns() * turns;
    let contact = if dice.chance(0.5) {
        dice.decades(0.01, 1.0)
    } else {
        dice.decades(1.0, 3e3)
    };
    let r = copper * (1.0 + contact);
    let sections = bench.body.cores[core].turns.len();
    let section = dice.below(sections);
    bench.places[core].loops.push(Loop {
        turns,
        within: Some((section, section + 1)),
        r,
        x: 0.05 * copper,
    });
    // To direct current the contact lies across the turns.
    let share = turns / bench.body.cores[core].turns[section];
    bench.body.cores[core].ohms[section] *= 1.0 - share / (1.0 + contact);
    Seat::at(record, core, 1.0 / (1.0 + contact))
}

/// Flux left in the core: direct current after demagnetising, none done, or a run that tripped at full
/// voltage before the one that is written. Severity: share of saturation.
pub fn residual_magnetism(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Excitation)?;
    let place = &mut case.last(record).places[core];
    let left = dice.decades(0.05, 0.85);
    place.left = left;
    match dice.below(3) {
        0 => place.demagnetised_early = true,
        1 => place.done.retain(|kind| *kind != Kind::Demagnetisation),
        _ => {}
    }
    Seat::at(record, core, left)
}

/// The core has become worse since the last visit: less iron carries flux, and it asks for more field.
/// Severity: share of section lost.
pub fn knee_aged(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Excitation)?;
    if case.records[record].benches.len() < 2 {
        return None;
    }
    let lost = dice.decades(0.005, 0.3);
    let ring = &mut case.last(record).body.cores[core].ring;
    ring.area *= 1.0 - lost;
    ring.iron.weak *= 1.0 + 2.0 * lost;
    Seat::at(record, core, lost)
}

/// The ratio by voltage is taken at or over the bend, where the exciting current drops across the
/// winding. Severity: voltage in shares of the bend.
pub fn ratio_saturated(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Ratio)?;
    let applied = dice.between(0.9, 1.35);
    let bench = case.last(record);
    bench.places[core].applied = applied;
    // What the source reaches.
    (bench.body.cores[core].bend(bench.body.hertz) < 300.0).then_some(())?;
    Seat::at(record, core, applied)
}
