//! Do the sections make up the whole?

use super::{Measured, Sum, Turns};
use crate::derive::sections::farthest;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::trade::Pair;
use std::collections::BTreeSet;

/// Closes the widest pair of each core in a test with the finest chain of measured sections below it.
/// Sums of one driven pair were made where they were read.
pub(super) fn derive(w: &mut Workings, found: &mut Measured) {
    let mut wholes: Vec<&Turns> = Vec::new();
    for turns in &found.turns {
        let same =
            |known: &&mut &Turns| known.test == turns.test && known.pair.core == turns.pair.core;
        match wholes.iter_mut().find(same) {
            Some(known) if width(turns.pair) > width(known.pair) => *known = turns,
            Some(_) => {}
            None => wholes.push(turns),
        }
    }
    let mut made = Vec::new();
    for whole in wholes {
        if found
            .sums
            .iter()
            .any(|sum| sum.pair == whole.pair && sum.test == whole.test)
        {
            continue;
        }
        let below = found
            .turns
            .iter()
            .filter(|part| part.test == whole.test && part.pair.core == whole.pair.core);
        let parts: Vec<Section> = below
            .filter_map(|part| Some((part.pair, part.ratio, *part.readings.first()?)))
            .collect();
        if let Some((closure, sections, mut readings)) = close(w, whole.pair, &parts, whole.ratio) {
            readings.splice(0..0, whole.readings.iter().copied());
            made.push(Sum {
                test: whole.test,
                pair: whole.pair,
                sections,
                closure,
                readings,
                doubtful: whole.doubtful,
            });
        }
    }
    found.sums.append(&mut made);
}

fn width(pair: Pair) -> u8 {
    pair.to.saturating_sub(pair.from)
}

/// A section with its turns or its share, and the row of it.
pub(super) type Section = (Pair, Value, Span);

/// Sum of the sections less the whole in per cent of it, with the sections used; `None` when no chain
/// of two or more sections leads from end to end. Of chains equally fine the one that deviates most
/// counts, so that no other one can hide it.
pub(super) fn close(
    w: &mut Workings,
    pair: Pair,
    parts: &[Section],
    whole: Value,
) -> Option<(Value, Vec<Pair>, Vec<Span>)> {
    // Of a section read twice the first reading counts.
    let mut seen = BTreeSet::new();
    let read = parts.iter().map(|part| (part.0, *part));
    let first = |(of, _): &(Pair, Section)| seen.insert((of.core, of.from, of.to));
    let read: Vec<(Pair, Section)> = read.filter(first).collect();
    let chain = farthest(pair, &read, |part| part.1.si, whole.si);
    if chain.is_empty() {
        return None;
    }
    let sum: f64 = chain.iter().map(|(_, value, _)| value.si).sum();
    let parts = chain.iter().map(|(_, value, _)| (*value, 100.0 / whole.si));
    let mut inputs: Vec<(Value, f64)> = parts.collect();
    inputs.push((whole, -100.0 * sum / (whole.si * whole.si)));
    let closure = w.many(
        "sum of the sections less the whole",
        "%",
        "100*(sum of sections - whole)/whole",
        "turns in series add",
        100.0 * (sum - whole.si) / whole.si,
        &inputs,
    )?;
    Some((
        closure,
        chain.iter().map(|(pair, ..)| *pair).collect(),
        chain.iter().map(|(_, _, span)| *span).collect(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing::{constants, pair};
    use proptest::prelude::*;

    fn value(w: &mut Workings, si: f64) -> Value {
        let [value] = constants(w, [si]);
        value
    }

    proptest! {
        /// Sections that do make up the whole close, whichever other pairs stand beside them; one
        /// that is off by d shows 100 d over the whole.
        #[test]
        fn tap_sums_close(turns in proptest::collection::vec(1.0..2000.0f64, 2..6), off in -50.0..50.0f64, at in 0usize..6) {
            let mut w = Workings::new();
            let last = u8::try_from(turns.len()).unwrap();
            let sum: f64 = turns.iter().sum();
            let whole = value(&mut w, sum);
            let mut parts = Vec::new();
            for (n, section) in turns.iter().enumerate() {
                let n = u8::try_from(n).unwrap();
                parts.push((pair(n, n + 1), value(&mut w, *section), Span::default()));
            }
            // A coarser pair beside them is not used.
            parts.push((pair(0, last - 1), value(&mut w, 1e6), Span::default()));
            let (closure, used, _) = close(&mut w, pair(0, last), &parts, whole).unwrap();
            prop_assert!(closure.si.abs() < 1e-9);
            prop_assert_eq!(used.len(), turns.len());
            let at = at % turns.len();
            let wrong = value(&mut w, turns[at] + off);
            parts[at].1 = wrong;
            let (closure, ..) = close(&mut w, pair(0, last), &parts, whole).unwrap();
            prop_assert!((closure.si - 100.0 * off / sum).abs() < 1e-9);
        }
    }

    /// 200:5, 100:5, 500:5 read by two chains of two, one of them off: in whichever order they were
    /// read, that one is told.
    #[test]
    fn of_two_chains_equally_fine_the_worse_one_is_told() {
        let read = [(0, 1, 20.0), (2, 3, 50.0), (1, 3, 61.0), (0, 2, 30.0)];
        for (whole, told, used) in [
            (80.0, 100.0 / 80.0, [pair(0, 1), pair(1, 3)]),
            (81.0, -100.0 / 81.0, [pair(0, 2), pair(2, 3)]),
        ] {
            for turn in 0..read.len() {
                let mut w = Workings::new();
                let mut parts: Vec<Section> = read
                    .map(|(from, to, turns)| {
                        (pair(from, to), value(&mut w, turns), Span::default())
                    })
                    .into();
                parts.rotate_left(turn);
                let whole = value(&mut w, whole);
                let (closure, sections, _) = close(&mut w, pair(0, 3), &parts, whole).unwrap();
                assert!((closure.si - told).abs() < 1e-9, "{}", closure.si);
                assert_eq!(sections, used);
            }
        }
    }
}
