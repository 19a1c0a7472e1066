//! Any numbers and any text: no panic, no text outside the sheet, well-formed output.

use proptest::prelude::*;

use super::super::*;
use super::promises::assert_well_formed;
use super::samples::{mark, series};

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => 1e-6..1e3f64,
        2 => 300.0..303.0f64,
        1 => any::<f64>(),
        1 => prop::sample::select(vec![
            0.0, -0.0, -1.0, 1.0, 1e300, -1e300, f64::MAX, f64::MIN_POSITIVE, 5e-324, 1e-12, 1e12,
            f64::NAN, f64::INFINITY, f64::NEG_INFINITY,
        ]),
    ]
}

fn points() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop_oneof![
        3 => prop::collection::vec((number(), number()), 0..12),
        1 => ((number(), number()), 0..5usize).prop_map(|(point, n)| vec![point; n]),
    ]
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z0-9 ,<>&\"']{0,24}".prop_map(|s| s.replace("nan", "").replace("inf", "")),
        "[\\x00-\\x1f\u{80}-\u{9f}\u{202e}\u{ffff}你%µΩ°é<]{0,300}",
    ]
}

fn limits() -> impl Strategy<Value = Vec<Limit>> {
    let kind = prop_oneof![
        number().prop_map(LimitKind::Horizontal),
        number().prop_map(LimitKind::Vertical),
        (number(), number()).prop_map(|(x, y)| LimitKind::Point(x, y)),
        points().prop_map(LimitKind::Path),
    ];
    prop::collection::vec(
        (text(), kind).prop_map(|(name, kind)| Limit { name, kind }),
        0..6,
    )
}

fn marks() -> impl Strategy<Value = Vec<Mark>> {
    let one = (text(), text(), number(), number());
    prop::collection::vec(
        one.prop_map(|(label, value, x, y)| mark(&label, &value, x, y)),
        0..6,
    )
}

fn sample_series() -> impl Strategy<Value = Vec<Series>> {
    let role = prop::sample::select(vec![Role::This, Role::Sister, Role::Earlier, Role::Factory]);
    prop::collection::vec(
        (text(), role, points()).prop_map(|(name, role, p)| series(&name, role, p)),
        0..9,
    )
}

/// Every place of a text lies on the sheet, by the widths that the layout reckons with.
fn assert_on_sheet(svg: &str) {
    let size = svg
        .split("viewBox=\"0 0 ")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .unwrap();
    let size: Vec<i32> = size.split(' ').map(|n| n.parse().unwrap()).collect();
    for piece in svg.split("<text x=\"").skip(1) {
        let numbers: Vec<i32> = piece
            .split('"')
            .take(3)
            .filter_map(|n| n.parse().ok())
            .collect();
        assert!(
            (0..=size[0]).contains(&numbers[0]) && (0..=size[1]).contains(&numbers[1]),
            "{piece}"
        );
    }
    for data in svg.split(" d=\"M").skip(1) {
        let start: Vec<i32> = data
            .split(['"', 'h', 'l', 'H', 'V', 'L', 'm', 'v', 'a', 'M', 'z'])
            .next()
            .unwrap()
            .split(' ')
            .map(|n| n.parse().unwrap())
            .collect();
        assert!(
            start[0] >= 0 && start[0] <= size[0] && start[1] >= 0 && start[1] <= size[1],
            "{data}"
        );
    }
}

fn check(svg: String) {
    assert_well_formed(&svg);
    assert_on_sheet(&svg);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn excitation_holds(title in text(), curve in points(), readings in points(), others in sample_series(), knees in marks(), limits in limits()) {
        let chart = Excitation { description: title.clone(), title, curve, readings, others, knees, limits };
        check(chart.svg("x"));
    }

    #[test]
    fn ratio_errors_hold(title in text(), runs in sample_series(), envelope in points(), phase in any::<bool>()) {
        let quantity = if phase { ErrorKind::Phase } else { ErrorKind::Ratio };
        check(RatioErrors { description: title.clone(), title, runs, envelope, quantity }.svg("x"));
    }

    #[test]
    fn parallelogram_holds(title in text(), limits in prop::collection::vec((text(), number(), number()), 0..4), points in prop::collection::vec((text(), number(), number()), 0..6)) {
        check(Parallelogram { description: title.clone(), title, limits, points }.svg("x"));
    }

    #[test]
    fn factor_holds(title in text(), points in points(), rated in (number(), number()), connected in prop::option::of((number(), number())), at_least in any::<bool>()) {
        check(FactorOverBurden { description: title.clone(), title, points, rated, connected, at_least }.svg("x"));
    }

    #[test]
    fn waveform_holds(title in text(), primary in points(), secondary in points(), marks in marks()) {
        check(Waveform { description: title.clone(), title, primary, secondary, marks }.svg("x"));
    }
}
