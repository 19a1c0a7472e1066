//! Test leads on other terminals than are written, in the ratio test alone or in all tests of a pair: one pair reads
//! as another, or two read as each other.

use super::by_plate;
use super::marks::{MOST_MARKS, Wires, mostly};
use crate::derive::kinds::excitation::shape::Shape;
use crate::derive::kinds::resistance::Winding;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{Evidence, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::resistance::truth::{Bench, Shifts, shifted};
use crate::judge::rules::ratio as rules;
use crate::trade::Pair;

/// A reading that is that of another pair only with a drop that is guessed.
const NOT_EXACT: f64 = 2.0;
/// From this share of the knee on a voltage drops. Common practice, no source.
const NEAR_THE_KNEE: f64 = 0.7;
/// The same leads for more than one test.
const OF_THE_CURVE: f64 = 0.5;

pub(super) fn on_another(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    wires: &Wires<'_>,
) -> Vec<Hypothesis> {
    let plate = by_plate(evidence);
    let items = plate.into_iter().flat_map(|(_, family)| &family.items);
    let off = items.filter(|item| item.pair.core == wires.at && item.away.abs() > 2.0 * item.u);
    off.flat_map(|item| of_pair(j, evidence, wires, item))
        .collect()
}

/// Whether the voltage of a ratio test may drop in the winding, on so much a smaller part of it: near its knee, or where no
/// knee is known.
fn drops(j: &Judging<'_>, item: &Item, share: f64) -> bool {
    let mut turns = j.derived.ratio.turns.iter();
    let own = turns.find(|one| one.readings.first() == item.at.first());
    let of_knee = own.and_then(|one| one.of_knee);
    of_knee.is_none_or(|percent| percent.si / 100.0 > NEAR_THE_KNEE * share)
}

fn of_pair(
    j: &Judging<'_>,
    evidence: &Evidence<'_>,
    wires: &Wires<'_>,
    item: &Item,
) -> Vec<Hypothesis> {
    let count = wires.to.len();
    if !(3..=MOST_MARKS).contains(&count) {
        return Vec::new();
    }
    let (low, high) = (usize::from(item.pair.from), usize::from(item.pair.to));
    let whole = wires.between(low, high);
    let misses = |(from, to): &(usize, usize)| {
        (item.away - libm::log(wires.between(*from, *to).abs() / whole)).abs()
    };
    let pairs = (0..count).flat_map(|from| (from + 1..count).map(move |to| (from, to)));
    let others = pairs.filter(|pair| *pair != (low, high));
    let nearest = others.min_by(|one, other| misses(one).total_cmp(&misses(other)));
    let Some((from, to)) = nearest else {
        return Vec::new();
    };
    let price = match misses(&(from, to)) < 3.0 * item.u {
        true => price::OF_A_LIST,
        false if drops(j, item, (wires.between(from, to) / whole).abs()) => {
            price::OF_A_LIST + NOT_EXACT
        }
        false => return Vec::new(),
    };
    let narrow = |at: usize| u8::try_from(at).unwrap_or(u8::MAX);
    let other = Pair {
        core: wires.at,
        from: narrow(from),
        to: narrow(to),
    };
    let name = |pair: Pair| Phrase::terminals(wires.core.pair_text(pair.from, pair.to));
    let made = |observed| {
        Hypothesis::new(&rules::WRONG_TAP, Seat::of(item), observed)
            .price(price)
            .decide(say!(
                "the ratio once more with the leads on {} and on {} in turn",
                name(item.pair),
                name(other)
            ))
    };
    let laid = |ends: &[(usize, usize)]| {
        let mut to: Vec<usize> = (0..count).collect();
        for (mark, truly) in ends {
            if let Some(slot) = to.get_mut(*mark) {
                *slot = *truly;
            }
        }
        wires.laid(to)
    };
    let alone = made(say!("reads as {}", name(other)));
    let alone = moved(
        evidence,
        alone,
        &laid(&[(low, from), (high, to)]),
        &[item.pair],
    );
    // The leads of the curve may have been left where they were.
    let curve = evidence.curves.iter().enumerate();
    let mut curve = curve.filter(|(_, held)| held.is_open() && held.pair() == item.pair);
    let share = wires.between(from, to).abs() / whole;
    let with_curve = curve.next().and_then(|(at, held)| {
        let fit = mostly(held.fit(Shape::Turns(share)), held.same());
        let observed = say!("reads as {}, and so does the curve", name(other));
        let made = alone.clone().curve(at, fit).price(price + OF_THE_CURVE);
        (fit < held.same()).then_some(Hypothesis { observed, ..made })
    });
    // Or they were there in the test of the resistance as well.
    let in_all = resisted(j, evidence, item.pair, share).map(|shifts| {
        let observed = say!("reads as {}, in all tests of this pair", name(other));
        let laid = with_curve.as_ref().unwrap_or(&alone).clone();
        let made = shifted(laid, shifts).price(price + OF_THE_CURVE);
        Hypothesis { observed, ..made }
    });
    // Of two pairs that share a terminal it is the other terminals that are exchanged.
    let apart = ![low, high].contains(&from) && ![low, high].contains(&to);
    let both = apart.then(|| {
        let both = made(say!("it and {} read as each other", name(other)));
        let ends = [(low, from), (high, to), (from, low), (to, high)];
        moved(evidence, both, &laid(&ends), &[item.pair, other])
    });
    let all = [Some(alone), with_curve, in_all, both];
    all.into_iter().flatten().collect()
}

/// What the resistance of a pair is off by where another one with so many times the turns was read, if that explains
/// anything.
fn resisted(j: &Judging<'_>, evidence: &Evidence<'_>, pair: Pair, share: f64) -> Option<Shifts> {
    let bench = Bench::new(j, evidence);
    let truly = |winding: &Winding, _, read: f64| match winding.pair.ascending() == pair {
        true => read / share,
        false => read,
    };
    let shifts = bench.shifts(|_, _| true, truly)?;
    (bench.gain(&shifts) > 0.0).then_some(shifts)
}

/// What other wires make of the ratios of some pairs.
fn moved(
    evidence: &Evidence<'_>,
    made: Hypothesis,
    wires: &Wires<'_>,
    pairs: &[Pair],
) -> Hypothesis {
    evidence
        .families_of(Of::Turns)
        .fold(made, |made, (at, family)| {
            let shift = wires.shift(family).into_iter().zip(&family.items);
            let of = |(shift, item): (f64, &Item)| match pairs.contains(&item.pair) {
                true => shift,
                false => 0.0,
            };
            let shift = shift.map(of).collect();
            made.shift_where_it_helps(at, family, shift)
        })
}
