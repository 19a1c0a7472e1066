//! Which of two lists belong together.

use similar::{Algorithm, DiffOp, capture_diff_slices};

/// Places of the same thing in two lists; one alone where it is only in one of them.
pub type Pair = (Option<usize>, Option<usize>);

/// Pairs by name, in the order of the later list, what is gone at the place that it had. Of a name that stands several
/// times the first belongs to the first.
pub fn by_name(before: &[String], after: &[String]) -> Vec<Pair> {
    let mut taken = vec![false; before.len()];
    let mut pairs: Vec<Pair> = Vec::new();
    for (at, name) in after.iter().enumerate() {
        let same = before.iter().zip(&taken);
        let same = same
            .enumerate()
            .find(|(_, (own, taken))| *own == name && !**taken);
        let same = same.map(|(index, _)| index);
        if let Some(taken) = same.and_then(|index| taken.get_mut(index)) {
            *taken = true;
        }
        pairs.push((same, Some(at)));
    }
    for (index, _) in taken.iter().enumerate().filter(|(_, taken)| !**taken) {
        let behind = pairs
            .iter()
            .position(|(before, _)| before.is_some_and(|at| at > index));
        pairs.insert(behind.unwrap_or(pairs.len()), (Some(index), None));
    }
    pairs
}

/// Pairs by the longest run that the lists have in common; between its parts `alike` says which of the rest belong
/// together, in their order.
pub fn by_run(
    before: &[String],
    after: &[String],
    alike: impl Fn(usize, usize) -> f64,
) -> Vec<Pair> {
    let mut pairs = Vec::new();
    for op in capture_diff_slices(Algorithm::Myers, before, after) {
        match op {
            DiffOp::Equal {
                old_index,
                new_index,
                len,
            } => {
                pairs.extend((0..len).map(|at| (Some(old_index + at), Some(new_index + at))));
            }
            DiffOp::Delete {
                old_index, old_len, ..
            } => {
                pairs.extend((0..old_len).map(|at| (Some(old_index + at), None)));
            }
            DiffOp::Insert {
                new_index, new_len, ..
            } => {
                pairs.extend((0..new_len).map(|at| (None, Some(new_index + at))));
            }
            DiffOp::Replace {
                old_index,
                old_len,
                new_index,
                new_len,
            } => {
                let old = old_index..old_index + old_len;
                let new = new_index..new_index + new_len;
                pairs.extend(nearest(old, new, &alike));
            }
        }
    }
    pairs
}

/// Both in their order: each of the shorter list with the nearest of the longer one that leaves room for the rest.
fn nearest(
    mut old: std::ops::Range<usize>,
    mut new: std::ops::Range<usize>,
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
