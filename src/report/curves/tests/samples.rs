//! Invented cores for the charts.

use super::super::*;

type Points = Vec<(f64, f64)>;

pub(super) fn readings() -> Points {
    let (volts, milliamperes) = (
        [
            25.0, 50.1, 100.3, 200.2, 300.4, 350.2, 400.1, 420.3, 440.2, 460.1,
        ],
        [1.31, 1.92, 2.84, 4.53, 7.40, 13.1, 41.8, 83.5, 171.0, 352.0],
    );
    milliamperes
        .into_iter()
        .map(|i| i / 1e3)
        .zip(volts)
        .collect()
}

/// Straight lines between the logarithms, `n` points a piece.
pub(super) fn dense(points: &[(f64, f64)], n: u32) -> Points {
    let mut all = Points::new();
    for pair in points.windows(2) {
        for step in 0..n {
            let part = f64::from(step) / f64::from(n);
            let between =
                |a: f64, b: f64| libm::exp(libm::log(a) * (1.0 - part) + libm::log(b) * part);
            all.push((between(pair[0].0, pair[1].0), between(pair[0].1, pair[1].1)));
        }
    }
    all.extend(points.last());
    all
}

pub(super) fn mark(label: &str, value: &str, x: f64, y: f64) -> Mark {
    Mark {
        label: label.into(),
        value: value.into(),
        x,
        y,
    }
}

fn limit(name: &str, kind: LimitKind) -> Limit {
    Limit {
        name: name.into(),
        kind,
    }
}

pub(super) fn series(name: &str, role: Role, points: Points) -> Series {
    Series {
        name: name.into(),
        points,
        role,
    }
}

fn scaled(points: &[(f64, f64)], x: f64, y: f64) -> Points {
    points.iter().map(|p| (p.0 * x, p.1 * y)).collect()
}

pub(super) fn excitation() -> Excitation {
    let readings = readings();
    Excitation {
        title: "Excitation characteristic, core 1S, 1S1-1S2".into(),
        description: "Ten readings from 25.0 V to 460.1 V; knee by IEC 10/50 at 316.8 V, 8.51 mA."
            .into(),
        curve: dense(&readings, 22),
        others: vec![
            series("L2, core 1S", Role::Sister, scaled(&readings, 1.12, 0.985)),
            series("L3, core 1S", Role::Sister, scaled(&readings, 0.93, 1.01)),
            series(
                "visit 2021-05-04",
                Role::Earlier,
                scaled(&readings, 1.03, 0.97),
            ),
            series(
                "maker's certificate",
                Role::Factory,
                scaled(&readings, 0.8, 1.03),
            ),
        ],
        readings,
        knees: vec![
            mark("knee, IEC 10/50", "316.8 V, 8.51 mA", 8.51e-3, 316.8),
            mark("knee, 30°", "287.6 V, 6.92 mA", 6.92e-3, 287.6),
            mark("knee, 45°", "235.2 V, 5.42 mA", 5.42e-3, 235.2),
        ],
        limits: vec![
            limit("required knee 210 V", LimitKind::Horizontal(210.0)),
            limit(
                "exciting current at the limit 1.00 A",
                LimitKind::Vertical(1.0),
            ),
            limit(
                "E at ALF 20: 356.8 V, at most 1.00 A",
                LimitKind::Point(1.0, 356.8),
            ),
        ],
    }
}

pub(super) fn ratio(quantity: ErrorKind) -> RatioErrors {
    let (envelope, rated, lower, title) = match quantity {
        ErrorKind::Ratio => (
            vec![
                (1.0, 0.75),
                (5.0, 0.35),
                (20.0, 0.2),
                (100.0, 0.2),
                (120.0, 0.2),
            ],
            vec![
                (1.0, -0.41),
                (5.0, -0.19),
                (20.0, -0.08),
                (100.0, 0.01),
                (120.0, 0.02),
            ],
            vec![
                (1.0, -0.22),
                (5.0, -0.06),
                (20.0, 0.01),
                (100.0, 0.06),
                (120.0, 0.07),
            ],
            "Ratio error, core 3S, 600/1 A, class 0.2S",
        ),
        ErrorKind::Phase => (
            vec![
                (1.0, 30.0),
                (5.0, 15.0),
                (20.0, 10.0),
                (100.0, 10.0),
                (120.0, 10.0),
            ],
            vec![
                (1.0, 21.0),
                (5.0, 11.2),
                (20.0, 5.4),
                (100.0, 2.1),
                (120.0, 1.8),
            ],
            vec![
                (1.0, 12.0),
                (5.0, 6.8),
                (20.0, 3.0),
                (100.0, 1.2),
                (120.0, 1.0),
            ],
            "Phase displacement, core 3S, 600/1 A, class 0.2S",
        ),
    };
    RatioErrors {
        title: title.into(),
        description: "Errors at five currents with two burdens, and the limits of the class."
            .into(),
        runs: vec![
            series("10 VA", Role::This, rated),
            series("2.5 VA", Role::This, lower),
        ],
        envelope,
        quantity,
    }
}

pub(super) fn parallelogram() -> Parallelogram {
    Parallelogram {
        title: "Metering accuracy, X1-X5, 1200:5 A, class 0.3 B-0.5".into(),
        description: "Two points, both inside their parallelogram.".into(),
        limits: vec![
            ("0.3 at 100 % of rated current".into(), 0.997, 1.003),
            ("0.3 at 10 % of rated current".into(), 0.994, 1.006),
        ],
        points: vec![
            ("100 %, B-0.5".into(), 1.0011, 4.2),
            ("10 %, B-0.5".into(), 1.0024, 11.8),
        ],
    }
}

pub(super) fn factor(at_least: bool) -> FactorOverBurden {
    let at = |burden: f64| (burden, 460.1 / (2.84 + burden));
    FactorOverBurden {
        title: "Accuracy limit factor, core 1S, 1S1-1S2".into(),
        description: "The factor falls from 162 without burden to 24 at 16 VA.".into(),
        points: (0..=8).map(|n| at(2.0 * f64::from(n))).collect(),
        rated: (15.0, 20.0),
        connected: Some(at(1.1)),
        at_least,
    }
}

pub(super) fn waveform() -> Waveform {
    let time = |n: u32| f64::from(n) * 2e-4;
    let wave = |n: u32| {
        let t = time(n);
        41.7 * (libm::exp(-t / 0.045) - libm::cos(314.159_265 * t))
    };
    let cut = |n: u32| {
        let phase = n % 100;
        if n > 60 && (25..75).contains(&phase) {
            0.06 * wave(n)
        } else {
            wave(n)
        }
    };
    Waveform {
        title: "Simulated currents, fault 25 kA, X/R 14".into(),
        description: "The secondary current follows for the first 12 ms, then it collapses in each half wave.".into(),
        primary: (0..500).map(|n| (time(n), wave(n))).collect(),
        secondary: (0..500).map(|n| (time(n), cut(n))).collect(),
        marks: vec![mark("saturation begins", "12.0 ms", 0.012, wave(60))],
    }
}
