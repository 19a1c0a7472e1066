//! Invented data: a bending curve on equal decades, and errors around zero.

use crate::chart::{Axes, Axis, Chart, Curve, Limit, Mark, Marks, Pen, Points, Range, Shape, Side};

pub(super) fn readings() -> Points {
    let up = [
        25.0, 50.1, 100.3, 200.2, 300.4, 350.2, 400.1, 420.3, 440.2, 460.1,
    ];
    let across = [1.31, 1.92, 2.84, 4.53, 7.40, 13.1, 41.8, 83.5, 171.0, 352.0];
    across
        .map(|milli| milli / 1e3)
        .into_iter()
        .zip(up)
        .collect()
}

/// Straight lines between the logarithms, `n` points a piece.
pub(super) fn dense(points: &[(f64, f64)], n: u32) -> Points {
    let mut all = Points::new();
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let at = |step: u32| {
            let between = |a: f64, b: f64| a * libm::pow(b / a, f64::from(step) / f64::from(n));
            (between(from.0, to.0), between(from.1, to.1))
        };
        all.extend((0..n).map(at));
    }
    all.extend(points.last());
    all
}

pub(super) fn mark(label: &str, value: &str, at: (f64, f64)) -> Mark {
    Mark {
        label: label.into(),
        value: value.into(),
        at,
        shape: Shape::Diamond,
        pen: Pen::Point,
        side: Side::LowerRight,
        guides: false,
    }
}

pub(super) fn limit(name: &str, at: f64) -> Limit {
    Limit {
        name: name.into(),
        at,
    }
}

pub(super) fn curve(name: &str, pen: Pen, line: Points, marks: Marks) -> Curve {
    Curve {
        name: name.into(),
        pen,
        line,
        marks,
        off: None,
    }
}

pub(super) fn axis(title: &'static str, range: Range, origin: Option<f64>) -> Axis {
    Axis {
        title: title.into(),
        range,
        origin,
    }
}

pub(super) fn bending() -> Chart {
    let readings = readings();
    let scaled = |x: f64, y: f64| readings.iter().map(|p| (p.0 * x, p.1 * y)).collect();
    let own = Marks::At(Shape::Circle, readings.clone());
    Chart {
        title: "A curve that bends over".into(),
        description: "Ten readings from 25.0 V to 460.1 V.".into(),
        axes: Axes::EqualDecades {
            x: "current / A",
            y: "voltage / V",
            holding: Points::new(),
            decade: None,
        },
        curves: vec![
            curve(
                "readings, interpolated",
                Pen::Main,
                dense(&readings, 22),
                own,
            ),
            curve("another", Pen::Second, scaled(1.12, 0.985), Marks::Along),
            curve("one more", Pen::Second, scaled(0.93, 1.01), Marks::Along),
            curve("earlier", Pen::Third, scaled(1.03, 0.97), Marks::Along),
            curve("first", Pen::Fourth, scaled(0.8, 1.03), Marks::Along),
        ],
        bands: Vec::new(),
        limits: vec![limit("at least 210 V", 210.0)],
        marks: vec![
            mark("bend, 45°", "235.2 V, 5.42 mA", (5.42e-3, 235.2)),
            mark("bend, 30°", "287.6 V, 6.92 mA", (6.92e-3, 287.6)),
            mark("bend, 10 %", "316.8 V, 8.51 mA", (8.51e-3, 316.8)),
            Mark {
                shape: Shape::WallRight,
                pen: Pen::Limit,
                side: Side::Any,
                ..mark("at 356.8 V at most 1.00 A", "", (1.0, 356.8))
            },
        ],
        notes: Vec::new(),
    }
}

pub(super) fn errors() -> Chart {
    let at = |errors: [f64; 5]| -> Points {
        [1.0, 5.0, 20.0, 100.0, 120.0]
            .into_iter()
            .zip(errors)
            .collect()
    };
    let upper = at([0.75, 0.35, 0.2, 0.2, 0.2]);
    let lower: Points = upper.iter().map(|p| (p.0, -p.1)).collect();
    let run = at([-0.41, -0.19, -0.08, 0.01, 0.02]);
    let down = Marks::At(Shape::Down, upper.clone());
    let up = Marks::At(Shape::Triangle, lower.clone());
    let range = Range::Around {
        middle: 0.0,
        least: 1.0,
    };
    let log = Range::Log {
        from: 1.0,
        to: 200.0,
    };
    Chart {
        title: "Errors around zero".into(),
        description: "Errors at five currents, and their limits.".into(),
        axes: Axes::Plain {
            x: axis("current / %", log, None),
            y: axis("error / %", range, Some(0.0)),
        },
        curves: vec![
            curve("10 VA", Pen::Main, run.clone(), Marks::Along),
            curve("limits", Pen::Limit, upper, down),
            curve("", Pen::Limit, lower, up),
        ],
        bands: Vec::new(),
        limits: Vec::new(),
        marks: vec![Mark {
            guides: true,
            ..mark("looked at", "", run[1])
        }],
        notes: vec!["The lines between only guide the eye.".into()],
    }
}

/// Both axes linear.
pub(super) fn plain(x: Range, y: Range) -> Chart {
    Chart {
        axes: Axes::Plain {
            x: axis("time / ms", x, None),
            y: axis("current / A", y, None),
        },
        ..errors()
    }
}
