//! Leads, links and primaries that lie otherwise than the sheet says.

use super::super::bench::Loop;
use super::super::dice::Dice;
use super::super::job::Case;
use super::super::sheet::Kind;
use super::super::unit::Primary;
use super::{Seat, tested};

/// A clip of the full winding sits on a tap. Severity: share of the turns that is not driven.
pub fn another_tap(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let kinds = dice.pick(&[
        &[Kind::Excitation][..],
        &[Kind::Ratio],
        &[Kind::Excitation, Kind::Ratio],
    ]);
    let (record, core) = tested(case, dice, kinds[0])?;
    let bench = case.last(record);
    let marks = bench.body.cores[core].marks.len();
    if marks < 3 {
        return None;
    }
    let (last, tap) = (marks - 1, 1 + dice.below(marks - 2));
    let mut leads: Vec<(usize, usize)> = (0..marks).map(|mark| (core, mark)).collect();
    // The lower end moves only where no tap is read from it as well.
    let low = kinds == [Kind::Excitation] && dice.chance(0.3);
    leads[if low { 0 } else { last }] = (core, tap);
    let driven = (leads[0].1, leads[last].1);
    for kind in kinds {
        bench.places[core].leads.insert(*kind, leads.clone());
    }
    let one = &bench.body.cores[core];
    Seat::at(record, core, 1.0 - one.turns_of(driven) / one.all_turns())
}

/// Two terminals of the box have each other's wires: every test meets it. Severity: turns moved.
pub fn taps_exchanged(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Ratio)?;
    let marks = case.last(record).body.cores[core].marks.len();
    if marks < 3 {
        return None;
    }
    let (one, other) = (1 + dice.below(marks - 2), marks - 1);
    let mut leads: Vec<(usize, usize)> = (0..marks).map(|mark| (core, mark)).collect();
    leads.swap(one, other);
    for bench in case.on_site(record) {
        bench.lay(core, &leads);
    }
    let body = &case.last(record).body.cores[core];
    Seat::at(record, core, body.turns_of((one, other)) / body.all_turns())
}

/// Two cores of like terminals have each other's names in the box. Severity: how unlike they are.
pub fn cores_exchanged(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let record = dice.below(case.records.len());
    let cores = &case.last(record).body.cores;
    let one = dice.below(cores.len());
    let other = (0..cores.len())
        .find(|other| *other != one && cores[*other].marks.len() == cores[one].marks.len())?;
    let unlike = (cores[one].bend(50.0) / cores[other].bend(50.0)).ln().abs();
    let marks = cores[one].marks.len();
    for bench in case.on_site(record) {
        for (here, there) in [(one, other), (other, one)] {
            let leads: Vec<(usize, usize)> = (0..marks).map(|mark| (there, mark)).collect();
            bench.lay(here, &leads);
        }
        let (a, b) = (
            bench.body.cores[one].wall.ohms,
            bench.body.cores[other].wall.ohms,
        );
        bench.body.cores[one].wall.ohms = b;
        bench.body.cores[other].wall.ohms = a;
    }
    Seat::at(record, one, unlike)
}

/// The ends of one winding are exchanged.
pub fn secondary_reversed(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Polarity)?;
    let bench = case.last(record);
    let marks = bench.body.cores[core].marks.len();
    let leads: Vec<(usize, usize)> = (0..marks).map(|mark| (core, marks - 1 - mark)).collect();
    bench.lay(core, &leads);
    Seat::at(record, core, 1.0)
}

/// The unit stands the other way round, or its primary marks are exchanged.
pub fn primary_reversed(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Polarity)?;
    case.last(record).primary_sign = -1.0;
    Seat::at(record, None, 1.0)
}

/// Links of the primary in series for parallel, or the other way round: a factor of two on all cores. The
/// plate may be silent about them.
pub fn primary_links(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Ratio)?;
    let bench = case.last(record);
    bench.primary_factor = match (bench.body.connects, bench.series) {
        (Primary::Links, true) => 0.5,
        (Primary::Links, false) => 2.0,
        (Primary::Plain, _) if dice.chance(0.2) => dice.pick(&[0.5, 2.0]),
        _ => return None,
    };
    Seat::at(record, None, 2.0)
}

/// The cable passes the window more or less often than is written.
pub fn passes(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, _) = tested(case, dice, Kind::Ratio)?;
    let bench = case.last(record);
    let written = match bench.body.connects {
        Primary::Passes(passes) => passes,
        Primary::Plain if bench.body.primary_turns == 1.0 && dice.chance(0.2) => 1.0,
        _ => return None,
    };
    let truly = dice.pick(&[1.0, 2.0, 3.0, 4.0]);
    (truly != written).then_some(())?;
    bench.primary_factor = truly / written;
    Seat::at(record, None, truly / written)
}

/// A link left closed on a section, or on the whole winding, while it is driven. Severity: its turns.
pub fn shorting_link(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Excitation)?;
    let bench = case.last(record);
    let winding = bench.winding;
    let one = &bench.body.cores[core];
    let sections = one.sections();
    let pair = if sections.len() == 1 {
        one.full()
    } else {
        dice.pick(&sections)
    };
    let turns = one.turns_of(pair);
    // A link and its terminals: tens of milliohms (common practice, no source).
    let link = dice.decades(0.005, 0.5);
    let share = turns / one.all_turns();
    let closed = Loop {
        turns,
        within: Some(pair),
        r: link + one.ohms_of(pair, winding),
        x: one.leakage * share,
    };
    bench.places[core].loops.push(closed);
    Seat::at(record, core, share)
}

/// The relay's circuit still hangs on the pair. Severity: its impedance, ohm.
pub fn burden_on(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::Excitation)?;
    let bench = case.last(record);
    let (r, x) = bench.places[core].circuit;
    let one = &bench.body.cores[core];
    let (turns, full) = (one.all_turns(), one.full());
    let copper = one.ohms_of(full, bench.winding);
    // Whole burdens, and what an electronic input of high impedance or an open star leaves of them.
    let times = if dice.chance(0.5) {
        1.0
    } else {
        dice.decades(1.0, 3e5)
    };
    let (r, x) = (r * times, x * times);
    bench.places[core].loops.push(Loop {
        turns,
        within: Some(full),
        r: r + copper,
        x,
    });
    Seat::at(record, core, 1.0 / libm::hypot(r, x))
}

/// Another core stands open under primary current: it saturates, takes the source's voltage and bends its
/// current. Severity: shift of the error at rated current, per cent.
pub fn other_core_open(case: &mut Case, dice: &mut Dice) -> Option<Seat> {
    let (record, core) = tested(case, dice, Kind::ByCurrent)?;
    let bench = case.last(record);
    if bench.body.cores.len() < 2 {
        return None;
    }
    let shift = dice.decades(0.01, 1.0);
    bench.places[core].distortion = Some((dice.sign() * shift, dice.pick(&[20.0, 100.0, 120.0])));
    Seat::at(record, core, shift)
}
