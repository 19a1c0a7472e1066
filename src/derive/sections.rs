//! Sections of one winding that make up a pair.

use crate::trade::Pair;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// The sections that lead from one end of a pair to the other, in winding order and as fine as they were
/// read; empty when they leave a gap. The pair itself is not one of them. Of two ways equally fine the
/// later one in the list counts.
pub fn chain<T: Copy>(pair: Pair, sections: impl IntoIterator<Item = (Pair, T)>) -> Vec<T> {
    heaviest(pair, sections, |_| 0.0)
}

/// The same; of two ways equally fine the one of the greater weight counts.
fn heaviest<T: Copy>(
    pair: Pair,
    sections: impl IntoIterator<Item = (Pair, T)>,
    weight: impl Fn(&T) -> f64,
) -> Vec<T> {
    let inside = |section: &Pair| {
        let within = section.from >= pair.from && section.to <= pair.to;
        section.core == pair.core && *section != pair && within
    };
    let sections = sections.into_iter().filter(|(section, _)| inside(section));
    let mut sections: Vec<(Pair, T)> = sections.collect();
    // From the end backwards every section knows the best way on.
    sections.sort_by_key(|(section, _)| Reverse(section.from));
    let mut ways: BTreeMap<u8, (f64, Vec<T>)> = BTreeMap::from([(pair.to, (0.0, Vec::new()))]);
    for (Pair { from, to, .. }, section) in sections {
        let Some((behind, rest)) = ways.get(&to) else {
            continue;
        };
        let (length, weighs) = (rest.len() + 1, behind + weight(&section));
        let worse = |(known, way): &(f64, Vec<T>)| (way.len(), *known) <= (length, weighs);
        if ways.get(&from).is_none_or(worse) {
            let way = std::iter::once(section).chain(rest.iter().copied());
            let way = way.collect();
            ways.insert(from, (weighs, way));
        }
    }
    ways.remove(&pair.from)
        .map_or_else(Vec::new, |(_, way)| way)
}

/// The same; of two ways equally fine the one counts whose sum lies farther from the whole, so that no
/// other one can hide it.
pub fn farthest<T: Copy>(
    pair: Pair,
    sections: &[(Pair, T)],
    weight: impl Fn(&T) -> f64,
    whole: f64,
) -> Vec<T> {
    let way = |sign: f64| {
        let sections = sections.iter().copied();
        heaviest(pair, sections, |one| sign * weight(one))
    };
    let (most, least) = (way(1.0), way(-1.0));
    let off = |way: &[T]| (way.iter().map(&weight).sum::<f64>() - whole).abs();
    if off(&least) > off(&most) {
        least
    } else {
        most
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing::pair;

    #[test]
    fn the_finest_way_without_a_gap() {
        let read = [(0, 2), (2, 3), (0, 1), (1, 2), (2, 3), (0, 3)];
        let read = read.map(|(from, to)| pair(from, to)).into_iter().zip(0..);
        assert_eq!(chain(pair(0, 3), read.clone()), [2, 3, 4]);
        assert!(chain(pair(0, 3), read.take(1)).is_empty());
        let gap = [(pair(0, 1), ()), (pair(2, 3), ()), (pair(0, 3), ())];
        assert!(chain(pair(0, 3), gap).is_empty());
    }

    #[test]
    fn of_two_ways_equally_fine_the_heavier_one_counts() {
        let read = [(0, 1, 20.0), (1, 3, 61.0), (2, 3, 50.0), (0, 2, 30.0)];
        let read = read.map(|(from, to, turns)| (pair(from, to), turns));
        let turned = read.iter().rev().copied();
        for (sign, way) in [(1.0, [20.0, 61.0]), (-1.0, [30.0, 50.0])] {
            assert_eq!(heaviest(pair(0, 3), read, |turns| sign * turns), way);
            assert_eq!(
                heaviest(pair(0, 3), turned.clone(), |turns| sign * turns),
                way
            );
        }
    }
}
