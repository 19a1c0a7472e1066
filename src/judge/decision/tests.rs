//! Laws of the decision rule.

use super::DecisionRule::{GuardBand, SimpleAcceptance};
use super::*;
use proptest::prelude::*;

fn any_requirement() -> impl Strategy<Value = Requirement> {
    let limit = || proptest::option::of(-1e3..1e3);
    (limit(), limit()).prop_map(|(lower, upper)| Requirement { lower, upper })
}

fn any_rule() -> impl Strategy<Value = DecisionRule> {
    prop_oneof![
        Just(SimpleAcceptance),
        (0.0..3.0).prop_map(|factor| GuardBand { factor }),
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
        let rule = if guard { GuardBand { factor } } else { SimpleAcceptance };
        let decision = decide(value, u, &Requirement { lower, upper }, rule, needs_u);
        if !value.is_finite() {
            prop_assert_eq!(decision, Err(WhyNot::ValueUnusable));
        }
        let said = describe(&by_rule(rule));
        prop_assert!(!said.contains("NaN") && !said.contains("inf "));
    }

    #[test]
    fn moving_away_from_the_allowed_side_never_improves_the_word(
        limit in on_grid(), step in 0.0f64..4.0, start in on_grid(), u in proptest::option::of(0.0f64..2.0),
        rule in any_rule(), needs_u in any::<bool>(),
    ) {
        for (req, step) in [(Requirement::at_most(limit), step), (Requirement::at_least(limit), -step)] {
            let at = |value| decide(value, u, &req, rule, needs_u);
            match (at(start), at(start + step)) {
                (Ok(before), Ok(after)) => prop_assert!(after >= before, "{before:?} became {after:?}"),
                (before, after) => prop_assert_eq!(before, after, "U decides that, not the value"),
            }
        }
    }

    #[test]
    fn leaving_the_middle_of_two_limits_never_improves_the_word(
        middle in on_grid(), half in 0.0f64..3.0, near in 0.0f64..4.0, more in 0.0f64..4.0,
        u in 0.0f64..2.0, rule in any_rule(), side in prop_oneof![Just(-1.0), Just(1.0)],
    ) {
        let req = Requirement::between(middle - half, middle + half);
        let at = |away: f64| decide(middle + side * away, Some(u), &req, rule, false).unwrap();
        prop_assert!(at(near + more) >= at(near));
    }

    /// A band of no width and simple acceptance are one rule.
    #[test]
    fn a_guard_band_without_width_is_simple_acceptance(
        value in on_grid(), req in any_requirement(), u in 0.0f64..2.0, needs_u in any::<bool>(),
    ) {
        let by = |rule| decide(value, Some(u), &req, rule, needs_u);
        prop_assert_eq!(by(GuardBand { factor: 0.0 }), by(SimpleAcceptance));
    }

    /// A lower limit is an upper limit seen in a mirror.
    #[test]
    fn limits_mirror(value in on_grid(), limit in on_grid(), u in 0.0f64..2.0, rule in any_rule()) {
        let by = |value, req| decide(value, Some(u), &req, rule, false);
        prop_assert_eq!(
            by(value, Requirement::at_most(limit)),
            by(-value, Requirement::at_least(-limit))
        );
    }

    /// A pass with w = U means at least 97.7 % where U is 2 u, a fail at most 2.3 %.
    #[test]
    fn words_and_probability_agree(value in on_grid(), limit in on_grid(), u in 0.01f64..2.0) {
        let p = phi((limit - value) / u);
        let word = decide(value, Some(2.0 * u), &Requirement::at_most(limit), W_IS_U, false);
        let holds = match word.unwrap() {
            Word::Pass => p >= 0.977,
            Word::ConditionalPass => (0.4999..=0.9773).contains(&p),
            Word::ConditionalFail => (0.0227..=0.5001).contains(&p),
            Word::Fail => p <= 0.0228,
        };
        prop_assert!(holds, "{word:?} at {p}");
    }
}

fn by_rule(rule: DecisionRule) -> Criteria {
    Criteria {
        rule,
        ..Criteria::default()
    }
}

/// A known part of U is a lower bound: it can take a word away, and give none.
#[test]
fn a_part_of_the_uncertainty_only_takes_words_away() {
    let req = Requirement::at_most(100.0);
    let by = |value: f64| decide_by_part(value, 1.0, &req, W_IS_U);
    assert_eq!(by(98.9), Ok(Word::Pass));
    assert_eq!(by(99.1), Err(WhyNot::UncertaintyKnownInPart));
    assert_eq!(by(100.9), Err(WhyNot::UncertaintyKnownInPart));
    assert_eq!(by(101.1), Ok(Word::Fail));
    let none = |value: f64| decide_by_part(value, 0.0, &req, W_IS_U);
    assert_eq!((none(100.0), none(100.1)), (Ok(Word::Pass), Ok(Word::Fail)));
    let simple = decide_by_part(100.1, 1.0, &req, SimpleAcceptance);
    assert_eq!(simple, Ok(Word::Fail));
}

const W_IS_U: DecisionRule = GuardBand { factor: 1.0 };

#[test]
fn equality_takes_the_better_word() {
    // Decimal boundaries that binary fractions miss: 0.3 - 0.1 is not 0.2 in bits.
    let bounds = [
        (3.0, 0.2),
        (0.3, 0.1),
        (0.7, 0.1),
        (1.1, 0.3),
        (500.0, 100.0),
    ];
    for (t, w) in bounds {
        let word = |y: f64| decide(y, Some(w), &Requirement::at_most(t), W_IS_U, false);
        let ends = [t - w, t, t + w, t + w * 1.000_001].map(|y| word(y).unwrap());
        let words = [
            Word::Pass,
            Word::ConditionalPass,
            Word::ConditionalFail,
            Word::Fail,
        ];
        assert_eq!(ends, words, "{t} and {w}");
    }
    let below = decide(0.2, Some(0.1), &Requirement::at_most(0.3), W_IS_U, false);
    assert_eq!(below, Ok(Word::Pass));
    let simple = |y, t| decide(y, None, &Requirement::at_most(t), SimpleAcceptance, false);
    for (y, t) in [(0.3, 0.3), (0.1 + 0.2, 0.3), (-5.0, -5.0), (0.0, 0.0)] {
        assert_eq!(simple(y, t), Ok(Word::Pass), "{y} at {t}");
    }
    assert_eq!(simple(0.300_001, 0.3), Ok(Word::Fail));
}

#[test]
fn a_measuring_class_gets_no_word_without_a_fitting_uncertainty() {
    let one = Requirement::at_most(0.2);
    let two = Requirement::between(162.0, 198.0);
    let word = |u: Option<f64>, needs_u: bool| decide(0.1, u, &one, W_IS_U, needs_u);
    assert_eq!(word(None, true), Err(WhyNot::UncertaintyMissing));
    assert_eq!(word(Some(0.07), true), Err(WhyNot::UncertaintyTooLarge));
    assert_eq!(word(Some(0.2 / 3.0), true), Ok(Word::Pass));
    assert_eq!(word(Some(0.07), false), Ok(Word::Pass));
    assert_eq!(word(None, false), Ok(Word::Pass));
    assert_eq!(
        word(Some(f64::NAN), false),
        Err(WhyNot::UncertaintyUnusable)
    );
    let between = |u: f64| decide(180.0, Some(u), &two, W_IS_U, true);
    assert_eq!(between(6.0), Ok(Word::Pass));
    assert_eq!(between(6.1), Err(WhyNot::UncertaintyTooLarge));
}

#[test]
fn the_sentence_tells_the_risk() {
    let said = describe(&by_rule(W_IS_U));
    assert!(
        said.contains("k = 2, a pass is wrong in at most 2.28 %"),
        "{said}"
    );
    let three = Criteria {
        k: 3.0,
        ..by_rule(W_IS_U)
    };
    let said = describe(&three);
    assert!(
        said.contains("k = 3, a pass is wrong in at most 0.13 %"),
        "{said}"
    );
    assert!(describe(&by_rule(SimpleAcceptance)).contains("up to 50 %"));
}
