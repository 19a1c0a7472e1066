use super::*;
use crate::derive::formula::symbol;

static OHM: Formula<2> = Formula {
    name: "test-ohm",
    what: "resistance",
    text: "U/I",
    unit: "ohm",
    of: [symbol("U", "V", "voltage"), symbol("I", "A", "current")],
    source: "test",
    compute: |[u, i]| u / i,
};

static REAL: Formula<3> = Formula {
    name: "test-real",
    what: "resistance",
    text: "U/I*cos(p)",
    unit: "ohm",
    of: [
        symbol("U", "V", "voltage"),
        symbol("I", "A", "current"),
        symbol("p", "rad", "angle"),
    ],
    source: "test",
    compute: |[u, i, p]| u / i * p.cos(),
};

static IMAGINARY: Formula<3> = Formula {
    name: "test-imaginary",
    what: "reactance",
    text: "U/I*sin(p)",
    unit: "ohm",
    of: [
        symbol("U", "V", "voltage"),
        symbol("I", "A", "current"),
        symbol("p", "rad", "angle"),
    ],
    source: "test",
    compute: |[u, i, p]| u / i * p.sin(),
};

fn reading(w: &mut Workings, what: &str, si: f64, parts: &[Part]) -> Value {
    let origin = Origin::Reading {
        span: Span::default(),
    };
    w.reading(what, "V", si, origin, parts)
}

/// JCGM 100:2008, H.2: simultaneous resistance and reactance (raw readings from memory).
#[test]
fn gum_h2_through_the_ledger() {
    let columns = [
        ("voltage", [5.007, 4.994, 5.005, 4.990, 4.999]),
        (
            "current",
            [0.019663, 0.019639, 0.019640, 0.019685, 0.019678],
        ),
        ("angle", [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]),
    ];
    let mut w = Workings::new();
    let together: Vec<Component> = (0..5)
        .map(|k| w.shared(format!("observation {k}")))
        .collect();
    let [u, i, p] = columns.map(|(name, x)| {
        let mean = x.iter().sum::<f64>() / 5.0;
        let parts: Vec<Part> = together
            .iter()
            .zip(x)
            .map(|(component, x)| Part {
                component: *component,
                u: (x - mean) / 20f64.sqrt(),
            })
            .collect();
        reading(&mut w, name, mean, &parts)
    });
    let r = w.step(&REAL, [u, i, p]).unwrap();
    let x = w.step(&IMAGINARY, [u, i, p]).unwrap();
    let z = w.step(&OHM, [u, i]).unwrap();
    for (value, expected, u) in [
        (r, 127.73217, 0.071071),
        (x, 219.84651, 0.295582),
        (z, 254.25970, 0.236336),
    ] {
        assert!((value.si - expected).abs() < 1e-5, "{}", value.si);
        let got = w.uncertainty(value);
        assert!(got.known);
        assert!((got.u - u).abs() < 1e-6, "{}", got.u);
        assert_eq!(got.budget.len(), 5);
    }
}

#[test]
fn shared_parts_cancel_and_own_parts_do_not() {
    let mut w = Workings::new();
    let gain = w.shared("meter, voltage, 2 V".into());
    assert_eq!(gain, w.shared("meter, voltage, 2 V".into()));
    let (d1, d2) = (w.own("last digit".into()), w.own("last digit".into()));
    assert_ne!(d1, d2);
    let a = reading(
        &mut w,
        "a",
        2.0,
        &[
            Part {
                component: gain,
                u: 0.02,
            },
            Part {
                component: d1,
                u: 0.003,
            },
        ],
    );
    let b = reading(
        &mut w,
        "b",
        1.0,
        &[
            Part {
                component: gain,
                u: 0.01,
            },
            Part {
                component: d2,
                u: 0.002,
            },
        ],
    );
    let q = w.step(&OHM, [a, b]).unwrap();
    let got = w.uncertainty(q);
    // du = 0.003/1 and 0.002*2/1; the gain drops out of a ratio.
    assert!((got.u - 0.005).abs() < 1e-12, "{}", got.u);
    assert_eq!(got.budget.len(), 3);
    assert_eq!(got.budget[0].component, "meter, voltage, 2 V");
    assert!(got.budget[0].contribution.abs() < 1e-15);
}

#[test]
fn a_reading_without_parts_makes_the_uncertainty_unknown() {
    let mut w = Workings::new();
    let own = w.own("digit".into());
    let a = reading(
        &mut w,
        "a",
        2.0,
        &[Part {
            component: own,
            u: 0.1,
        }],
    );
    let b = reading(&mut w, "b", 1.0, &[]);
    let plate = w.reading(
        "n",
        "",
        4.0,
        Origin::Plate {
            span: Span::default(),
        },
        &[],
    );
    let mixed = w.step(&OHM, [a, b]).unwrap();
    assert!(!w.uncertainty(mixed).known);
    let exact = w.step(&OHM, [a, plate]).unwrap();
    assert!(w.uncertainty(exact).known);
    assert!(!w.uncertainty(plate).known);
    w.add_part(
        mixed,
        Part {
            component: own,
            u: f64::NAN,
        },
    );
    assert!(w.parts_of(mixed.step).is_empty());
}

#[test]
fn nothing_that_is_not_finite_enters() {
    let mut w = Workings::new();
    let a = reading(&mut w, "a", 2.0, &[]);
    let zero = reading(&mut w, "b", 0.0, &[]);
    assert!(w.step(&OHM, [a, zero]).is_none());
    assert!(
        w.many("m".into(), "V", String::new(), "", f64::NAN, &[(a, 1.0)])
            .is_none()
    );
    assert!(
        w.many(
            "m".into(),
            "V",
            String::new(),
            "",
            1.0,
            &[(a, f64::INFINITY)]
        )
        .is_none()
    );
    let strange = Value {
        si: 1.0,
        step: StepId(99),
    };
    assert!(w.step(&OHM, [a, strange]).is_none());
    assert!(w.trace(strange).is_empty());
    assert!(!w.uncertainty(strange).known);
}

#[test]
fn the_trace_names_each_step_once_in_order() {
    let mut w = Workings::new();
    let a = reading(&mut w, "a", 2.0, &[]);
    let _other = reading(&mut w, "not used", 2.0, &[]);
    let b = reading(&mut w, "b", 4.0, &[]);
    let q = w.step(&OHM, [a, b]).unwrap();
    let top = w
        .many(
            "sum".into(),
            "V",
            "q + a + a".into(),
            "test",
            q.si + 2.0 * a.si,
            &[(q, 1.0), (a, 1.0), (a, 1.0)],
        )
        .unwrap();
    assert_eq!(w.trace(top), [a.step, b.step, q.step, top.step]);
    assert_eq!(
        w.inputs_of(top.step).collect::<Vec<_>>(),
        [(q.step, 1.0), (a.step, 2.0)]
    );
    assert_eq!(w.step_at(q.step).unwrap().what, "resistance");
}
