use super::*;
use crate::derive::kinds::visit;
use crate::ground::source::Source;
use crate::record::criteria::Criteria;

fn loops(core: &str, burden: &str) -> Vec<Loop> {
    let text = format!(
        "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\n[core S]\nclass: 5P20\n{core}\n[visit 2026-01-05]\n\
         purpose: commissioning\n\n[burden S1-S2]\n{burden}\n"
    );
    let (source, _) = Source::new("t.ctr", text.as_bytes());
    let (record, found) = crate::record::read_alone(&source);
    assert!(
        !found
            .iter()
            .any(crate::ground::diagnostic::Diagnostic::is_error),
        "{found:?}"
    );
    let criteria = Criteria::default();
    let case = Case {
        record: &record,
        visit: &record.visits[0],
        index: 0,
        instruments: None,
        criteria: &criteria,
    };
    visit(&case, &mut Workings::new()).burden
}

fn near(value: f64, expected: f64, relative: f64) {
    assert!(
        (value - expected).abs() <= relative * expected.abs(),
        "{value} is not {expected}"
    );
}

/// A relay input of 0.2 VA at 5 A is 0.008 ohm, 15 VA are 0.6 ohm (a relay maker's application
/// manual, example of the burden), turned round: volts and amperes in, volt-amperes out.
#[test]
fn published_burdens_come_back() {
    for (volts, va) in [("0.0400", 0.2), ("3.0000", 15.0)] {
        let found = loops(
            "ratio: 600/5 A\n",
            &format!("loop current/A voltage/V\nphase-neutral 5.000 {volts}\n"),
        );
        near(found[0].va.unwrap().si, va, 1e-12);
        near(found[0].z.si, va / 25.0, 1e-12);
        assert!(found[0].r.is_none() && found[0].power_factor.is_none());
    }
}

#[test]
fn resistance_reactance_and_power_factor() {
    let found = loops(
        "ratio: 600/1 A\n",
        "loop current/A voltage/V angle/deg\nphase-neutral 1.000 5.000 36.869898\n",
    );
    let one = &found[0];
    near(one.r.unwrap().si, 4.0, 1e-7);
    near(one.x.unwrap().si, 3.0, 1e-7);
    near(one.power_factor.unwrap().si, 0.8, 1e-7);
    near(one.va.unwrap().si, 5.0, 1e-12);
}

#[test]
fn another_frequency_scales_the_reactance_only() {
    let rows = "frequency: 25 Hz\nloop current/A voltage/V angle/deg\nphase-neutral 1.000 5.000 36.869898\n";
    let one = &loops("ratio: 600/1 A\n", rows)[0];
    near(one.x.unwrap().si, 6.0, 1e-7);
    near(one.r.unwrap().si, 4.0, 1e-7);
    near(one.z.si, 52f64.sqrt(), 1e-7);
    assert!(one.scaled && one.other_frequency == Some(25.0));
    let without = &loops(
        "ratio: 600/1 A\n",
        "frequency: 25 Hz\nloop current/A voltage/V\nphase-neutral 1.000 5.000\n",
    )[0];
    near(without.z.si, 5.0, 1e-12);
    assert!(!without.scaled);
}

#[test]
fn a_bound_gives_no_loop_and_no_ratio_no_volt_amperes() {
    assert!(
        loops(
            "ratio: 600/1 A\n",
            "loop current/A voltage/V\nphase-neutral 1.000 <0.1\n"
        )
        .is_empty()
    );
    let unrated = loops(
        "marks: S1 S2\n",
        "loop current/A voltage/V\nphase-neutral 1.000 0.1\n",
    );
    assert!(unrated.len() == 1 && unrated[0].va.is_none());
}
