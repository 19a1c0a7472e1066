//! Laws of the decision rule.

use super::*;
use proptest::prelude::*;

fn rank(decision: Decision) -> Option<u8> {
    match decision {
        Decision::Word(Word::Pass) => Some(0),
        Decision::Word(Word::ConditionalPass) => Some(1),
        Decision::Word(Word::ConditionalFail) => Some(2),
        Decision::Word(Word::Fail) => Some(3),
        Decision::NotDecided(_) => None,
    }
}

fn any_requirement() -> impl Strategy<Value = Requirement> {
    let limit = || proptest::option::of(-1e3..1e3);
    (limit(), limit()).prop_map(|(lower, upper)| Requirement { lower, upper })
}

fn any_rule() -> impl Strategy<Value = Rule> {
    prop_oneof![
        Just(Rule::SimpleAcceptance),
        (0.0..3.0).prop_map(|factor| Rule::GuardBand { factor }),
    ]
}

/// Values that fall on boundaries are the ones that could jump.
fn on_grid() -> impl Strategy<Value = f64> {
    prop_oneof![(-40i32..40).prop_map(|n| f64::from(n) * 0.1), -5.0..5.0]
}

proptest! {
    #[test]
    fn no_input_panics_and_nan_is_never_a_word(
        value in proptest::num::f64::ANY,
        u in proptest::option::of(proptest::num::f64::ANY),
        lower in proptest::option::of(proptest::num::f64::ANY),
        upper in proptest::option::of(proptest::num::f64::ANY),
        factor in proptest::num::f64::ANY,
        guard in any::<bool>(),
        needs_u in any::<bool>(),
    ) {
        let req = Requirement { lower, upper };
        let rule = if guard { Rule::GuardBand { factor } } else { Rule::SimpleAcceptance };
        let decision = decide(value, u, &req, rule, needs_u);
        if !value.is_finite() {
            prop_assert_eq!(decision, Decision::NotDecided(WhyNot::ValueUnusable));
        }
        if let Some(p) = conformance_probability(value, u.unwrap_or(1.0), &req) {
            prop_assert!((0.0..=1.0).contains(&p));
        }
        prop_assert!(!describe(rule).contains("NaN") && !describe(rule).contains("inf "));
    }

    #[test]
    fn moving_away_from_the_allowed_side_never_improves_the_word(
        limit in on_grid(), step in 0.0f64..4.0, start in on_grid(), u in proptest::option::of(0.0f64..2.0),
        rule in any_rule(), needs_u in any::<bool>(),
    ) {
        let worse_above = (rank(decide(start, u, &Requirement::at_most(limit), rule, needs_u)),
            rank(decide(start + step, u, &Requirement::at_most(limit), rule, needs_u)));
        let worse_below = (rank(decide(start, u, &Requirement::at_least(limit), rule, needs_u)),
            rank(decide(start - step, u, &Requirement::at_least(limit), rule, needs_u)));
        for pair in [worse_above, worse_below] {
            if let (Some(before), Some(after)) = pair {
                prop_assert!(after >= before, "{before} became {after}");
            }
            prop_assert_eq!(pair.0.is_none(), pair.1.is_none(), "U decides that, not the value");
        }
    }

    #[test]
    fn leaving_the_middle_of_two_limits_never_improves_the_word(
        middle in on_grid(), half in 0.0f64..3.0, near in 0.0f64..4.0, more in 0.0f64..4.0,
        u in 0.0f64..2.0, rule in any_rule(),
    ) {
        let req = Requirement::between(middle - half, middle + half);
        for side in [-1.0, 1.0] {
            let before = rank(decide(middle + side * near, Some(u), &req, rule, false));
            let after = rank(decide(middle + side * (near + more), Some(u), &req, rule, false));
            prop_assert!(after >= before);
        }
    }

    /// A band of no width and simple acceptance are one rule.
    #[test]
    fn a_guard_band_without_width_is_simple_acceptance(
        value in on_grid(), req in any_requirement(), u in 0.0f64..2.0, needs_u in any::<bool>(),
    ) {
        prop_assert_eq!(
            decide(value, Some(u), &req, Rule::GuardBand { factor: 0.0 }, needs_u),
            decide(value, Some(u), &req, Rule::SimpleAcceptance, needs_u)
        );
    }

    /// A lower limit is an upper limit seen in a mirror.
    #[test]
    fn limits_mirror(value in on_grid(), limit in on_grid(), u in 0.0f64..2.0, rule in any_rule()) {
        prop_assert_eq!(
            decide(value, Some(u), &Requirement::at_most(limit), rule, false),
            decide(-value, Some(u), &Requirement::at_least(-limit), rule, false)
        );
    }

    /// A pass with w = U means at least 97.7 % where U is 2 u, a fail at most 2.3 %.
    #[test]
    fn words_and_probability_agree(value in on_grid(), limit in on_grid(), u in 0.01f64..2.0) {
        let req = Requirement::at_most(limit);
        let p = conformance_probability(value, u, &req).unwrap();
        match decide(value, Some(2.0 * u), &req, Rule::GuardBand { factor: 1.0 }, false) {
            Decision::Word(Word::Pass) => prop_assert!(p >= 0.977),
            Decision::Word(Word::ConditionalPass) => prop_assert!((0.4999..=0.9773).contains(&p)),
            Decision::Word(Word::ConditionalFail) => prop_assert!((0.0227..=0.5001).contains(&p)),
            Decision::Word(Word::Fail) => prop_assert!(p <= 0.0228),
            Decision::NotDecided(why) => prop_assert!(false, "{why:?}"),
        }
    }
}

const W_IS_U: Rule = Rule::GuardBand { factor: 1.0 };

#[test]
fn equality_takes_the_better_word() {
    // Decimal boundaries that binary fractions miss: 0.3 - 0.1 is not 0.2 in bits.
    for (t, w) in [
        (3.0, 0.2),
        (0.3, 0.1),
        (0.7, 0.1),
        (1.1, 0.3),
        (500.0, 100.0),
    ] {
        let word = |y: f64| decide(y, Some(w), &Requirement::at_most(t), W_IS_U, false);
        assert_eq!(word(t - w), Decision::Word(Word::Pass), "{t} - {w}");
        assert_eq!(word(t), Decision::Word(Word::ConditionalPass), "{t}");
        assert_eq!(
            word(t + w),
            Decision::Word(Word::ConditionalFail),
            "{t} + {w}"
        );
        assert_eq!(
            word(t + w * 1.000_001),
            Decision::Word(Word::Fail),
            "{t} + {w}"
        );
    }
    assert_eq!(
        decide(0.2, Some(0.1), &Requirement::at_most(0.3), W_IS_U, false),
        Decision::Word(Word::Pass)
    );
    for (y, t) in [(0.3, 0.3), (0.1 + 0.2, 0.3), (-5.0, -5.0), (0.0, 0.0)] {
        let simple = |req: &Requirement| decide(y, None, req, Rule::SimpleAcceptance, false);
        assert_eq!(
            simple(&Requirement::at_most(t)),
            Decision::Word(Word::Pass),
            "{y} at {t}"
        );
    }
    let above = decide(
        0.300_001,
        None,
        &Requirement::at_most(0.3),
        Rule::SimpleAcceptance,
        false,
    );
    assert_eq!(above, Decision::Word(Word::Fail));
}

#[test]
fn a_measuring_class_gets_no_word_without_a_fitting_uncertainty() {
    let req = Requirement::at_most(0.2);
    let why = |u: Option<f64>, needs_u: bool| decide(0.1, u, &req, W_IS_U, needs_u);
    assert_eq!(
        why(None, true),
        Decision::NotDecided(WhyNot::UncertaintyMissing)
    );
    assert_eq!(
        why(Some(0.07), true),
        Decision::NotDecided(WhyNot::UncertaintyTooLarge)
    );
    assert_eq!(why(Some(0.2 / 3.0), true), Decision::Word(Word::Pass));
    assert_eq!(why(Some(0.07), false), Decision::Word(Word::Pass));
    assert_eq!(why(None, false), Decision::Word(Word::Pass));
    assert_eq!(
        why(Some(f64::NAN), false),
        Decision::NotDecided(WhyNot::UncertaintyUnusable)
    );
    let two = Requirement::between(162.0, 198.0);
    let at = |u: f64| decide(180.0, Some(u), &two, W_IS_U, true);
    assert_eq!(at(6.0), Decision::Word(Word::Pass));
    assert_eq!(at(6.1), Decision::NotDecided(WhyNot::UncertaintyTooLarge));
}

#[test]
fn the_sentence_is_that_of_the_rule_that_was_applied() {
    assert_eq!(applied(W_IS_U, None), Rule::SimpleAcceptance);
    assert_eq!(applied(W_IS_U, Some(0.1)), W_IS_U);
    assert!(describe(W_IS_U).contains("2.28 %"), "{}", describe(W_IS_U));
    assert!(describe(Rule::SimpleAcceptance).contains("up to 50 %"));
}
