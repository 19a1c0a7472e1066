//! Roots: found in plain numbers, then given their exact sensitivities.

use super::num::{Num, constant};

const MOST_STEPS: usize = 200;

/// The root of `f` between `low` and `high`, where its signs differ (Brent's method: inverse
/// quadratic interpolation and secant steps, bisection whenever they do not shrink the bracket;
/// R. P. Brent, Algorithms for Minimization without Derivatives, 1973, ch. 4, from memory).
///
/// `None` when the signs do not differ or `f` is not finite somewhere on the way.
pub fn solve(low: f64, high: f64, mut f: impl FnMut(f64) -> Option<f64>) -> Option<f64> {
    let mut eval = |x: f64| f(x).filter(|y| y.is_finite());
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (eval(a)?, eval(b)?);
    if (fa > 0.0 && fb > 0.0) || (fa < 0.0 && fb < 0.0) {
        return None;
    }
    // b is the best guess, c the other end of the bracket, a the guess before.
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut before = step;
    for _ in 0..MOST_STEPS {
        if (fb > 0.0) == (fc > 0.0) {
            (c, fc) = (a, fa);
            step = b - a;
            before = step;
        }
        if fc.abs() < fb.abs() {
            (a, fa) = (b, fb);
            (b, fb) = (c, fc);
            (c, fc) = (a, fa);
        }
        let tolerance = 2.0 * f64::EPSILON * b.abs();
        let half = 0.5 * (c - b);
        if half.abs() <= tolerance || fb == 0.0 {
            return Some(b);
        }
        let quick = (before.abs() >= tolerance && fa.abs() > fb.abs())
            .then(|| interpolate(a, b, c, fa, fb, fc))
            .filter(|s| {
                let inside = s * half.signum() > 0.0 && s.abs() < 1.5 * half.abs();
                inside && s.abs() < 0.5 * before.abs()
            });
        before = step;
        step = quick.unwrap_or(half);
        if quick.is_none() {
            before = half;
        }
        (a, fa) = (b, fb);
        b += if step.abs() > tolerance {
            step
        } else {
            tolerance * half.signum()
        };
        fb = eval(b)?;
    }
    Some(b)
}

/// The step from `b` by inverse quadratic interpolation, or by the secant when only two points
/// differ.
fn interpolate(a: f64, b: f64, c: f64, fa: f64, fb: f64, fc: f64) -> f64 {
    let s = fb / fa;
    let (p, q) = if a == c {
        ((c - b) * s, 1.0 - s)
    } else {
        let (q, r) = (fa / fc, fb / fc);
        (
            s * ((c - b) * q * (q - r) - (b - a) * (r - 1.0)),
            (q - 1.0) * (r - 1.0) * (s - 1.0),
        )
    };
    -p / q
}

/// The root `x` of `f` as a number with derivatives: one Newton step with `x` held fixed,
/// `x - f(x)/f'(x)`. By the implicit function theorem its derivatives are those of the root.
///
/// `slope` is `df/dx` at `x`. `None` when the result is not finite (a double root has no
/// sensitivities).
pub fn at_root<const N: usize>(
    x: f64,
    slope: f64,
    f: impl FnOnce(Num<N>) -> Num<N>,
) -> Option<Num<N>> {
    let here = constant(x);
    let root = here - f(here) / slope;
    root.is_finite().then_some(root)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::num::seed;

    #[test]
    fn finds_roots_of_easy_and_nasty_functions() {
        type Case = (f64, f64, fn(f64) -> f64, f64);
        let functions: [Case; 7] = [
            (0.0, 2.0, |x| x * x - 2.0, 2f64.sqrt()),
            (2.0, 0.0, |x| x * x - 2.0, 2f64.sqrt()),
            (-1.0, 4.0, |x| (x - 1.0).powi(9), 1.0),
            (0.0, 10.0, |x| x.exp() - 1e4, 1e4f64.ln()),
            (-3.0, 5.0, |x| x.atan() - 0.2, 0.2f64.tan()),
            (0.0, 1.0, |x| if x < 0.3 { -1.0 } else { 1e-9 }, 0.3),
            (0.0, 1.0, |x| x, 0.0),
        ];
        for (n, (low, high, f, expected)) in functions.into_iter().enumerate() {
            let mut calls = 0;
            let x = solve(low, high, |x| {
                calls += 1;
                Some(f(x))
            });
            let tolerance = if n == 2 { 1e-3 } else { 1e-12 };
            assert!((x.unwrap() - expected).abs() < tolerance, "{n}: {x:?}");
            assert!(calls < 200, "{n}: {calls}");
        }
    }

    #[test]
    fn smooth_functions_take_few_calls() {
        let mut calls = 0;
        let x = solve(0.0, 2.0, |x| {
            calls += 1;
            Some(x * x * x - 2.0)
        });
        assert!((x.unwrap() - 2f64.cbrt()).abs() < 1e-14);
        assert!(calls < 15, "{calls}");
    }

    /// Three points of x = 2 + 3 y - 0.5 y^2, in which y is what is brought to zero: the step leads to 2. Two points of
    /// a straight line lead to its root.
    #[test]
    fn a_step_is_exact_where_its_curve_is() {
        let x = |y: f64| 2.0 + 3.0 * y - 0.5 * y * y;
        for [fa, fb, fc] in [[0.5, -0.2, 0.9], [-1.0, 0.3, 1.1], [0.7, 0.4, -0.6]] {
            let step = interpolate(x(fa), x(fb), x(fc), fa, fb, fc);
            assert!((x(fb) + step - 2.0).abs() < 1e-12, "{step}");
        }
        let line = |y: f64| 5.0 - 2.0 * y;
        let step = interpolate(line(0.5), line(-0.2), line(0.5), 0.5, -0.2, 0.5);
        assert!((line(-0.2) + step - 5.0).abs() < 1e-12, "{step}");
    }

    #[test]
    fn refuses_what_is_not_bracketed_or_not_finite() {
        assert!(solve(1.0, 2.0, Some).is_none());
        assert!(solve(-1.0, 1.0, |x| Some(x.sqrt())).is_none());
        assert!(solve(-1.0, 1.0, |_| None).is_none());
    }

    #[test]
    fn the_root_carries_the_derivatives_of_the_root() {
        // x = sqrt(a): dx/da = 1/(2 sqrt(a)).
        let a = seed::<1>(2.0, 0);
        let x = solve(0.0, 2.0, |x| Some(x * x - 2.0)).unwrap();
        let root = at_root(x, 2.0 * x, |x| x * x - a).unwrap();
        assert!((root.v - 2f64.sqrt()).abs() < 1e-15);
        assert!((root.d[0] - 0.5 / 2f64.sqrt()).abs() < 1e-14);
        assert!(at_root(x, 0.0, |x| x * x - a).is_none());
    }
}
