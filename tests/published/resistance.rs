//! Winding resistance to 75 °C.

use super::{FINE, Row, iec, told, told_by};

const ALTERNATIVE: &str = "[resistance]\nalternative_constant = true\n";

fn at_75(ohm: &str, celsius: &str, conductor: &str, alternative: bool) -> f64 {
    let core = format!("class: 5P20\nburden: 15 VA\nratio: 600/1 A\nconductor: {conductor}");
    let visit =
        format!("[resistance S1-S2]\nwires: 4\ntemperature: {celsius} C\nresistance/ohm\n{ohm}\n");
    let record = iec(&core, &visit);
    let criteria = if alternative { ALTERNATIVE } else { "" };
    told_by(
        &record,
        &[("instruments.toml", FINE), ("criteria.toml", criteria)],
    )
    .value("winding-resistance")
}

pub fn rows() -> Vec<Row> {
    let own = "arithmetic, R*(75 + k)/(t + k)";
    let table = "a table of correction factors for copper wire, base 25 °C";
    let row = |check: &'static str, source, published, ours, within| {
        Row::record(
            format!("{check}, ohm at 75 °C"),
            source,
            published,
            ours,
            within,
        )
    };
    vec![
        row(
            "0.512 ohm at 28 °C, copper 234.5",
            own,
            0.603_672,
            at_75("0.512", "28", "copper", false),
            5e-7,
        ),
        row(
            "0.512 ohm at 28 °C, aluminium 225",
            own,
            0.607_115,
            at_75("0.512", "28", "aluminium", false),
            5e-7,
        ),
        row(
            "0.512 ohm at 28 °C, aluminium 228",
            own,
            0.606,
            at_75("0.512", "28", "aluminium", true),
            5e-7,
        ),
        row(
            "2.55 ohm at 21 °C, copper 234.5",
            own,
            3.0889,
            at_75("2.55", "21", "copper", false),
            1e-4,
        ),
        row(
            "2.55 ohm at 21 °C, copper 235",
            own,
            3.0879,
            at_75("2.55", "21", "copper", true),
            1e-4,
        ),
        row(
            "1 ohm at 25 °C, copper",
            table,
            1.193,
            at_75("1.000", "25", "copper", false),
            5e-4,
        ),
        // The table's base is 25 °C: its factors to another temperature are those of 75 °C turned round.
        row(
            "1.096 ohm at 50 °C, copper",
            table,
            1.193,
            at_75("1.096", "50", "copper", false),
            1e-3,
        ),
        row(
            "1.289 ohm at 100 °C, copper",
            table,
            1.193,
            at_75("1.289", "100", "copper", false),
            1e-3,
        ),
    ]
}

/// A whole record without any instrument has the same value and no uncertainty.
#[test]
fn the_value_does_not_depend_on_the_instrument() {
    let core = "class: 5P20\nburden: 15 VA\nratio: 600/1 A";
    let visit = "[resistance S1-S2]\nwires: 4\ntemperature: 28 C\nresistance/ohm\n0.512\n";
    let (with, without) = (told(&iec(core, visit)), told_by(&iec(core, visit), &[]));
    assert_eq!(
        with.value("winding-resistance"),
        without.value("winding-resistance")
    );
    assert!(without.about("winding-resistance", "")["expanded_uncertainty"].is_null());
}
