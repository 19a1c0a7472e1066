//! Any numbers and any text: no panic, no text outside the sheet, well-formed output.

use proptest::prelude::*;

use super::apart::assert_labels_apart;
use super::promises::assert_well_formed;
use super::samples::{axis, curve, limit, mark};
use crate::chart::{Axes, Axis, Band, Chart, Curve, Limit, Mark, Marks, Pen, Points, Range, Shape};

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

fn points() -> impl Strategy<Value = Points> {
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

fn marks() -> impl Strategy<Value = Marks> {
    prop_oneof![
        Just(Marks::None),
        Just(Marks::Along),
        points().prop_map(|points| Marks::At(Shape::WallRight, points)),
    ]
}

fn curves() -> impl Strategy<Value = Vec<Curve>> {
    let pen = prop::sample::select(vec![Pen::Main, Pen::Second, Pen::Fourth, Pen::Limit]);
    let one = (text(), pen, points(), marks());
    prop::collection::vec(
        one.prop_map(|(name, pen, line, marks)| curve(&name, pen, line, marks)),
        0..9,
    )
}

fn bands() -> impl Strategy<Value = Vec<Band>> {
    let one = (text(), points(), points()).prop_map(|(name, there, back)| Band {
        name,
        pen: Pen::Second,
        there,
        back,
    });
    prop::collection::vec(one, 0..2)
}

fn any_axis() -> impl Strategy<Value = Axis> {
    let range = prop_oneof![
        Just(Range::Tight),
        number()
            .prop_filter("finite", |v| v.abs() < 1e300)
            .prop_map(Range::Holding),
        (-1e3..1e3f64, 1e-3..1e3f64).prop_map(|(middle, least)| Range::Around { middle, least }),
        Just(Range::Log {
            from: 1.0,
            to: 200.0
        }),
    ];
    (range, prop::option::of(-1.0..1.0f64)).prop_map(|(range, origin)| axis("x / 1", range, origin))
}

fn axes() -> impl Strategy<Value = Axes> {
    prop_oneof![
        Just(Axes::EqualDecades {
            x: "x / A",
            y: "y / V",
            holding: vec![(1.0, 300.0)],
            decade: Some(20.0)
        }),
        (any_axis(), any_axis()).prop_map(|(x, y)| Axes::Plain { x, y }),
    ]
}

fn labelled() -> impl Strategy<Value = (Vec<Limit>, Vec<Mark>)> {
    let limits = (text(), number()).prop_map(|(name, at)| limit(&name, at));
    let marks = (text(), text(), (number(), number()), any::<bool>()).prop_map(
        |(label, value, at, guides)| Mark {
            guides,
            ..mark(&label, &value, at)
        },
    );
    (
        prop::collection::vec(limits, 0..6),
        prop::collection::vec(marks, 0..6),
    )
}

/// Every place of a text lies on the sheet, by the widths that the layout reckons with.
fn assert_on_sheet(svg: &str) {
    /// The first two numbers, whatever stands between and behind them.
    fn two(text: &str) -> [i32; 2] {
        let numbers = text.split(|c: char| !c.is_ascii_digit() && c != '-');
        let mut numbers = numbers.filter(|word| !word.is_empty());
        [(); 2].map(|()| numbers.next().unwrap().parse().unwrap())
    }
    let rest = |start: &'static str| svg.split(start).skip(1);
    let size = rest("viewBox=\"0 0 ").map(two).next().unwrap();
    for place in rest("<text x=\"").chain(rest(" d=\"M")) {
        let [x, y] = two(place);
        assert!(
            (0..=size[0]).contains(&x) && (0..=size[1]).contains(&y),
            "{place}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn charts_hold(title in text(), axes in axes(), curves in curves(), bands in bands(), (limits, marks) in labelled(), note in text()) {
        let chart = Chart { description: title.clone(), title, axes, curves, bands, limits, marks, notes: vec![note] };
        let svg = chart.svg("x");
        assert_well_formed(&svg);
        assert_on_sheet(&svg);
        assert_labels_apart(&svg);
    }
}
