//! Labels and the room they find.

use crate::chart::Shape;
use crate::chart::space::{Area, Side, Space};
use crate::chart::text::{clean, width, wrap};

const FRAME: Area = Area {
    x: 1000,
    y: 500,
    w: 7_000,
    h: 6_600,
};

fn apart(a: Area, b: Area) -> bool {
    a.x + a.w <= b.x || b.x + b.w <= a.x || a.y + a.h <= b.y || b.y + b.h <= a.y
}

#[test]
fn labels_of_near_points_lie_inside_and_apart() {
    let (mut space, mut areas) = (Space::new(FRAME), Vec::new());
    for n in 0..40 {
        let point = (4000 + 20 * n, 3000 - 15 * n);
        if let Some(spot) = space.near((3000, 720), point, Side::Any) {
            assert!(areas.iter().all(|area| apart(*area, spot.area)));
            assert!(spot.area.x >= 1000 && spot.area.x + spot.area.w <= 13_000);
            assert!(spot.area.y >= 500 && spot.area.y + spot.area.h <= 7_100);
            areas.push(spot.area);
        }
    }
    assert!((5..40).contains(&areas.len()), "{areas:?}");
}

#[test]
fn a_label_avoids_marks_and_rather_curves() {
    let mut space = Space::new(FRAME);
    space.curve((0..=100).map(|n| (1000 + 70 * n, 7100 - 66 * n)));
    space.keep_mark((4500, 3800), Shape::Circle);
    let spot = space.near((2500, 720), (4500, 3800), Side::LowerRight);
    let spot = spot.unwrap();
    let (x, y) = (spot.area.x, spot.area.y);
    // Below the rising line is where, at each y, the line lies to the left.
    assert!(x >= 4500 && y >= 3800, "{:?}", spot.area);
    assert!(x - 4500 < 800 && y - 3800 < 800, "{:?}", spot.area);
}

#[test]
fn no_room_is_said_not_forced() {
    let mut space = Space::new(FRAME);
    space.keep_free(FRAME);
    assert!(space.near((100, 100), (5000, 3000), Side::Any).is_none());
    let (mut space, wide) = (Space::new(FRAME), (7_500, 720));
    assert!(space.near(wide, (5000, 3000), Side::Any).is_none());
}

#[test]
fn text_is_wrapped_within_its_room_and_whole() {
    let text = "required knee voltage by the rule of the protection, in the tap in service";
    let lines = wrap(text, 300, 4000, 9);
    assert!(lines.len() > 1 && lines.iter().all(|line| width(line, 300) <= 4000));
    assert_eq!(lines.join(" "), text);
    let long = wrap(&"x".repeat(5000), 300, 4000, 3);
    assert!(long.len() == 3 && long[2].ends_with('…'));
    assert!(wrap("", 300, 4000, 3).is_empty());
}

#[test]
fn widths_count_characters_not_bytes() {
    assert_eq!(width("Ω°µ", 100), 3 * width("Ω", 100));
    assert_eq!(clean("a\u{0}\tb\u{202e}\n c"), "a b c");
}
