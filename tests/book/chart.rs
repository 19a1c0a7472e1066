//! Charts of the book's records, from what the program derived.

use super::compiled::Compiled;
use kneemark::derive::accuracy::{actual_factor, burden_impedance, loop_impedance};
use kneemark::derive::case::Case;
use kneemark::derive::kinds::Derived;
use kneemark::derive::kinds::excitation::Excited;
use kneemark::derive::kinds::protection::Check;
use kneemark::derive::kinds::protection::factor::With;
use kneemark::derive::kinds::ratio::Run;
use kneemark::derive::knee::Knee;
use kneemark::derive::outcome::Outcome;
use kneemark::derive::workings::Origin;
use kneemark::judge::kinds::ratio::envelope;
use kneemark::judge::say::rounded;
use kneemark::report::curves::{
    ErrorKind, Excitation, FactorOverBurden, Limit, LimitKind, Mark, RatioErrors, Role, STYLE,
    Series, Waveform,
};

/// A chart as a file of its own: with the rules that it otherwise takes from its page.
pub fn file(svg: &str) -> String {
    let (head, body) = svg.split_once("</desc>").unwrap();
    format!("{head}</desc><style>{STYLE}</style>{body}\n")
}

fn derived(compiled: &Compiled, visit: usize) -> &Derived {
    &compiled.unit().assessment.visits[visit].derived
}

/// The interpolated curve, twenty points between two readings.
fn dense(excited: &Excited) -> Vec<(f64, f64)> {
    let curve = excited.curve.as_ref().unwrap();
    let mut all = Vec::new();
    for pair in curve.points().windows(2) {
        for n in 0..20 {
            let v = pair[0].v.si * libm::pow(pair[1].v.si / pair[0].v.si, f64::from(n) / 20.0);
            all.extend(curve.current_at(v).map(|i| (i, v)));
        }
    }
    all.push((curve.last().i.si, curve.last().v.si));
    all
}

fn readings(excited: &Excited) -> Vec<(f64, f64)> {
    excited
        .curve
        .as_ref()
        .unwrap()
        .points()
        .iter()
        .map(|point| (point.i.si, point.v.si))
        .collect()
}

fn knees(excited: &Excited) -> Vec<Mark> {
    let all = [
        ("knee, 10 % rule", &excited.iec),
        ("knee, 30°", &excited.knee_30),
        ("knee, 45°", &excited.knee_45),
    ];
    let marks = all.into_iter().filter_map(|(label, knee)| match knee {
        Knee::At(point) => Some(Mark {
            label: label.into(),
            value: format!(
                "{} V, {} mA",
                rounded(point.voltage.si, 4),
                rounded(1e3 * point.current.si, 3)
            ),
            x: point.current.si,
            y: point.voltage.si,
        }),
        Knee::NotReached { .. } | Knee::Lacking(_) => None,
    });
    marks.collect()
}

/// What the plate asks of the curve: rated knee, exciting current, composite error.
fn limits(derived: &Derived) -> Vec<Limit> {
    let limits = derived
        .protection
        .iter()
        .filter_map(|accuracy| match &accuracy.check {
            Check::Knee(knee) => Some((
                format!("rated knee {} V", rounded(knee.rated.si, 3)),
                LimitKind::Horizontal(knee.rated.si),
            )),
            Check::Exciting(at) => {
                let name = format!(
                    "at most {} mA at {} V",
                    rounded(1e3 * at.limit, 3),
                    rounded(at.voltage.si, 3)
                );
                Some((name, LimitKind::Point(at.limit, at.voltage.si)))
            }
            Check::Limit(limit) => {
                let kneemark::record::class::Class::Protection { composite, .. } = limit.class
                else {
                    return None;
                };
                let most = f64::from(composite) / 100.0 * limit.factor.si;
                let (factor, volts) =
                    (rounded(limit.factor.si, 2), rounded(limit.emf.phasor.si, 4));
                Some((
                    format!(
                        "at {factor} times rated current: {volts} V, at most {} A",
                        rounded(most, 3)
                    ),
                    LimitKind::Point(most, limit.emf.phasor.si),
                ))
            }
            _ => None,
        });
    limits.map(|(name, kind)| Limit { name, kind }).collect()
}

/// The `n`-th curve of a visit with its knees and the limits of the plate.
pub fn excitation(compiled: &Compiled, (visit, n): (usize, usize), title: &str) -> Excitation {
    let derived = derived(compiled, visit);
    let excited = &derived.excitation[n];
    let knees = knees(excited);
    let told: Vec<String> = knees
        .iter()
        .map(|knee| format!("{} at {}", knee.label, knee.value))
        .collect();
    Excitation {
        title: title.into(),
        description: format!(
            "Voltage over exciting current, both logarithmic; {}.",
            told.join("; ")
        ),
        curve: dense(excited),
        readings: readings(excited),
        others: Vec::new(),
        knees,
        limits: limits(derived),
    }
}

/// A curve beside others of the same core, knees and limits left out.
pub fn beside(
    compiled: &Compiled,
    own: (usize, usize),
    others: &[(usize, usize, Role, &str)],
    title: &str,
) -> Excitation {
    let mut chart = excitation(compiled, own, title);
    (chart.knees, chart.limits) = (Vec::new(), Vec::new());
    chart.description =
        "Voltage over exciting current, both logarithmic, of one core at several times.".into();
    let other = |(visit, n, role, name): &(usize, usize, Role, &str)| Series {
        name: (*name).into(),
        points: readings(&derived(compiled, *visit).excitation[*n]),
        role: *role,
    };
    chart.others = others.iter().map(other).collect();
    chart
}

/// Ratio error or phase displacement of all runs of the last visit against the class.
pub fn ratio_errors(compiled: &Compiled, quantity: ErrorKind, title: &str) -> RatioErrors {
    let unit = compiled.unit();
    let last = unit.assessment.visits.len() - 1;
    let runs = &derived(compiled, last).ratio.runs;
    let case = Case {
        record: &unit.record,
        visit: &unit.record.visits[last],
        index: last,
        instruments: unit.setting.instruments.as_deref(),
        criteria: &unit.setting.criteria,
    };
    let minutes = 10_800.0 / std::f64::consts::PI;
    let series = |run: &Run| {
        let value = |point: &kneemark::derive::kinds::ratio::Point| match quantity {
            ErrorKind::Ratio => point.error.map(|error| error.si),
            ErrorKind::Phase => point.phase.map(|phase| minutes * phase.si),
        };
        let kneemark::derive::kinds::ratio::Burdened::Stated { va, .. } = run.burden else {
            panic!("a stated burden")
        };
        let points = run
            .points
            .iter()
            .filter_map(|point| Some((point.percent, value(point)?)))
            .collect();
        Series {
            name: format!("{va} VA"),
            points,
            role: Role::This,
        }
    };
    let limit = |row: kneemark::judge::kinds::ratio::EnvelopeRow| match quantity {
        ErrorKind::Ratio => Some((row.percent, row.ratio)),
        ErrorKind::Phase => row.phase.map(|phase| (row.percent, minutes * phase)),
    };
    RatioErrors {
        title: title.into(),
        description: "Errors over the primary current at two burdens, and the limits of the class."
            .into(),
        runs: runs.iter().map(series).collect(),
        envelope: envelope(&case, runs[0].pair)
            .into_iter()
            .filter_map(limit)
            .collect(),
        quantity,
    }
}

/// The actual factor of the first protection core over its burden, and the points that the record gives.
pub fn factor(compiled: &Compiled, title: &str) -> FactorOverBurden {
    let unit = compiled.unit();
    let derived = derived(compiled, unit.assessment.visits.len() - 1);
    let mut w = unit.assessment.workings.clone();
    let class = derived.protection.iter().find_map(|one| match &one.check {
        Check::Limit(limit) => Some((one, limit)),
        _ => None,
    });
    let (accuracy, limit) = class.unwrap();
    let rct = accuracy.rct.unwrap().0;
    let curve = derived.excitation[0].curve.as_ref().unwrap();
    let kneemark::record::class::Class::Protection { composite, .. } = limit.class else {
        panic!("a protection class")
    };
    let eps = f64::from(composite) / 100.0;
    let fixed = |w: &mut kneemark::derive::workings::Workings, unit, value| {
        w.reading(
            "chosen for the chart",
            unit,
            value,
            Origin::Constant {
                source: "chart".into(),
            },
            &[],
        )
    };
    let isr = fixed(&mut w, "A", 1.0);
    let mut at_least = false;
    let points = (0..=20).map(|n| {
        let va = f64::from(n);
        let burden = fixed(&mut w, "VA", va);
        let zb = burden_impedance(&mut w, burden, isr).unwrap();
        let z = loop_impedance(&mut w, rct, zb, limit.burden.power_factor).unwrap();
        match actual_factor(curve, &mut w, isr, z, eps) {
            Outcome::Known(factor) => (va, factor.si),
            Outcome::AtLeast(factor) => {
                at_least = true;
                (va, factor.si)
            }
            other => panic!("{other:?}"),
        }
    });
    let points: Vec<(f64, f64)> = points.collect();
    let connected = derived.protection.iter().find_map(|one| match &one.check {
        Check::Factor(factor) => match (&factor.with, factor.found) {
            (With::Connected(circuit), Outcome::Known(found) | Outcome::AtLeast(found)) => {
                Some((circuit.va?.si, found.si))
            }
            _ => None,
        },
        _ => None,
    });
    FactorOverBurden {
        title: title.into(),
        description: "The accuracy limit factor falls as the burden grows.".into(),
        points,
        rated: (limit.burden.z.si * isr.si * isr.si, limit.factor.si),
        connected,
        at_least,
    }
}

/// The simulated currents of the last visit's first duty.
pub fn waveform(compiled: &Compiled, title: &str) -> Waveform {
    let visits = &compiled.unit().assessment.visits;
    let wave = derived(compiled, visits.len() - 1).duty[0]
        .wave
        .as_ref()
        .unwrap();
    let at = |time: f64| {
        let nearest = wave
            .secondary
            .iter()
            .min_by(|a, b| (a.0 - time).abs().total_cmp(&(b.0 - time).abs()));
        nearest.copied().unwrap()
    };
    let events = [
        ("10 % error first", wave.first_error),
        ("past the readings", wave.beyond_readings),
    ];
    let marks = events.into_iter().filter_map(|(label, time)| {
        let (x, y) = at(time?);
        Some(Mark {
            label: label.into(),
            value: format!("{} ms", rounded(1e3 * time?, 2)),
            x,
            y,
        })
    });
    Waveform {
        title: title.into(),
        description: "Primary current over the ratio with full offset, and the secondary current that the core gives.".into(),
        primary: wave.primary.clone(),
        secondary: wave.secondary.clone(),
        marks: marks.collect(),
    }
}
