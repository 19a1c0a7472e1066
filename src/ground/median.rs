//! The middle of some values.

/// The middle one; of an even number the mean of the two in the middle. None of no values, nor where it is no
/// finite number. Sorts them.
#[must_use]
pub fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = *values.get(values.len() / 2)?;
    let lower = *values.get(values.len().checked_sub(1)? / 2)?;
    let median = 0.5 * lower + 0.5 * upper;
    median.is_finite().then_some(median)
}

#[cfg(test)]
mod tests {
    use super::median;

    #[test]
    fn the_middle_of_odd_and_even_counts() {
        assert_eq!(median(&mut []), None);
        assert_eq!(median(&mut [3.0, 1.0, 9.0]), Some(3.0));
        assert_eq!(median(&mut [4.0, 1.0, 9.0, 2.0]), Some(3.0));
        assert_eq!(median(&mut [f64::NAN]), None);
    }
}
