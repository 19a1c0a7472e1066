//! Charts of the book's records: those of their reports, and one that the reports leave out.

use super::compiled::Compiled;
use kneemark::chart::{
    Axes, Axis, Chart, Curve, Mark, Marks, Pen, Points, Range, STYLE, Shape, Side,
};
use kneemark::derive::accuracy::{BURDEN_IMPEDANCE, LOOP_IMPEDANCE, actual_factor};
use kneemark::derive::kinds::protection::Check;
use kneemark::derive::kinds::protection::factor::With;
use kneemark::derive::outcome::Outcome;
use kneemark::document::Templates;
use kneemark::judge::words::rounded;
use kneemark::report::{Annexes, Options, Subject, ct};

/// The first chart of a kind in the report of the record, as a file of its own: with the rules that
/// it otherwise takes from its page. `kind` is how its id ends, "excitation-2".
pub fn of_report(compiled: &Compiled, kind: &str, name: &str) -> String {
    let unit = compiled.unit();
    let subject = Subject::of(unit, Vec::new());
    let options = Options {
        slug: Some(name.to_owned()),
        annexes: Annexes::ALL,
        ..Options::default()
    };
    let report = ct(&subject, &options, &Templates::built_in()).unwrap();
    let charts = report.html.split("<svg ").skip(1);
    let is_it = |chart: &&str| chart.contains(&format!("-{kind}-title\""));
    let chart = charts.into_iter().find(is_it);
    let chart = chart.unwrap_or_else(|| panic!("{name}: no chart {kind}"));
    let (chart, _) = chart.split_once("</svg>").unwrap();
    alone(&format!("<svg {chart}</svg>"))
}

fn alone(svg: &str) -> String {
    let (head, body) = svg.split_once("</desc>").unwrap();
    format!("{head}</desc><style>{STYLE}</style>{body}\n")
}

/// The factor of the first protection core over the burden where the readings end below the limit:
/// reports draw the curve only as far as the readings reach.
pub fn least_factor(compiled: &Compiled, name: &str) -> String {
    let unit = compiled.unit();
    let derived = &unit.assessment.visits.last().unwrap().derived;
    let mut w = unit.assessment.workings.clone();
    let class = derived.protection.iter().find_map(|one| match &one.check {
        Check::Limit(limit) => Some((one.rct.unwrap().0, limit)),
        _ => None,
    });
    let (rct, limit) = class.unwrap();
    let kneemark::trade::Class::Protection { composite, .. } = limit.class else {
        panic!("a protection class")
    };
    let curve = derived.excitation[0].curve.as_ref().unwrap();
    let isr = w.constant("chosen for the chart", "A", 1.0, "chart");
    let line: Points = (0..=20)
        .map(f64::from)
        .map(|va| {
            let burden = w.constant("chosen for the chart", "VA", va, "chart");
            let zb = w.step(&BURDEN_IMPEDANCE, [burden, isr]).unwrap();
            let z = w
                .step(&LOOP_IMPEDANCE, [rct, zb, limit.burden.power_factor])
                .unwrap();
            match actual_factor(curve, &mut w, isr, z, f64::from(composite) / 100.0) {
                Outcome::AtLeast(factor) => (va, factor.si),
                other => panic!("{other:?}"),
            }
        })
        .collect();
    let connected = derived.protection.iter().find_map(|one| match &one.check {
        Check::Factor(factor) => match (&factor.with, factor.found) {
            (With::Connected(circuit), Outcome::AtLeast(least)) => Some((circuit.va?.si, least.si)),
            _ => None,
        },
        _ => None,
    });
    let mark = |label: &str, at: (f64, f64), shape, pen| Mark {
        label: label.into(),
        value: format!("{} VA, factor {}", rounded(at.0, 3), rounded(at.1, 3)),
        at,
        shape,
        pen,
        side: Side::Any,
        guides: true,
    };
    let rated = (limit.burden.z.si * isr.si * isr.si, limit.factor.si);
    let axis = |title: &'static str| Axis {
        title: title.into(),
        range: Range::Holding(0.0),
        origin: None,
    };
    let chart = Chart {
        title: "Accuracy limit factor over the burden, 1S1-1S2".into(),
        description: "The accuracy limit factor falls as the burden grows.".into(),
        axes: Axes::Plain {
            x: axis("burden / VA"),
            y: axis("factor / 1"),
        },
        curves: vec![Curve {
            name: "at least, from the excitation readings".into(),
            pen: Pen::Main,
            line,
            marks: Marks::Along,
            off: None,
        }],
        bands: Vec::new(),
        limits: Vec::new(),
        marks: vec![
            mark("rated", rated, Shape::WallBelow, Pen::Limit),
            mark("connected burden, at least", connected.unwrap(), Shape::Diamond, Pen::Point),
        ],
        notes: vec![
            "The true factor is at or above the curve, for the limit was not reached within the excitation readings."
                .into(),
        ],
    };
    alone(&chart.svg(name))
}
