use super::*;
use crate::derive::kernel::formula::symbol;
use crate::derive::testing::reading;
use crate::record::readings::Measure;

static OHM: Formula<2> = Formula {
    about: About {
        name: "test-ohm",
        what: "resistance",
        text: "U/I",
        unit: "ohm",
        symbols: &[symbol("U", "V", "voltage"), symbol("I", "A", "current")],
        source: "test",
    },
    compute: |[u, i]| u / i,
};

fn range(up_to: f64) -> Component {
    Component::Range {
        instrument: "meter".into(),
        measure: Measure::Voltage,
        up_to,
        circuit: "",
    }
}

fn digit() -> Component {
    Component::LastDigit {
        of: "x".into(),
        at: Span::default(),
    }
}

#[test]
fn shared_parts_cancel_and_own_parts_do_not() {
    let mut w = Workings::new();
    let [a, b] =
        [("a", 2.0, 0.02, 0.003), ("b", 1.0, 0.01, 0.002)].map(|(what, si, gain, last)| {
            let value = reading(&mut w, what, si);
            w.add_part(value, range(2.0), gain);
            w.add_part(value, digit(), last);
            value
        });
    let q = w.step(&OHM, [a, b]).unwrap();
    let got = w.uncertainty(q);
    // du = 0.003/1 and 0.002*2/1; the gain drops out of a ratio.
    assert!((got.u - 0.005).abs() < 1e-12, "{}", got.u);
    let budget = w.budget(q);
    assert_eq!(budget.len(), 3);
    assert_eq!(budget[0].component, range(2.0));
    assert!(budget[0].contribution.abs() < 1e-15);
}

#[test]
fn a_reading_without_parts_makes_the_uncertainty_unknown() {
    let mut w = Workings::new();
    let a = reading(&mut w, "a", 2.0);
    w.add_part(a, digit(), 0.1);
    let b = reading(&mut w, "b", 1.0);
    let plate = w.number("n", "", 4.0, Span::default());
    let mixed = w.step(&OHM, [a, b]).unwrap();
    assert!(!w.uncertainty(mixed).known);
    let exact = w.step(&OHM, [a, plate]).unwrap();
    assert!(w.uncertainty(exact).known);
    assert!(!w.uncertainty(plate).known);
    w.add_part(plate, digit(), f64::NAN);
    assert!(w.budget(plate).is_empty());
}

/// The formula of Welch and Satterthwaite, JCGM 100:2008, G.4.1, worked out by hand for two parts that few readings
/// show, and a third without end, in units small and large.
#[test]
fn degrees_of_freedom_of_several_parts() {
    let scatter = |of: &'static str, freedom: u32| Component::Scatter {
        of: of.into(),
        freedom,
    };
    for scale in [1e-6, 1.0, 1e6] {
        let mut w = Workings::new();
        let a = reading(&mut w, "a", 2.0 * scale);
        w.add_part(a, scatter("a", 4), 3.0 * scale);
        w.add_part(a, scatter("b", 9), 4.0 * scale);
        let two = w.uncertainty(a);
        assert!((two.u / (5.0 * scale) - 1.0).abs() < 1e-12);
        let by_hand = 625.0 / (81.0 / 4.0 + 256.0 / 9.0);
        assert!((two.freedom - by_hand).abs() < 1e-9, "{}", two.freedom);
        w.add_part(a, digit(), 12.0 * scale);
        let three = w.uncertainty(a);
        let by_hand = 28561.0 / (81.0 / 4.0 + 256.0 / 9.0);
        assert!((three.freedom - by_hand).abs() < 1e-9, "{}", three.freedom);
    }
}

#[test]
fn a_part_that_comes_later_counts() {
    let mut w = Workings::new();
    let [a, b] = ["a", "b"].map(|what| reading(&mut w, what, 2.0));
    w.add_part(a, digit(), 0.1);
    let q = w.step(&OHM, [a, b]).unwrap();
    assert!(!w.uncertainty(q).known);
    assert_eq!(w.digit(q), None);
    w.add_part(b, digit(), 0.1);
    w.written_to(b, 0.2);
    assert!(w.uncertainty(q).known);
    assert_eq!(w.digit(q), Some(0.1));
}

#[test]
fn nothing_that_is_not_finite_enters() {
    let mut w = Workings::new();
    let (a, zero) = (reading(&mut w, "a", 2.0), reading(&mut w, "b", 0.0));
    assert!(w.step(&OHM, [a, zero]).is_none());
    for (value, slope) in [(f64::NAN, 1.0), (1.0, f64::INFINITY)] {
        assert!(w.many("m", "V", "", "", value, &[(a, slope)]).is_none());
    }
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
    let a = reading(&mut w, "a", 2.0);
    let _other = reading(&mut w, "not used", 2.0);
    let b = reading(&mut w, "b", 4.0);
    let q = w.step(&OHM, [a, b]).unwrap();
    let sum = q.si + 2.0 * a.si;
    let links = [(q, 1.0), (a, 1.0), (a, 1.0)];
    let top = w
        .many("sum", "V", "q + a + a", "test", sum, &links)
        .unwrap();
    assert_eq!(w.trace(top), [a.step, b.step, q.step, top.step]);
    let inputs: Vec<_> = w.inputs_of(top.step).collect();
    assert_eq!(inputs, [(q.step, 1.0), (a.step, 2.0)]);
    assert_eq!(w.step_at(q.step).unwrap().what, "resistance".into());
}
