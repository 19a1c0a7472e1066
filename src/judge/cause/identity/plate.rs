//! Values of the plate that the plates of sisters and the readings contradict: a digit that was misread, another
//! standard ratio, the frequency of another network.

use super::of_the_make;
use crate::derive::knee::Knee;
use crate::document::{Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::Evidence;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::turns::by_plate;
use crate::judge::rules::inspection as rules;
use crate::judge::words::short;
use crate::record::core::Core;
use crate::record::fence::odd_plates;
use crate::standards::Family;
use crate::trade::{Pair, Ratio};

/// A plate that was copied wrongly: about 1 in 30 for each value of each of two, conventions of this project.
const EACH_SISTER: f64 = 3.5;
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
    let all = cores(j).filter_map(|(at, core)| ratio(j, evidence, at, core));
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

/// The value that most sisters have, where it is not the own, and by how many more of them.
fn others(own: f64, theirs: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let theirs: Vec<f64> = theirs.collect();
    let count = |value: f64| {
        let same = theirs.iter().filter(|one| is_equal(**one, value)).count();
        same as f64
    };
    let differing = theirs.iter().copied().filter(|one| !is_equal(*one, own));
    let most = differing.max_by(|one, other| count(*one).total_cmp(&count(*other)))?;
    Some((most, count(most) - count(own)))
}

fn is_equal(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < 1e-6
}

fn made(at: Option<usize>, span: Option<Span>, observed: Phrase) -> Hypothesis {
    let seat = Seat {
        core: at,
        at: span.into_iter().collect(),
        ..Seat::default()
    };
    Hypothesis::new(&rules::PLATE_VALUE, seat, observed)
        .price(price::OF_A_KNOWN_SIZE)
        .decide("the plate itself, read again, and a photo of it")
}

/// `only its digit 2 differs`.
fn one_digit(made: Hypothesis, own: f64, theirs: f64) -> Hypothesis {
    let (own, theirs) = (short(own), short(theirs));
    let digits = || own.chars().zip(theirs.chars()).enumerate();
    let differ: Vec<usize> = digits()
        .filter(|(_, (one, other))| one != other)
        .map(|(at, _)| at)
        .collect();
    match differ[..] {
        [only] if own.len() == theirs.len() => {
            let before = own.chars().take(only + 1);
            let number = before.filter(char::is_ascii_digit).count();
            let number = Quantity::new(number.to_string(), "");
            made.remark(say!("only digit {} is another", number))
                .besides(1.0)
        }
        _ => made,
    }
}

fn differs(
    what: &'static str,
    core: &Core,
    own: Phrase,
    theirs: Phrase,
    by: &'static str,
) -> Phrase {
    say!(
        "{} of {}: {} on this plate, {} {}",
        what,
        core.name.clone(),
        own,
        theirs,
        by
    )
}

const BY_SISTERS: &str = "on those of the sisters";

/// The ratio of the full winding, and the pairs whose ratio follows from it.
fn ratio(j: &Judging<'_>, evidence: &Evidence<'_>, at: usize, core: &Core) -> Option<Hypothesis> {
    let stated = core.full_ratio()?;
    let own = stated.value();
    let span = core.full_tap().map(|tap| tap.span);
    let theirs = || of_the_make(j).filter_map(|sister| sister.cores.get(at)?.full_ratio());
    let full = Pair {
        core: at,
        from: 0,
        to: core.last_mark(),
    };
    let by_plate = by_plate(evidence);
    let read = by_plate.and_then(|(_, family)| {
        let item = family.items.iter().find(|item| item.pair == full)?;
        (item.away.abs() > 2.0 * item.u).then(|| own * libm::exp(item.away))
    });
    // A plate that only differs is another type of transformer; one that its readings contradict is misread.
    let read = read?;
    let mut sisters = of_the_make(j).peekable();
    let (meant, speaks, by) = match others(own, theirs().map(Ratio::value)) {
        Some((meant, more)) => (meant, EACH_SISTER * more, BY_SISTERS),
        // Sisters that have the same speak for it.
        None if sisters.peek().is_some() => return None,
        None => (
            meant(stated.primary, read * stated.secondary)? / stated.secondary,
            -WITHOUT_SISTERS - price::OF_A_LIST,
            "by the readings",
        ),
    };
    let primary = meant * stated.secondary;
    let written = theirs().find(|ratio| is_equal(ratio.value(), meant));
    let written = written.unwrap_or(Ratio { primary, ..stated });
    let plate = |ratio: Ratio| Quantity::new(ratio.text(), "A").into();
    let observed = differs("rated ratio", core, plate(stated), plate(written), by);
    let made = made(Some(at), span, observed).besides(speaks);
    let made = one_digit(made, own * stated.secondary, meant * stated.secondary);
    let Some((place, family)) = by_plate else {
        return Some(made);
    };
    let shift = family.items.iter().map(|item| {
        let (from, to) = (item.pair.from, item.pair.to);
        let follows = item.pair == full || (to == full.to && core.tap(from, to).is_none());
        let nominal = core.nominal_ratio(from, to);
        match nominal.filter(|_| item.pair.core == at && follows) {
            Some(nominal) => libm::log((nominal + meant - own) / nominal),
            None => 0.0,
        }
    });
    let shift: Vec<f64> = shift.collect();
    let known = shift.iter().all(|shift| shift.is_finite());
    Some(if known {
        made.shift(place, shift)
    } else {
        made
    })
}

/// The primary current that a plate means where the readings ask for another one: one digit off, or another
/// standard ratio.
fn meant(stated: f64, read: f64) -> Option<f64> {
    let near = |value: &f64| (value / read - 1.0).abs() < NEAR;
    let text = short(stated);
    let places =
        (0..text.len()).filter(|at| text.as_bytes().get(*at).is_some_and(u8::is_ascii_digit));
    let typed = places.flat_map(|at| {
        let text = &text;
        (b'0'..=b'9').filter_map(move |digit| {
            let mut bytes = text.clone().into_bytes();
            *bytes.get_mut(at)? = digit;
            String::from_utf8(bytes).ok()?.parse::<f64>().ok()
        })
    });
    let standard = OTHER_RATIOS.iter().map(|times| stated * times);
    let mut all = typed
        .chain(standard)
        .filter(|value| !is_equal(*value, stated));
    all.find(near)
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
    let observed = differs("winding resistance", core, ohm(own), ohm(meant), by);
    let made =
        made(Some(at), core.resistance.span(), observed).besides(EACH_SISTER * more + speaks);
    Some(one_digit(made, own, meant))
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
        core,
        volt(own),
        volt(meant),
        BY_SISTERS,
    );
    let made = made(Some(at), core.knee.span(), observed).besides(EACH_SISTER * more + BY_READINGS);
    contradicts(read, own, meant, OF_A_KNEE).then(|| one_digit(made, own, meant))
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
