//! The coverage factor where few readings make up the uncertainty: Student's distribution instead of
//! the normal one (JCGM 100:2008, G.3 and G.4).

use core::f64::consts::{FRAC_PI_2, PI, SQRT_2};

/// From here on the factor is the normal distribution's to three digits.
const MANY: f64 = 1000.0;

/// The factor that covers, with this many effective degrees of freedom, as much as `k` covers of the
/// normal distribution; broken numbers of degrees are cut to the whole one below (JCGM 100:2008, G.4.1).
pub fn factor(k: f64, freedom: f64) -> f64 {
    if freedom.is_nan() || freedom >= MANY {
        return k;
    }
    let covered = libm::erf(k / SQRT_2);
    let usable = k > 0.0 && covered < 1.0;
    if !usable {
        return k;
    }
    // Below `MANY`, so that nothing is lost.
    let whole = freedom.max(1.0) as u32;
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if within(middle, whole) < covered {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::from(whole).sqrt() * libm::tan(0.5 * (low + high))
}

/// Probability that Student's t of `freedom` degrees lies within ± sqrt(freedom) tan(angle): the finite
/// sums for whole degrees (M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 26.7.3 and
/// 26.7.4, from memory; held against JCGM 100:2008, Table G.2).
fn within(angle: f64, freedom: u32) -> f64 {
    let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
    let odd = freedom % 2 == 1;
    let mut term = if odd { cosine } else { 1.0 };
    let mut sum = if freedom == 1 { 0.0 } else { term };
    let mut step = if odd { 3 } else { 2 };
    while step < freedom {
        term *= f64::from(step - 1) / f64::from(step) * cosine * cosine;
        sum += term;
        step += 2;
    }
    if odd {
        2.0 / PI * (angle + sine * sum)
    } else {
        sine * sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, Table G.2, column of 95.45 %, from memory.
    #[test]
    fn the_factors_of_the_guide() {
        let table = [
            (1.0, 13.97),
            (2.0, 4.53),
            (3.0, 3.31),
            (4.0, 2.87),
            (5.0, 2.65),
            (6.0, 2.52),
            (7.0, 2.43),
            (8.0, 2.37),
            (9.0, 2.32),
            (10.0, 2.28),
            (20.0, 2.13),
            (50.0, 2.05),
            (100.0, 2.025),
        ];
        for (freedom, k) in table {
            let ours = factor(2.0, freedom);
            assert!((ours - k).abs() < 0.0055, "{freedom}: {ours}, not {k}");
        }
        assert_eq!(factor(2.0, f64::INFINITY), 2.0);
    }

    /// The column of 99.73 %, k = 3 of the normal distribution: 235.8 at one degree, 19.21 at two.
    #[test]
    fn three_widths_of_the_normal_distribution() {
        for (freedom, k) in [(1.0, 235.8), (2.0, 19.21), (3.0, 9.22), (10.0, 3.96)] {
            let ours = factor(3.0, freedom);
            assert!((ours / k - 1.0).abs() < 0.002, "{freedom}: {ours}, not {k}");
        }
    }

    #[test]
    fn broken_degrees_are_cut_and_odd_factors_stay() {
        assert_eq!(factor(2.0, 1.9), factor(2.0, 1.0));
        assert_eq!(factor(2.0, 0.2), factor(2.0, 1.0));
        assert_eq!(factor(0.0, 1.0), 0.0);
        assert_eq!(factor(10.0, 1.0), 10.0);
        assert!(factor(f64::NAN, 1.0).is_nan());
        for freedom in 1..999 {
            let at = |n: i32| factor(2.0, f64::from(n));
            assert!(at(freedom) > at(freedom + 1) && at(freedom + 1) > 2.0);
        }
    }
}
