//! Reads a drawn chart back: no text lies on another one, nor on anything that is drawn but the grid.

use crate::chart::svg::TEXT;
use crate::chart::text::width;

/// Left, upper, right, lower edge.
type Rect = [f64; 4];
type Place = (f64, f64);

/// Odd numbers may crowd the names of an axis; labels keep their places whatever there is.
pub(super) fn assert_labels_apart(svg: &str) {
    let found = among(svg, |text| text.is_label);
    assert!(found.is_empty(), "{found:?}\n{svg}");
}

/// What lies on what.
pub(crate) fn faults(svg: &str) -> Vec<String> {
    among(svg, |_| true)
}

struct Text {
    text: String,
    rect: Rect,
    is_label: bool,
}

fn among(svg: &str, counts: impl Fn(&Text) -> bool) -> Vec<String> {
    let (texts, paths) = read(svg);
    assert!(!texts.is_empty(), "no text was found: {svg}");
    let mut faults = Vec::new();
    for (n, Text { text, rect, .. }) in texts.iter().enumerate().filter(|(_, text)| counts(text)) {
        let others = texts.iter().enumerate();
        let others = others.filter(|(m, other)| *m > n || *m < n && !counts(other));
        let over = others.filter(|(_, other)| overlap(rect, &other.rect));
        faults.extend(over.map(|(_, other)| format!("{text:?} on {:?}", other.text)));
        let crossed = paths.iter().find(|(_, line)| {
            let mut pieces = line.windows(2);
            pieces.any(|piece| crosses(rect, piece[0], piece[1]))
        });
        faults.extend(crossed.map(|(class, _)| format!("{text:?} on a line of {class:?}")));
    }
    faults
}

fn overlap(a: &Rect, b: &Rect) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Whether a straight line has a part inside a rectangle: what is left of it within the four edges.
fn crosses(rect: &Rect, from: Place, to: Place) -> bool {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let mut part = (0.0f64, 1.0f64);
    for (step, room) in [
        (-dx, from.0 - rect[0]),
        (dx, rect[2] - from.0),
        (-dy, from.1 - rect[1]),
        (dy, rect[3] - from.1),
    ] {
        if step == 0.0 {
            if room <= 0.0 {
                return false;
            }
        } else if step < 0.0 {
            part.0 = part.0.max(room / step);
        } else {
            part.1 = part.1.min(room / step);
        }
    }
    part.0 < part.1
}

fn attribute<'t>(tag: &'t str, name: &str) -> Option<&'t str> {
    let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
    rest.split('"').next()
}

type Read = (Vec<Text>, Vec<(String, Vec<Place>)>);

/// Texts with their boxes, and what is drawn with its class.
fn read(svg: &str) -> Read {
    let (mut texts, mut paths) = (Vec::new(), Vec::new());
    let (mut size, mut anchor, mut is_label) = (TEXT, "start", false);
    for piece in svg.split('<').skip(1) {
        let (tag, text) = piece.split_once('>').unwrap();
        if tag == "g" || tag.starts_with("g ") {
            size = attribute(tag, "font-size").map_or(TEXT, |size| size.parse().unwrap());
            anchor = attribute(tag, "text-anchor").unwrap_or("start");
            is_label = attribute(tag, "class").is_some_and(|class| class.starts_with("label"));
        } else if tag.starts_with("text ") {
            let plain = [
                ("&lt;", "<"),
                ("&gt;", ">"),
                ("&quot;", "\""),
                ("&#39;", "'"),
                ("&amp;", "&"),
            ];
            let plain = plain
                .iter()
                .fold(text.to_owned(), |text, (from, to)| text.replace(from, to));
            let rect = box_of(tag, size, anchor, f64::from(width(&plain, size)));
            texts.push(Text {
                text: plain,
                rect,
                is_label,
            });
        } else if tag.starts_with("path ") {
            let class = attribute(tag, "class").unwrap_or_default();
            if !["grid", "frame"].contains(&class) {
                let lines = lines(attribute(tag, "d").unwrap());
                paths.extend(lines.into_iter().map(|line| (class.to_owned(), line)));
            }
        }
    }
    (texts, paths)
}

fn box_of(tag: &str, size: i32, anchor: &str, wide: f64) -> Rect {
    let (above, below) = (0.74 * f64::from(size), 0.22 * f64::from(size));
    let number = |text: &str| text.parse::<f64>().unwrap();
    let back = match anchor {
        "start" => 0.0,
        "middle" => wide / 2.0,
        _ => wide,
    };
    match attribute(tag, "transform") {
        None => {
            let (x, y) = (attribute(tag, "x").unwrap(), attribute(tag, "y").unwrap());
            let (x, y) = (number(x) - back, number(y));
            [x, y - above, x + wide, y + below]
        }
        // From bottom to top.
        Some(turned) => {
            let inside = turned
                .trim_start_matches("translate(")
                .split(')')
                .next()
                .unwrap();
            let (x, y) = inside.split_once(' ').unwrap();
            let (x, y) = (number(x), number(y) + back);
            [x - above, y - wide, x + below, y]
        }
    }
}

/// The lines of path data as places; a circle is the square on its tip inside it.
fn lines(data: &str) -> Vec<Vec<Place>> {
    let mut all: Vec<Vec<Place>> = Vec::new();
    let starts = data.match_indices(|c: char| c.is_ascii_alphabetic());
    let starts: Vec<(usize, &str)> = starts.collect();
    for (n, (start, command)) in starts.iter().enumerate() {
        let end = starts.get(n + 1).map_or(data.len(), |(next, _)| *next);
        let numbers = numbers(data.get(start + 1..end).unwrap());
        let command = command.chars().next().unwrap();
        if command == 'M' {
            all.push(vec![(numbers[0], numbers[1])]);
            continue;
        }
        let line = all.last_mut().unwrap();
        let at = *line.last().unwrap();
        match command {
            'l' => {
                let mut at = at;
                for step in numbers.chunks(2) {
                    at = (at.0 + step[0], at.1 + step[1]);
                    line.push(at);
                }
            }
            'L' => line.push((numbers[0], numbers[1])),
            'H' => line.push((numbers[0], at.1)),
            'V' => line.push((at.0, numbers[0])),
            'h' => line.push(at),
            'z' => line.push(line[0]),
            'a' => {
                let (r, across) = (numbers[0], numbers[5]);
                let side = r * across.signum();
                line.extend([(at.0 + side, at.1 + side), (at.0 + across, at.1)]);
            }
            other => panic!("{other} in {data}"),
        }
    }
    all
}

/// Numbers divided by blanks, or by a sign alone.
fn numbers(text: &str) -> Vec<f64> {
    let spaced = text.replace('-', " -");
    let words = spaced.split([' ', ',']).filter(|word| !word.is_empty());
    words.map(|word| word.parse().unwrap()).collect()
}

#[test]
fn what_lies_on_something_is_found() {
    let drawn = |body: &str| format!("<svg font-size=\"250\">{body}</svg>");
    let text = "<g><text x=\"100\" y=\"500\">here</text></g>";
    let line = |d: &str| drawn(&format!("{text}<path class=\"main\" d=\"{d}\"/>"));
    assert_eq!(faults(&line("M0 400l900 5")).len(), 1);
    assert_eq!(faults(&line("M300 100V900")).len(), 1);
    assert_eq!(
        faults(&line("M150 400a60 60 0 1 0 120 0a60 60 0 1 0-120 0z")).len(),
        1
    );
    assert!(faults(&line("M0 900l900 5")).is_empty());
    let grid = drawn(&format!("{text}<path class=\"grid\" d=\"M0 400l900 5\"/>"));
    assert!(faults(&grid).is_empty());
    let twice = drawn(&format!(
        "{text}<g><text x=\"300\" y=\"600\">there</text></g>"
    ));
    assert_eq!(faults(&twice).len(), 1);
}
