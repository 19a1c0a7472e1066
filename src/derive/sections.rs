//! Sections of one winding that make up a pair.

use crate::trade::Pair;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// The sections that lead from one end of a pair to the other, in winding order and as fine as they were
/// read; empty when they leave a gap. The pair itself is not one of them. Of two ways equally fine the
/// later one in the list counts.
pub fn chain<T: Copy>(pair: Pair, sections: impl IntoIterator<Item = (Pair, T)>) -> Vec<T> {
    let inside = |section: &Pair| {
        let within = section.from >= pair.from && section.to <= pair.to;
        section.core == pair.core && *section != pair && within
    };
    let sections = sections.into_iter().filter(|(section, _)| inside(section));
    let mut sections: Vec<(Pair, T)> = sections.collect();
    // From the end backwards every section knows the longest way on.
    sections.sort_by_key(|(section, _)| Reverse(section.from));
    let mut ways: BTreeMap<u8, Vec<T>> = BTreeMap::from([(pair.to, Vec::new())]);
    for (Pair { from, to, .. }, section) in sections {
        let Some(rest) = ways.get(&to) else { continue };
        let known = ways.get(&from).map_or(0, Vec::len);
        if rest.len() + 1 >= known {
            let way = std::iter::once(section).chain(rest.iter().copied());
            let way = way.collect();
            ways.insert(from, way);
        }
    }
    ways.remove(&pair.from).unwrap_or_default()
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
}
