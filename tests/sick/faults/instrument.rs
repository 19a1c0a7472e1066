//! Instruments of the wrong kind, and what they pick up.

use super::super::bench::Sense;
use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::Kind;
use super::{Seat, tested};

fn sensed(case: &mut Case, dice: &mut Dice, sense: Sense, severity: f64) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Excitation)?;
    case.last(record).sense = sense;
    Seat::at(record, None, severity)
}

/// A mean-sensing voltmeter that is not scaled: 1.11 for a sine.
pub fn voltmeter_mean(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    sensed(case, dice, Sense::Unscaled, 0.11)
}

/// A crest voltmeter: 1.41 for a sine.
pub fn voltmeter_peak(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    sensed(case, dice, Sense::Crest, 0.41)
}

/// A true r.m.s. voltmeter written as a mean one, behind a weak source. Severity: voltage that drops in the
/// source at the end of a core's run, in shares of its bend.
pub fn voltmeter_rms(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Excitation)?;
    let share = dice.decades(0.02, 1.0);
    let bench = case.last(record);
    let (one, hertz) = (&bench.body.cores[core], bench.body.hertz);
    let bend = one.bend(hertz);
    let turns = one.all_turns();
    let amperes = one.curve(hertz, hertz, 0.0).at(1.15 * bend / turns).total() / turns;
    bench.sense = Sense::Rms(share * bend / amperes);
    Seat::at(record, None, share)
}

/// A generator off its frequency, or of another continent. Severity: share by which it is off.
pub fn source_frequency(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Excitation)?;
    let bench = case.last(record);
    let rated = bench.body.hertz;
    let hertz = if dice.chance(0.5) {
        110.0 - rated
    } else {
        rated * (1.0 + dice.sign() * dice.decades(0.002, 0.1))
    };
    bench.source_hertz = Some(hertz);
    Seat::at(record, None, (hertz / rated - 1.0).abs())
}

/// The mains induce in the leads of the primary. Severity: volts.
pub fn pick_up(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Ratio)?;
    let volts = dice.sign() * dice.decades(5e-6, 0.02);
    for place in &mut case.last(record).places {
        place.pick_up = volts;
    }
    Seat::at(record, None, volts.abs())
}
