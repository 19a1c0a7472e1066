//! Values of the plate that the plates of sisters and the readings contradict: a digit that was misread, another
//! standard ratio, the frequency of another network.

use super::cells::What;
use super::of_the_make;
use super::stated::{BY_SISTERS, by_one_slip, is_equal, made, others, slip, slips};
use crate::derive::knee::Knee;
use crate::document::{Phrase, Quantity, say};
use crate::ground::span::{Given, Located};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::Evidence;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::turns::by_plate;
use crate::judge::rules::inspection as rules;
use crate::judge::words::short;
use crate::record::core::{Core, Tap};
use crate::record::fence::odd_plates;
use crate::standards::Family;
use crate::trade::{Pair, Ratio};

/// A plate that was copied wrongly: about 1 in 30 for each value of each of two, conventions of this project.
pub(super) const EACH_SISTER: f64 = 3.5;
/// What readings say of a value that only bounds them.
const BY_READINGS: f64 = 3.0;
/// What rows say that all are off by one factor: another slip in each of two, 1 in 400, conventions of this project.
const BY_ROWS: f64 = 6.0;
/// What the standard's own part of the world says of a frequency.
const BY_STANDARD: f64 = 2.5;
/// Where no sister's plate has the other value.
const WITHOUT_SISTERS: f64 = 1.5;
/// Winding resistances lie within such shares of what a plate allows, knees within such multiples of what it
/// promises: common practice, no source.
const OF_A_RESISTANCE: (f64, f64) = (0.5, 1.02);
const OF_A_KNEE: (f64, f64) = (0.98, 2.0);
/// Other standard ratios that a plate is taken for.
const OTHER_RATIOS: [f64; 6] = [0.5, 2.0, 0.8, 1.25, 0.4, 2.5];
/// How near a ratio by readings is to the one that is meant.
const NEAR: f64 = 0.008;

fn cores<'a>(j: &Judging<'a>) -> impl Iterator<Item = (usize, &'a Core)> {
    j.case.record.cores.iter().enumerate()
}

/// Ratios that are off with the plate.
pub(super) fn ratios(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let all = cores(j).flat_map(|(at, core)| {
        let taps = core.taps.iter();
        taps.filter_map(move |tap| ratio(j, evidence, (at, core), tap))
    });
    all.collect()
}

pub(super) fn others_than_ratio(j: &Judging<'_>) -> Vec<Hypothesis> {
    let mut all: Vec<Hypothesis> = frequency(j).into_iter().collect();
    let odd = odd_plates(j.case.record);
    for (at, core) in cores(j) {
        let by_rows = odd.get(at).copied().flatten();
        all.extend(resistance(j, at, core, by_rows));
        all.extend(knee(j, at, core));
    }
    all
}

fn differs(
    what: &'static str,
    of: Phrase,
    own: Phrase,
    theirs: Phrase,
    by: &'static str,
) -> Phrase {
    say!(
        "{} of {}: {} on this plate, {} {}",
        what,
        of,
        own,
        theirs,
        by
    )
}

/// The ratio of a tap, and the pairs whose ratio follows from it.
fn ratio(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    (at, core): (usize, &Core),
    tap: &Tap,
) -> Option<Hypothesis> {
    let stated = *tap.ratio.value()?;
    let own = stated.value();
    let (from, to) = (tap.from, tap.to);
    let pair = Pair { core: at, from, to };
    let theirs = || {
        of_the_make(j)
            .filter_map(move |sister| sister.cores.get(at)?.tap(from, to)?.ratio.value().copied())
    };
    let (place, family) = by_plate(evidence)?;
    let item = family.items.iter().find(|item| item.pair == pair)?;
    // A plate that only differs is another type of transformer; one that its readings contradict is misread.
    let read = (item.away.abs() > 2.0 * item.u).then(|| own * libm::exp(item.away))?;
    let mut sisters = theirs().peekable();
    let by_sisters = sisters.peek().is_some();
    let (meant, speaks, by) = match others(own, theirs().map(Ratio::value)) {
        Some((meant, more)) => (meant, EACH_SISTER * more, BY_SISTERS),
        // Sisters that have the same speak for it.
        None if by_sisters => return None,
        None => (
            meant(stated.primary, read * stated.secondary)? / stated.secondary,
            -WITHOUT_SISTERS - price::OF_A_LIST,
            "by the readings",
        ),
    };
    // Links that lie otherwise make the same of the readings, and leave the plate as it is.
    let mut links = j.case.record.plate.links.iter();
    let connected = core.full_ratio()?.value() * j.case.link_factor(core);
    if !by_sisters && links.any(|link| is_equal(meant / own, link.value.1.value() / connected)) {
        return None;
    }
    let primary = meant * stated.secondary;
    let written = theirs().find(|ratio| is_equal(ratio.value(), meant));
    let written = written.unwrap_or(Ratio::of(primary, stated.secondary));
    let plate = |ratio: Ratio| Quantity::new(ratio.text(), "A").into();
    let of = match core.is_full(pair) {
        true => core.name.clone().into(),
        false => Phrase::terminals(core.pair_text(from, to)),
    };
    let observed = differs("rated ratio", of, plate(stated), plate(written), by);
    let mut made = made(at, Some(tap.span), observed).besides(speaks);
    made.seat.pair = Some(pair).filter(|pair| !core.is_full(*pair));
    let made = by_one_slip(made, own * stated.secondary, primary);
    let corrected = with_ratio(core, tap, written);
    let shift = family.items.iter().map(|item| {
        let nominal = |core: &Core| core.nominal_ratio(item.pair.from, item.pair.to);
        let both = nominal(&corrected).zip(nominal(core));
        let both = both.filter(|_| item.pair.core == at);
        both.map_or(0.0, |(meant, stated)| libm::log(meant / stated))
    });
    let shift: Vec<f64> = shift.collect();
    // Of a tap alone a winding that is wrong, or leads on another one, read so as well: its copper has to say so too.
    let moved = shift.iter().filter(|shift| **shift != 0.0).count();
    let alone = !by_sisters && !core.is_full(pair);
    if alone && moved < 2 && is_of_another(core, pair, read) {
        return None;
    }
    match by_copper(j, pair, [own, meant]) {
        Some(false) if alone => return None,
        None if alone && moved < 2 => return None,
        _ => {}
    }
    let known = shift.iter().all(|shift| shift.is_finite());
    Some(if known {
        made.shift(place, shift)
    } else {
        made
    })
}

/// Whether the resistance of a tap beside that of the whole winding is nearer to the ratio that is meant than to the one
/// that is stated; `None` where it was not read, or tells neither.
fn by_copper(j: &Judging<'_>, pair: Pair, [stated, meant]: [f64; 2]) -> Option<bool> {
    let cold = |pair: Pair| {
        let mut all = j.derived.resistance.iter();
        let own = all.find(|one| one.pair == pair && one.doubtful.is_none())?;
        Some(own.cold.si)
    };
    let full = j.case.full(pair.core)?;
    let whole = j.case.core(pair)?.nominal_ratio(full.from, full.to)?;
    let share = cold(pair)? / cold(full)?;
    let off = |ratio: f64| libm::log(share * whole / ratio).abs();
    let apart = libm::log(meant / stated).abs();
    let (stated, meant) = (off(stated), off(meant));
    ((stated - meant).abs() > 0.5 * apart).then_some(meant < stated)
}

/// Whether the plate has such a ratio between other terminals.
fn is_of_another(core: &Core, pair: Pair, read: f64) -> bool {
    let last = core.last_mark();
    let pairs = (0..=last).flat_map(|from| (from + 1..=last).map(move |to| (from, to)));
    let mut others = pairs.filter(|(from, to)| (*from, *to) != (pair.from, pair.to));
    others.any(|(from, to)| {
        let nominal = core.nominal_ratio(from, to);
        nominal.is_some_and(|nominal| (read / nominal - 1.0).abs() < NEAR)
    })
}

/// A core with another ratio of one of its taps.
fn with_ratio(core: &Core, tap: &Tap, ratio: Ratio) -> Core {
    let mut corrected = core.clone();
    for one in &mut corrected.taps {
        if one.span == tap.span {
            one.ratio = Given::Written(Located::new(ratio, tap.span));
        }
    }
    corrected
}

/// The primary current that a plate means where the readings ask for another one: one slip off, or another standard
/// ratio. A point in another place is one of the readings.
fn meant(stated: f64, read: f64) -> Option<f64> {
    let near = |value: &f64| (value / read - 1.0).abs() < NEAR;
    let standard = OTHER_RATIOS.iter().map(|times| stated * times);
    let is_of_digits = |meant: &f64| slip(stated, *meant).is_some_and(|slip| !slip.is_of_the_point);
    let digits = slips(stated).into_iter().filter(is_of_digits);
    digits.chain(standard).find(near)
}

fn is_within(share: f64, (low, high): (f64, f64)) -> bool {
    (low..=high).contains(&share)
}

/// Whether a reading can be that of a plate with the sisters' value, and not that of one with the own. A plate that
/// only differs is that of another type.
fn contradicts(read: Option<f64>, own: f64, theirs: f64, usual: (f64, f64)) -> bool {
    read.is_some_and(|read| !is_within(read / own, usual) && is_within(read / theirs, usual))
}

fn resistance(j: &Judging<'_>, at: usize, core: &Core, by_rows: Option<f64>) -> Option<Hypothesis> {
    let own = core.resistance.value()?.value.si;
    let theirs = of_the_make(j).filter_map(|sister| {
        let stated = sister.cores.get(at)?.resistance.value()?;
        Some(stated.value.si)
    });
    let full = j.case.full(at)?;
    let mut read = j.derived.resistance.iter();
    let read = read.find(|one| one.pair == full).and_then(|one| one.at_75);
    let read = read.map(|value| value.si);
    let differing = others(own, theirs);
    let differing = differing.filter(|(meant, _)| contradicts(read, own, *meant, OF_A_RESISTANCE));
    let by_rows_alone = by_rows.map(|times| (own * times, 0.0));
    let (meant, more) = differing.or(by_rows_alone)?;
    let by = if differing.is_some() {
        BY_SISTERS
    } else {
        "by all that was read of it"
    };
    let speaks = by_rows.map_or(BY_READINGS, |_| BY_ROWS);
    let ohm = |value: f64| Quantity::new(short(value), "ohm").into();
    let observed = differs(
        "winding resistance",
        core.name.clone().into(),
        ohm(own),
        ohm(meant),
        by,
    );
    let mut made = made(at, core.resistance.span(), observed).besides(EACH_SISTER * more + speaks);
    made.of = What::Resistance.resting();
    Some(by_one_slip(made, own, meant))
}

fn knee(j: &Judging<'_>, at: usize, core: &Core) -> Option<Hypothesis> {
    let own = core.knee.value()?.si;
    let theirs = of_the_make(j).filter_map(|sister| Some(sister.cores.get(at)?.knee.value()?.si));
    let (meant, more) = others(own, theirs)?;
    let full = j.case.full(at)?;
    let curve = j.derived.any_curve(full).map(|(excited, _)| excited);
    let read = curve.and_then(|excited| match excited.deciding(&j.case) {
        Knee::At(point) => Some(point.voltage.si),
        Knee::NotReached { .. } | Knee::Lacking(_) => None,
    });
    let volt = |value: f64| Quantity::new(short(value), "V").into();
    let observed = differs(
        "knee point e.m.f.",
        core.name.clone().into(),
        volt(own),
        volt(meant),
        BY_SISTERS,
    );
    let mut made = made(at, core.knee.span(), observed).besides(EACH_SISTER * more + BY_READINGS);
    made.of = What::Knee.resting();
    contradicts(read, own, meant, OF_A_KNEE).then(|| by_one_slip(made, own, meant))
}

fn frequency(j: &Judging<'_>) -> Option<Hypothesis> {
    let plate = &j.case.record.plate;
    let own = plate.rated_frequency()?;
    let (meant, more) = others(own, of_the_make(j).filter_map(|sister| sister.frequency))?;
    // Where the standard is at home the mains have this frequency.
    let home = match plate.family() {
        Family::Ieee => Some(60.0),
        _ => None,
    };
    let standard = match home {
        Some(home) if is_equal(home, meant) => BY_STANDARD,
        Some(home) if is_equal(home, own) => -BY_STANDARD,
        _ => 0.0,
    };
    let hertz = |value: f64| Quantity::new(short(value), "Hz");
    let observed = say!(
        "{} on this plate, {} {}",
        hertz(own),
        hertz(meant),
        BY_SISTERS
    );
    let seat = Seat {
        at: plate.frequency.span().into_iter().collect(),
        ..Seat::default()
    };
    let made = Hypothesis::new(&rules::PLATE_FREQUENCY, seat, observed)
        .besides(EACH_SISTER * more + standard)
        .price(price::OF_A_KNOWN_SIZE)
        .decide("the plate itself, read again, and the frequency of the network");
    Some(made)
}
