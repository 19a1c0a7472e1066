//! Another prefix in a heading changes no bit of any finding.

use super::{cases, findings, record};
use proptest::prelude::*;
use serde_json::Value;

/// A whole number of last digits, so many behind the point, in a unit a thousand times larger or as it is.
fn cell(whole: u32, decimals: usize, larger: bool) -> String {
    let places = if larger { decimals + 3 } else { decimals };
    let text = format!("{whole:0width$}", width = places + 1);
    if places == 0 {
        text
    } else {
        format!(
            "{}.{}",
            &text[..text.len() - places],
            &text[text.len() - places..]
        )
    }
}

/// Rising readings in tenths of a volt and microampere.
fn curve() -> impl Strategy<Value = Vec<(u32, u32)>> {
    proptest::collection::vec((50u32..900, 20u32..9000), 4..12).prop_map(|steps| {
        let (mut v, mut i) = (0, 0);
        steps
            .into_iter()
            .map(|(dv, di)| {
                v += dv;
                i += di;
                (v, i)
            })
            .collect()
    })
}

struct Readings {
    curve: Vec<(u32, u32)>,
    winding: (u32, u32),
    primary: u32,
    secondary: u32,
    megohm: u32,
}

fn text(readings: &Readings, larger: bool) -> String {
    let unit = |small: &'static str, large: &'static str| if larger { large } else { small };
    let rows: String = readings
        .curve
        .iter()
        .map(|(v, i)| format!("{}  {}\n", cell(*v, 1, larger), cell(*i, 0, larger)))
        .collect();
    let (u, i) = readings.winding;
    let visit = format!(
        "[insulation]\ntemperature: 20 C\nbetween  voltage/{}  time/s  resistance/{}\nprimary to S and earth  {}  60  {}\n\n\
         [resistance S1-S2]\nwires: 4\ntemperature: 20.0 +- 1.0 C\ncurrent/{}  voltage/{}\n{}  {}\n\n\
         [excitation S1-S2]\nvoltmeter: mean\nvoltage/{}  current/{}\n{rows}\n\
         [ratio S1-S2]\nmethod: current\nburden: 15 VA at 0.80\nprimary/{}  secondary/{}\n{}  {}\n",
        unit("V", "kV"),
        unit("Mohm", "Gohm"),
        cell(5000, 0, larger),
        cell(readings.megohm, 0, larger),
        unit("mA", "A"),
        unit("mV", "V"),
        cell(i, 0, larger),
        cell(u, 0, larger),
        unit("V", "kV"),
        unit("uA", "mA"),
        unit("A", "kA"),
        unit("mA", "A"),
        cell(readings.primary, 2, larger),
        cell(readings.secondary, 2, larger),
    );
    record(
        "class: 5P20\nburden: 15 VA\nratio: 600/1 A\nexciting current: 30 mA at 100 V",
        &visit,
    )
}

/// All that a finding says but where it stands.
fn said(finding: &Value) -> (Option<u64>, Option<u64>, Value) {
    let bits = |key: &str| finding[key].as_f64().map(f64::to_bits);
    let mut rest = finding.clone();
    rest.as_object_mut().unwrap().remove("at");
    (bits("value"), bits("expanded_uncertainty"), rest)
}

proptest! {
    #![proptest_config(cases(40))]
    #[test]
    fn another_prefix_changes_no_bit(
        curve in curve(),
        winding in (500u32..9000, 200u32..1000),
        primary in 50_000u32..70_000,
        secondary in 90_000u32..110_000,
        megohm in 1u32..90_000,
    ) {
        let readings = Readings { curve, winding, primary, secondary, megohm };
        let (plain, larger) = (findings(&text(&readings, false)), findings(&text(&readings, true)));
        prop_assert!(plain.len() > 8);
        prop_assert_eq!(plain.len(), larger.len());
        for (a, b) in plain.iter().zip(&larger) {
            prop_assert_eq!(said(a), said(b));
        }
    }
}
