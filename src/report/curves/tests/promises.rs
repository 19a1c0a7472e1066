//! What every chart promises, whatever it shows.

use super::super::axis::{Axis, Scale};
use super::super::decades::equal_decades;
use super::super::*;
use super::samples::*;

fn all(id: &str) -> Vec<String> {
    vec![
        excitation().svg(id),
        ratio(ErrorKind::Ratio).svg(id),
        ratio(ErrorKind::Phase).svg(id),
        parallelogram().svg(id),
        factor(true).svg(id),
        waveform().svg(id),
    ]
}

/// Every element is closed in order, attributes are quoted, no bare `&` or `<`.
pub(super) fn assert_well_formed(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for (index, piece) in svg.split('<').enumerate().skip(1) {
        let (tag, text) = piece
            .split_once('>')
            .unwrap_or_else(|| panic!("piece {index}: {piece}"));
        let name = tag.split([' ', '/']).find(|part| !part.is_empty()).unwrap();
        assert!(
            ["svg", "title", "desc", "g", "path", "text"].contains(&name),
            "element {name}"
        );
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        assert!(!text.contains('>'));
        for rest in text.split('&').skip(1) {
            assert!(
                ["amp;", "lt;", "gt;", "quot;", "#39;"]
                    .iter()
                    .any(|e| rest.starts_with(e)),
                "{text}"
            );
        }
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert!(open.is_empty());
    assert!(!svg.chars().any(char::is_control));
    let numbers = svg.replace("title", "").to_lowercase();
    assert!(
        !numbers.contains("nan") && !numbers.contains("inf"),
        "{svg}"
    );
}

#[test]
fn charts_are_well_formed_and_named() {
    for svg in all("a") {
        assert_well_formed(&svg);
        assert!(svg.contains(r#"role="img" aria-labelledby="a-title a-desc""#));
        assert!(svg.contains(r#"<title id="a-title">"#) && svg.contains(r#"<desc id="a-desc">"#));
        assert!(!svg.contains("px") && !svg.contains("style="));
    }
}

#[test]
fn an_excitation_chart_is_small() {
    let mut chart = excitation();
    chart.readings = dense(&readings(), 3).into_iter().take(25).collect();
    assert!((190..=210).contains(&chart.curve.len()));
    let full = chart.svg("exc").len();
    chart.others.clear();
    let plain = chart.svg("exc").len();
    assert!(full < 15_000 && plain < 10_000, "{full} {plain} bytes");
}

#[test]
fn same_input_same_bytes() {
    assert_eq!(all("x"), all("x"));
}

#[test]
fn the_id_starts_every_id_and_cannot_break_out() {
    let svg = excitation().svg("\"><script>1");
    assert_well_formed(&svg);
    assert!(svg.contains("id=\"script1-title\""));
    assert!(excitation().svg("9").contains("id=\"c9-title\""));
}

#[test]
fn hostile_text_is_text() {
    let mut chart = excitation();
    let bad = "<script>alert(1)</script> & \"q\" \u{0}\u{1b}\u{202e}\n'";
    chart.title = bad.into();
    chart.description = bad.into();
    chart.others[0].name = bad.into();
    chart.knees[0].label = bad.into();
    chart.limits[0].name = bad.into();
    let svg = chart.svg("x");
    assert_well_formed(&svg);
    assert!(svg.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;q&quot; &#39;"));
}

#[test]
fn every_name_is_shown_even_where_the_plot_is_full() {
    let mut chart = excitation();
    for n in 0..60 {
        chart
            .knees
            .push(mark(&format!("knee number {n}"), "300 V", 7e-3, 300.0));
        chart.limits.push(Limit {
            name: format!("limit number {n}"),
            kind: LimitKind::Horizontal(300.0),
        });
    }
    let svg = chart.svg("x");
    assert_well_formed(&svg);
    for n in 0..60 {
        assert!(
            svg.contains(&format!(">knee number {n}<"))
                || svg.contains(&format!(">knee number {n}: 300 V<"))
        );
        assert!(svg.contains(&format!(">limit number {n}<")));
    }
}

#[test]
fn decades_are_equally_long_and_hold_the_points() {
    for points in [
        readings(),
        vec![(1e-3, 1e3)],
        vec![(1e-9, 1e-3), (1e3, 1e9)],
        vec![],
    ] {
        let axes = equal_decades(points.clone().into_iter());
        let (across, down) = (
            120.0 / (axes.x.hi - axes.x.lo),
            axes.height / (axes.y.hi - axes.y.lo),
        );
        assert!((across / down - 1.0).abs() < 1e-9 && (across / axes.decade - 1.0).abs() < 1e-9);
        assert!(axes.height <= 150.001);
        for point in points {
            assert!(
                (0.0..=1.0).contains(&axes.x.part(point.0))
                    && (0.0..=1.0).contains(&axes.y.part(point.1))
            );
        }
    }
}

#[test]
fn points_without_a_place_are_counted_not_hidden() {
    let mut chart = excitation();
    chart
        .readings
        .extend([(0.0, 10.0), (1e-3, -1.0), (f64::NAN, 1.0)]);
    assert!(
        chart
            .svg("x")
            .contains("3 points without a positive value are not drawn.")
    );
}

#[test]
fn an_empty_chart_says_so() {
    let mut chart = excitation();
    assert!(!chart.svg("x").contains("no values"));
    (chart.curve, chart.readings, chart.others) = (Vec::new(), Vec::new(), Vec::new());
    (chart.knees, chart.limits) = (Vec::new(), Vec::new());
    assert!(chart.svg("x").contains("There are no values to draw."));
}

#[test]
fn plotters_sees_the_same_axis() {
    use plotters::coord::ranged1d::Ranged;
    let axis = Axis {
        scale: Scale::Log,
        lo: -3.0,
        hi: 1.0,
    };
    assert_eq!(
        [1e-3, 1e-1, 10.0].map(|v| axis.map(&v, (0, 4000))),
        [0, 2000, 4000]
    );
    assert_eq!(axis.map(&0.1, (4000, 0)), 2000);
    let points = axis.key_points(100usize);
    assert!(points.iter().any(|v| (v / 1e-3 - 1.0).abs() < 1e-9) && points.len() >= 5);
    assert!(axis.key_points(3usize).len() <= 3);
}

/// Corners of class 0.3 at 100 % of rated current: 2600 x 0.006 = 15.6 minutes (IEEE C57.13, 5.3,
/// from memory). The axes run from -20 to 20 minutes over 120 mm.
#[test]
fn the_parallelogram_has_its_published_corners() {
    let mut chart = parallelogram();
    chart.limits.truncate(1);
    chart.points.clear();
    let svg = chart.svg("x");
    let path = svg.split("class=\"limit\"").nth(1).unwrap();
    let data = path
        .split(" d=\"M")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    let second: Vec<i32> = {
        let step = data.split('l').nth(1).unwrap();
        let (dx, rest) = step.split_once('-').unwrap();
        [dx, rest.split([' ', '-']).next().unwrap()]
            .map(|n| n.parse().unwrap())
            .to_vec()
    };
    assert!(svg.contains(">\u{2212}20<") && svg.contains(">20<"));
    assert_eq!(second[0], 15 * 300 + 180);
}

#[test]
fn the_style_covers_light_dark_and_print() {
    assert!(STYLE.contains("prefers-color-scheme:dark") && STYLE.contains("@media print"));
    for class in [
        "grid",
        "frame",
        "reading",
        "limit",
        "knee",
        "curve-this",
        "curve-sister",
        "curve-earlier",
        "curve-factory",
    ] {
        assert!(STYLE.contains(&format!("path.{class}")), "{class}");
    }
    assert_eq!(STYLE.matches('{').count(), STYLE.matches('}').count());
}
