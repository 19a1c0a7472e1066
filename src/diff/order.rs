//! Which of two lists belong together.

use similar::{Algorithm, DiffOp, capture_diff_slices};
use std::collections::{BTreeMap, VecDeque};
use std::ops::Range;

/// Places of the same thing in two lists; one alone where it is only in one of them.
pub type Pair = (Option<usize>, Option<usize>);

/// Pairs by name, in the order of the later list, what is gone before what stood behind it. Of a name that stands
/// several times the first belongs to the first.
pub fn by_name(before: &[String], after: &[String]) -> Vec<Pair> {
    let mut named: BTreeMap<&str, VecDeque<usize>> = BTreeMap::new();
    for (at, name) in before.iter().enumerate() {
        named.entry(name).or_default().push_back(at);
    }
    let mut own = |name: &String| named.get_mut(name.as_str())?.pop_front();
    let kept: Vec<Pair> = after
        .iter()
        .map(&mut own)
        .zip(0..)
        .map(|(old, new)| (old, Some(new)))
        .collect();
    // What is gone, by the place in the later list that it stands before.
    let places = kept
        .iter()
        .zip(0..)
        .filter_map(|((old, _), place)| Some(((*old)?, place)));
    let places: BTreeMap<usize, usize> = places.collect();
    let mut gone: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for at in (0..before.len()).filter(|at| !places.contains_key(at)) {
        let behind = places
            .range(at..)
            .next()
            .map_or(kept.len(), |(_, place)| *place);
        gone.entry(behind).or_default().push(at);
    }
    let mut pairs = Vec::with_capacity(before.len() + after.len());
    for (place, pair) in kept.into_iter().map(Some).chain([None]).enumerate() {
        let gone = gone.remove(&place).unwrap_or_default();
        pairs.extend(gone.into_iter().map(|at| (Some(at), None)));
        pairs.extend(pair);
    }
    pairs
}

/// Lists longer than this are not searched for what they have in common, which takes their product of steps: their
/// items belong together by their places. A table has tens of rows.
const LONGEST: usize = 2000;

/// Pairs by the longest run that the lists have in common; between its parts `alike` says which of the rest belong
/// together, in their order.
pub fn by_run(
    before: &[String],
    after: &[String],
    alike: impl Fn(usize, usize) -> f64,
) -> Vec<Pair> {
    let same = |(one, other): &(&String, &String)| one == other;
    let start = before.iter().zip(after).take_while(same).count();
    let rest = |list: &[String]| list.len() - start;
    let end = before
        .iter()
        .rev()
        .zip(after.iter().rev())
        .take_while(same)
        .count();
    let end = end.min(rest(before)).min(rest(after));
    let (old, new) = (start..before.len() - end, start..after.len() - end);
    let mut pairs: Vec<Pair> = (0..start).map(|at| (Some(at), Some(at))).collect();
    let own = before.get(old.clone()).unwrap_or_default();
    let other = after.get(new.clone()).unwrap_or_default();
    pairs.extend(between((own, old), (other, new), alike));
    let ends = (0..end).rev();
    pairs.extend(ends.map(|at| (Some(before.len() - 1 - at), Some(after.len() - 1 - at))));
    pairs
}

/// The same of what lies between a common start and a common end.
fn between(
    (before, old): (&[String], Range<usize>),
    (after, new): (&[String], Range<usize>),
    alike: impl Fn(usize, usize) -> f64,
) -> Vec<Pair> {
    let longest = before.len().max(after.len());
    if longest > LONGEST {
        let at = |range: &Range<usize>, at: usize| range.clone().nth(at);
        return (0..longest)
            .map(|place| (at(&old, place), at(&new, place)))
            .collect();
    }
    let (from, to) = (old.start, new.start);
    let mut pairs = Vec::new();
    for op in capture_diff_slices(Algorithm::Myers, before, after) {
        match op {
            DiffOp::Equal {
                old_index,
                new_index,
                len,
            } => {
                let both = |at| (Some(from + old_index + at), Some(to + new_index + at));
                pairs.extend((0..len).map(both));
            }
            DiffOp::Delete {
                old_index, old_len, ..
            } => {
                pairs.extend((0..old_len).map(|at| (Some(from + old_index + at), None)));
            }
            DiffOp::Insert {
                new_index, new_len, ..
            } => {
                pairs.extend((0..new_len).map(|at| (None, Some(to + new_index + at))));
            }
            DiffOp::Replace {
                old_index,
                old_len,
                new_index,
                new_len,
            } => {
                let old = from + old_index..from + old_index + old_len;
                let new = to + new_index..to + new_index + new_len;
                pairs.extend(nearest(old, new, &alike));
            }
        }
    }
    pairs
}

/// Both in their order: each of the shorter list with the nearest of the longer one that leaves room for the rest.
fn nearest(
    mut old: Range<usize>,
    mut new: Range<usize>,
    alike: impl Fn(usize, usize) -> f64,
) -> Vec<Pair> {
    let mut pairs = Vec::new();
    while let (Some(first_old), Some(first_new)) = (old.clone().next(), new.clone().next()) {
        let far = alike(first_old, first_new);
        let spare_old = old.len() > new.len();
        let spare_new = new.len() > old.len();
        if spare_old && alike(first_old + 1, first_new) < far {
            pairs.push((old.next(), None));
        } else if spare_new && alike(first_old, first_new + 1) < far {
            pairs.push((None, new.next()));
        } else {
            pairs.push((old.next(), new.next()));
        }
    }
    pairs.extend(old.map(|at| (Some(at), None)));
    pairs.extend(new.map(|at| (None, Some(at))));
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Vec<String> {
        text.chars().map(String::from).collect()
    }

    #[test]
    fn names_belong_together_wherever_they_stand() {
        let pairs = by_name(&names("abca"), &names("bada"));
        let expected = [
            (Some(1), Some(0)),
            (Some(0), Some(1)),
            (None, Some(2)),
            (Some(3), Some(3)),
        ];
        assert!(
            expected.iter().all(|pair| pairs.contains(pair)),
            "{pairs:?}"
        );
        assert!(pairs.contains(&(Some(2), None)) && pairs.len() == 5);
        // What is gone stands where it stood.
        let gone = by_name(&names("axbyc"), &names("abc"));
        let old: Vec<usize> = gone.iter().filter_map(|(old, _)| *old).collect();
        assert_eq!(old, [0, 1, 2, 3, 4]);
    }

    #[test]
    fn what_is_put_between_moves_nothing_else() {
        let far = |old: usize, new: usize| (old as f64 - new as f64).abs();
        let pairs = by_run(&names("abcd"), &names("abxcd"), far);
        assert_eq!(
            pairs
                .iter()
                .filter(|(old, new)| old.is_none() && new.is_some())
                .count(),
            1
        );
        assert!(pairs.contains(&(Some(2), Some(3))));
        // One of two is another: the nearer one belongs to it.
        let values = ([1.0, 2.0, 3.0], [1.0, 2.9]);
        let far = |old: usize, new: usize| -> f64 { values.0[old] - values.1[new] };
        let pairs = by_run(&names("abc"), &names("ax"), |old, new| far(old, new).abs());
        assert_eq!(
            pairs,
            [(Some(0), Some(0)), (Some(1), None), (Some(2), Some(1))]
        );
    }
}
