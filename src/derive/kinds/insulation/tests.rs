use super::*;
use crate::derive::testing::{Derivation, near};

fn groups_of(insulation: &str, rows: &str) -> Vec<Group> {
    let text = format!(
        "{insulation}\n[core 1S]\nratio: 600/1 A\n\n[core 2S]\nratio: 600/1 A\n\n[visit 2026-01-05]\n[insulation]\n{rows}\n"
    );
    Derivation::of(&text).derived.insulation
}

const HEAD: &str = "between voltage/V time/s resistance/Mohm\n";
const OIL_PLATE: &str = "insulation: oil and paper\n";

/// The worked line of a transformer works table: 1200 Mohm at 35 °C is 3360 Mohm at 20 °C by the
/// table; the law gives 3394.11 (own arithmetic), within its 5 %.
#[test]
fn to_20_by_the_kind_of_insulation() {
    let rows = format!("temperature: 35 C\n{HEAD}primary to cores and earth 5000 60 1200\n");
    let at_20 = |plate: &str| {
        groups_of(plate, &rows)[0]
            .at_20
            .unwrap()
            .known()
            .unwrap()
            .si
            / 1e6
    };
    near(at_20(OIL_PLATE), 3_394.112_55, 3e-8);
    near(at_20(OIL_PLATE), 3360.0, 0.05);
    near(
        at_20("insulation: cast resin\n"),
        1200.0 * 1.995_262_315,
        4e-7,
    );
}

#[test]
fn refused_with_its_reason() {
    let read = |stated: &str| format!("{stated}{HEAD}primary to cores and earth 5000 60 1200\n");
    let warm = "temperature: 35 C\n";
    for (plate, stated, why) in [
        ("", warm, Refused::KindUnknown),
        ("insulation: gas\n", warm, Refused::Gas),
        (OIL_PLATE, "", Refused::NoTemperature),
        (OIL_PLATE, "temperature: -5 C\n", Refused::OutsideTable),
    ] {
        assert_eq!(groups_of(plate, &read(stated))[0].at_20.unwrap_err(), why);
    }
}

#[test]
fn indices_by_time_with_bounds() {
    let rows = "1S to primary, cores and earth 1000 30 800\n1S to primary, cores and earth 1000 60 1000\n\
        1S to primary, cores and earth 1000 600 >2000\n2S to primary, cores and earth 1000 60 >2000\n2S to primary, cores and earth 1000 600 >2000\n";
    let found = groups_of("", &format!("{HEAD}{rows}"));
    assert_eq!(found.len(), 2);
    assert!(
        matches!(found[0].rises[0], Rise { ratio: Outcome::AtLeast(value), .. } if (value.si - 2.0).abs() < 1e-12)
    );
    assert!(
        matches!(found[0].rises[1], Rise { ratio: Outcome::Known(value), .. } if (value.si - 1.25).abs() < 1e-12)
    );
    assert!(found[1].rises.is_empty(), "two bounds say nothing");
    assert_eq!(found[0].minute.time, Some(60.0));
    assert_eq!(found[0].discharge.unwrap().si, 2400.0);
    assert_eq!(found[0].from, [Node::Core(0)]);
    assert_eq!(found[0].to, [Node::Primary, Node::Core(1), Node::Earth]);
}

#[test]
fn by_voltage_and_current() {
    let rows =
        "between voltage/V time/s current/uA\n1S to earth 1000 60 0.5\n2S to earth 1000 60 <0.1\n";
    let found = groups_of("", rows);
    assert!((found[0].minute.r.known().unwrap().si - 2e9).abs() < 1.0);
    assert!(matches!(found[1].minute.r, Outcome::AtLeast(value) if (value.si - 1e10).abs() < 10.0));
}
