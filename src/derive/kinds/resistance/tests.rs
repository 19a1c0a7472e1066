use super::*;
use crate::derive::kinds::visit;
use crate::ground::source::Source;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::standards::{Family, Metal, conductor_constant};

const PLATE: &str = "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\n[core S]\nmarks: S1 S2 S3\nclass: PX\n\
    tap ratio/A resistance/ohm\nS1-S2 300/1 1.75\nS1-S3 600/1 3.50\n\n[visit 2026-01-05]\npurpose: commissioning\n";

fn record(text: &str) -> Record {
    let (source, _) = Source::new("t.ctr", format!("{PLATE}{text}").as_bytes());
    let (record, found) = crate::record::read_alone(&source);
    let errors: Vec<_> = found
        .iter()
        .filter(|told| told.is_error())
        .map(|told| told.title.clone())
        .collect();
    assert!(errors.is_empty(), "{errors:?}");
    record
}

fn derived<T>(
    text: &str,
    criteria: &Criteria,
    then: impl FnOnce(&Case<'_>, &mut Workings, &Derived) -> T,
) -> T {
    let record = record(text);
    let case = Case {
        record: &record,
        visit: &record.visits[0],
        index: 0,
        instruments: None,
        criteria,
    };
    let mut w = Workings::new();
    let derived = visit(&case, &mut w);
    then(&case, &mut w, &derived)
}

fn near(value: f64, expected: f64, relative: f64) {
    assert!(
        (value - expected).abs() <= relative * expected.abs(),
        "{value} is not {expected}"
    );
}

fn full() -> Pair {
    Pair {
        core: 0,
        from: 0,
        to: 2,
    }
}

/// One reading with both published copper constants, and the two of aluminium (own arithmetic).
#[test]
fn to_75_with_every_constant() {
    let text = |r: &str, t: &str| {
        format!("\n[resistance S1-S3]\nwires: 4\ntemperature: {t} C\nresistance/ohm\n{r}\n")
    };
    let at = |text: &str, alternative| {
        let criteria = Criteria {
            alternative_constant: alternative,
            ..Criteria::default()
        };
        derived(text, &criteria, |_, _, d| d.resistance[0].at_75.unwrap().si)
    };
    near(at(&text("2.55", "21.0"), false), 3.088_943_249, 1e-9);
    near(at(&text("2.55", "21.0"), true), 3.087_890_625, 1e-9);
    near(at(&text("0.512", "28"), false), 0.603_672, 1e-6);
    let aluminium = |alternative| {
        let k = conductor_constant(Family::Iec, Metal::Aluminium, alternative)
            .unwrap()
            .k;
        TO_75.at([0.512, 28.0, k, 75.0]).unwrap().v
    };
    near(aluminium(false), 0.607_115, 1e-6);
    near(aluminium(true), 0.606, 1e-6);
}

#[test]
fn two_wires_need_the_leads() {
    let rows = "on current/A voltage/V\nS1-S3 0.5000 1.3200\n";
    let with = format!(
        "\n[self-check]\nleads: 0.020 ohm\n\n[resistance]\nwires: 2\ntemperature: 20 C\n{rows}"
    );
    derived(&with, &Criteria::default(), |_, _, d| {
        let winding = &d.resistance[0];
        near(winding.cold.si, 2.62, 1e-12);
        assert!(!winding.leads_unknown && winding.wires == Wires::Two);
    });
    for head in ["wires: 2\n", ""] {
        let text = format!("\n[resistance]\n{head}temperature: 20 C\n{rows}");
        derived(&text, &Criteria::default(), |_, _, d| {
            assert!(d.resistance[0].leads_unknown, "{head}");
            near(d.resistance[0].cold.si, 2.64, 1e-12);
        });
    }
}

#[test]
fn mean_drift_and_scatter_of_several_readings() {
    let text =
        "\n[resistance S1-S3]\nwires: 4\ntemperature: 20 C\nresistance/ohm\n2.60\n2.62\n2.64\n";
    derived(text, &Criteria::default(), |_, _, d| {
        let [winding] = d.resistance.as_slice() else {
            panic!("one pair, one winding")
        };
        near(winding.cold.si, 2.62, 1e-12);
        near(winding.drift.unwrap(), 100.0 * (2.64 / 2.60 - 1.0), 1e-9);
        near(winding.scatter.unwrap(), 100.0 * 0.04 / 2.60, 1e-9);
    });
}

#[test]
fn a_bound_or_an_impossible_temperature_gives_no_value() {
    derived(
        "\n[resistance S1-S3]\nwires: 4\nresistance/ohm\n>20\n",
        &Criteria::default(),
        |_, _, d| assert!(d.resistance.is_empty()),
    );
    let cold = "\n[resistance S1-S3]\nwires: 4\ntemperature: -240 C\nresistance/ohm\n2.6\n";
    derived(cold, &Criteria::default(), |_, _, d| {
        assert!(d.resistance[0].at_75.is_none())
    });
    let none = "\n[resistance S1-S3]\nwires: 4\nresistance/ohm\n2.6\n";
    derived(none, &Criteria::default(), |_, _, d| {
        assert!(d.resistance[0].temperature.is_none() && d.resistance[0].at_75.is_none())
    });
}

#[test]
fn a_pair_from_its_sections_its_rest_or_the_plate() {
    let sections =
        "\n[resistance]\nwires: 4\ntemperature: 75 C\non resistance/ohm\nS1-S2 1.60\nS2-S3 1.70\n";
    derived(sections, &Criteria::default(), |case, w, d| {
        let (value, from) = at_75(case, w, d, full()).unwrap();
        near(value.si, 3.30, 1e-12);
        assert_eq!(from, From::Measured);
    });
    let rest =
        "\n[resistance]\nwires: 4\ntemperature: 75 C\non resistance/ohm\nS1-S3 3.30\nS1-S2 1.60\n";
    derived(rest, &Criteria::default(), |case, w, d| {
        near(
            at_75(
                case,
                w,
                d,
                Pair {
                    core: 0,
                    from: 1,
                    to: 2,
                },
            )
            .unwrap()
            .0
            .si,
            1.70,
            1e-12,
        );
        near(at_75(case, w, d, full()).unwrap().0.si, 3.30, 1e-12);
    });
    derived("", &Criteria::default(), |case, w, d| {
        let (value, from) = at_75(case, w, d, full()).unwrap();
        assert_eq!((value.si, from), (3.50, From::Plate));
        // Half of the turns, stated for S1-S2 only: scaled from the full winding.
        near(
            at_75(
                case,
                w,
                d,
                Pair {
                    core: 0,
                    from: 1,
                    to: 2,
                },
            )
            .unwrap()
            .0
            .si,
            1.75,
            1e-12,
        );
    });
}

#[test]
fn a_gap_in_the_sections_is_no_sum() {
    let text = "\n[resistance]\nwires: 4\ntemperature: 75 C\non resistance/ohm\nS2-S3 1.70\n";
    derived(text, &Criteria::default(), |case, w, d| {
        let all: Vec<&Winding> = d.resistance.iter().collect();
        assert!(chain(&all, full()).is_empty());
        assert_eq!(at_75(case, w, d, full()).unwrap().1, From::Plate);
    });
}
