//! What every chart promises, whatever it shows.

use super::apart::faults;
use super::samples::*;
use crate::chart::decades::equal_decades;
use crate::chart::ruler::{Ruler, Scale};
use crate::chart::{Chart, Marks, Pen, Range, STYLE};

fn all() -> Vec<Chart> {
    vec![
        bending(),
        errors(),
        plain(Range::Tight, Range::Holding(0.0)),
        plain(Range::Holding(0.0), Range::Tight),
    ]
}

const ELEMENTS: [&str; 6] = ["svg", "title", "desc", "g", "path", "text"];

/// Every element is closed in order, attributes are quoted, no bare `&` or `<`.
pub(super) fn assert_well_formed(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for piece in svg.split('<').skip(1) {
        let (tag, text) = piece.split_once('>').unwrap_or_else(|| panic!("{piece}"));
        let name = tag.split([' ', '/']).find(|part| !part.is_empty()).unwrap();
        assert!(ELEMENTS.contains(&name), "element {name}");
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        assert!(!text.contains('>'));
        let mut escapes = text.split('&').skip(1);
        let known = |rest: &str| {
            ["amp;", "lt;", "gt;", "quot;", "#39;"]
                .iter()
                .any(|e| rest.starts_with(e))
        };
        assert!(escapes.all(known), "{text}");
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert!(open.is_empty());
    assert!(!svg.chars().any(char::is_control));
    let numbers = svg.to_lowercase();
    assert!(
        !numbers.contains("nan") && !numbers.contains("inf"),
        "{svg}"
    );
}

#[test]
fn charts_stay_as_they_are() {
    insta::assert_snapshot!("bending", bending().svg("a"));
    insta::assert_snapshot!("errors", errors().svg("a"));
}

#[test]
fn charts_are_well_formed_and_named() {
    for chart in all() {
        let svg = chart.clone().svg("a");
        assert_well_formed(&svg);
        assert_eq!(faults(&svg), Vec::<String>::new());
        assert!(svg.contains(r#"role="img" aria-labelledby="a-title a-desc""#));
        assert!(svg.contains(r#"<title id="a-title">"#) && svg.contains(r#"<desc id="a-desc">"#));
        assert!(!svg.contains("px") && !svg.contains("style="));
        assert_eq!(svg, chart.svg("a"));
    }
}

#[test]
fn a_chart_is_small() {
    let mut chart = bending();
    let full = chart.clone().svg("a").len();
    chart.curves.truncate(1);
    let plain = chart.svg("a").len();
    assert!(full < 15_000 && plain < 10_000, "{full} {plain} bytes");
}

#[test]
fn the_id_starts_every_id_and_cannot_break_out() {
    let svg = bending().svg("\"><script>1");
    assert_well_formed(&svg);
    assert!(svg.contains("id=\"script1-title\""));
    assert!(bending().svg("9").contains("id=\"c9-title\""));
}

#[test]
fn hostile_text_is_text() {
    let mut chart = bending();
    let bad = "<script>alert(1)</script> & \"q\" \u{0}\u{1b}\u{202e}\n'";
    for text in [
        &mut chart.title,
        &mut chart.description,
        &mut chart.curves[1].name,
        &mut chart.marks[0].label,
        &mut chart.limits[0].name,
    ] {
        *text = bad.into();
    }
    let svg = chart.svg("x");
    assert_well_formed(&svg);
    let escaped = "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;q&quot; &#39;";
    assert_eq!(svg.matches(escaped).count(), 6);
}

#[test]
fn every_name_is_shown_even_where_the_plot_is_full() {
    let mut chart = bending();
    let name = |what: &str, n: usize| format!("{what} number {n}");
    let marks = (0..60).map(|n| mark(&name("mark", n), "300 V", (7e-3, 300.0)));
    chart.marks.extend(marks);
    let limits = (0..60).map(|n| limit(&name("limit", n), 300.0));
    chart.limits.extend(limits);
    let svg = chart.svg("x");
    assert_well_formed(&svg);
    for n in 0..60 {
        let (here, in_key) = (
            format!(">mark number {n}<"),
            format!("mark number {n}: 300 V<"),
        );
        assert!(svg.contains(&here) || svg.contains(&in_key));
        assert!(svg.contains(&format!("limit number {n}<")));
    }
}

#[test]
fn decades_are_equally_long_and_hold_the_points() {
    let far = vec![(1e-9, 1e-3), (1e3, 1e9)];
    for points in [readings(), vec![(1e-3, 1e3)], far, vec![]] {
        let axes = equal_decades(&points, 70.0, None);
        let across = 70.0 / (axes.x.1 - axes.x.0);
        let down = axes.height / (axes.y.1 - axes.y.0);
        assert!((across / down - 1.0).abs() < 1e-9 && (across / axes.decade - 1.0).abs() < 1e-9);
        assert!(axes.height <= 90.001);
        for (x, y) in points {
            assert!((axes.x.0..=axes.x.1).contains(&x.log10()));
            assert!((axes.y.0..=axes.y.1).contains(&y.log10()));
        }
    }
}

#[test]
fn points_without_a_place_are_counted_not_hidden() {
    let mut chart = bending();
    chart.curves[0].line.extend([(0.0, 10.0), (1e-3, -1.0)]);
    let two = ">2 points have no place on the axes and are not drawn.<";
    assert!(chart.clone().svg("x").contains(two));
    chart.curves[0].line = vec![(f64::NAN, 1.0)];
    let one = ">1 point has no place on the axes and is not drawn.<";
    assert!(chart.svg("x").contains(one));
}

#[test]
fn an_empty_chart_says_so() {
    let mut chart = bending();
    assert!(!chart.clone().svg("x").contains("no values"));
    (chart.curves, chart.marks, chart.limits) = (Vec::new(), Vec::new(), Vec::new());
    assert!(chart.svg("x").contains("There are no values to draw."));
}

/// Colour is never alone: lines of any two curves differ in dash or in mark.
#[test]
fn curves_are_told_apart_without_colour() {
    let mut chart = bending();
    let more = |pen| curve("more", pen, readings(), Marks::Along);
    chart
        .curves
        .extend([Pen::Second, Pen::Third, Pen::Third].map(more));
    let svg = chart.svg("x");
    let mut seen = Vec::new();
    for path in svg.split("<path class=\"").skip(1) {
        let class = path.split('"').next().unwrap();
        let dash = path
            .split_once("stroke-dasharray=\"")
            .filter(|(before, _)| !before.contains('>'));
        let dash = dash.map_or("", |(_, rest)| rest.split('"').next().unwrap());
        if ["second", "third", "fourth"].contains(&class) && !seen.contains(&(class, dash)) {
            seen.push((class, dash));
        }
    }
    assert_eq!(seen.len(), 7, "{seen:?}");
}

#[test]
fn values_and_lines_stand_where_the_axis_says() {
    let axis = Ruler::new(Scale::Log, (-3.0, 1.0), 100.0, 9.0);
    assert_eq!(
        [1e-3, 1e-1, 10.0].map(|v| axis.place(v, (0, 4000))),
        [0, 2000, 4000]
    );
    assert_eq!(axis.place(0.1, (4000, 0)), 2000);
    assert_eq!(
        [0.0, 1e-9, 1e9].map(|v| axis.place(v, (0, 4000))),
        [0, 0, 4000]
    );
    let labelled = axis.ticks.iter().filter(|tick| tick.label.is_some());
    let places = labelled
        .clone()
        .map(|tick| axis.place(tick.value, (0, 4000)));
    assert!(places.eq([0, 1000, 2000, 3000, 4000]));
    assert_eq!(axis.ticks.len() - labelled.count(), 4 * 8);
}

#[test]
fn the_style_covers_light_dark_and_print() {
    assert!(STYLE.contains("prefers-color-scheme:dark") && STYLE.contains("@media print"));
    let classes = [
        "grid", "frame", "point", "limit", "main", "second", "third", "fourth",
    ];
    for class in classes {
        assert!(STYLE.contains(&format!("path.{class}")), "{class}");
    }
    assert_eq!(STYLE.matches('{').count(), STYLE.matches('}').count());
}
