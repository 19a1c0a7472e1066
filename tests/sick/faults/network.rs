//! The connected circuit: open, shorted, too long, measured the wrong way, or with its star on the wrong side.

use super::super::core::Core;
use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::Kind;
use super::{Seat, tested};

fn changed(
    case: &mut Case,
    dice: &mut Dice,
    change: impl Fn(&Core, &mut (f64, f64)) -> f64,
) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Burden)?;
    let bench = case.last(record);
    let body = bench.body.cores[core].clone();
    let severity = change(&body, &mut bench.places[core].circuit);
    Seat::at(record, core, severity)
}

/// A link or terminal is open: kilohms by stray ways. Severity: ohms.
pub fn burden_open(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let ohms = dice.decades(500.0, 50e3);
    changed(case, dice, |_, circuit| {
        *circuit = (ohms, ohms * 0.3);
        ohms
    })
}

/// Shorted on the way: what is left is lead. Severity: share that is gone.
pub fn burden_shorted(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let left = dice.between(0.02, 0.5);
    changed(case, dice, |_, circuit| {
        *circuit = (circuit.0 * left, circuit.1 * left * 0.3);
        1.0 - left
    })
}

/// More than the core is rated for: thin leads, relays in series. Severity: times the rated burden.
pub fn burden_over(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let times = dice.decades(1.02, 6.0);
    let (record, core) = tested(case, dice, Kind::Burden)?;
    let bench = case.last(record);
    let body = &bench.body.cores[core];
    (body.burden.0 > 0.0).then_some(())?;
    let rated = body.burden.0 / (body.rated * body.rated);
    let circuit = &mut bench.places[core].circuit;
    let now = libm::hypot(circuit.0, circuit.1);
    *circuit = (
        circuit.0 * rated * times / now,
        circuit.1 * rated * times / now,
    );
    Seat::at(record, core, times)
}

/// Two phases in series, written as one to neutral: phase leads and relays twice, no neutral.
pub fn burden_phase_phase(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    changed(case, dice, |core, circuit| {
        *circuit = (2.0 * (circuit.0 - core.neutral), 2.0 * circuit.1);
        1.0
    })
}

/// The star is made at the other end in one phase.
pub fn star_point(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let sisters = case.records.len() > 1;
    let record = dice.below(case.records.len());
    let bench = case.last(record);
    let core = dice.below(bench.places.len());
    bench.places[core].star_first = true;
    Seat::at(record, core, 1.0)?.on_paper(sisters)
}
