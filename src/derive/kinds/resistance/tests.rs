use super::*;
use crate::derive::testing::{Derivation, near, pair};
use crate::record::criteria::Criteria;
use crate::standards::{Family, Metal, conductor_constant};

const PLATE: &str = "frequency: 50 Hz\n[core S]\nmarks: S1 S2 S3\nclass: PX\n\
    tap ratio/A resistance/ohm\nS1-S2 300/1 1.75\nS1-S3 600/1 3.50\n\n[visit 2026-01-05]\n";

fn derived(text: &str) -> Derivation {
    Derivation::of(&format!("{PLATE}{text}"))
}

fn windings(text: &str) -> Vec<Winding> {
    derived(text).derived.resistance
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
        let derived = Derivation::by(&format!("{PLATE}{text}"), criteria).derived;
        derived.resistance[0].at_75.unwrap().si
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
    let winding = &windings(&with)[0];
    near(winding.cold.si, 2.62, 1e-12);
    assert!(!winding.leads_unknown && winding.wires == Wires::Two);
    for head in ["wires: 2\n", ""] {
        let text = format!("\n[resistance]\n{head}temperature: 20 C\n{rows}");
        let winding = &windings(&text)[0];
        assert!(winding.leads_unknown, "{head}");
        near(winding.cold.si, 2.64, 1e-12);
    }
}

#[test]
fn mean_and_scatter_of_several_readings() {
    let text =
        "\n[resistance S1-S3]\nwires: 4\ntemperature: 20 C\nresistance/ohm\n2.60\n2.62\n2.64\n";
    let found = windings(text);
    let [winding] = found.as_slice() else {
        panic!("one pair, one winding")
    };
    near(winding.cold.si, 2.62, 1e-12);
    near(winding.scatter.unwrap(), 100.0 * 0.04 / 2.60, 1e-9);
}

#[test]
fn settled_readings_are_judged() {
    use Settling::{Falling, From, Rising, Single, Steady, Unsteady};
    for (rows, settling, ohm) in [
        ("2.600", Single, 2.600),
        ("2.600 2.601 2.600", Steady, 7.801 / 3.0),
        // Equal readings are neither falling nor rising.
        ("2.795 2.795 2.795", Steady, 2.795),
        ("2.96 2.87 2.81 2.795 2.795 2.795", From(3), 2.795),
        ("2.600 2.700 2.750 2.751", From(2), 2.7505),
        ("3.100 3.000 2.920 2.860", Falling, 2.860),
        ("3.100 3.000 3.000 2.860", Falling, 2.860),
        ("2.600 2.620 2.640", Rising, 2.620),
        // The last two agree by chance: nothing ran towards them.
        ("2.80 2.90 2.70 2.75 2.75", Unsteady, 2.78),
        ("2.60 2.70 2.65", Unsteady, 2.65),
    ] {
        let rows = rows.replace(' ', "\n");
        let text =
            format!("\n[resistance S1-S3]\nwires: 4\ntemperature: 20 C\nresistance/ohm\n{rows}\n");
        let winding = &windings(&text)[0];
        assert_eq!(winding.settling, settling, "{rows}");
        near(winding.cold.si, ohm, 1e-12);
        assert_eq!(winding.each.len(), rows.lines().count());
    }
}

#[test]
fn a_bound_or_an_impossible_temperature_gives_no_value() {
    let read = |stated: &str, ohm: &str| {
        windings(&format!(
            "\n[resistance S1-S3]\nwires: 4\n{stated}resistance/ohm\n{ohm}\n"
        ))
    };
    assert!(read("", ">20").is_empty());
    assert!(read("temperature: -240 C\n", "2.6")[0].at_75.is_none());
    let none = &read("", "2.6")[0];
    assert!(none.temperature.is_none() && none.at_75.is_none());
}

#[test]
fn a_pair_from_its_sections_its_rest_or_the_plate() {
    use super::From::{Measured, Plate};
    let sections = "S1-S2 1.60\nS2-S3 1.70\n";
    let rest = "S1-S3 3.30\nS1-S2 1.60\n";
    for (rows, pair, ohm, from) in [
        (sections, pair(0, 2), 3.30, Measured),
        (rest, pair(1, 2), 1.70, Measured),
        (rest, pair(0, 2), 3.30, Measured),
        ("", pair(0, 2), 3.50, Plate),
        // Half of the turns, stated for S1-S2 only: scaled from the full winding.
        ("", pair(1, 2), 1.75, Plate),
        // A gap in the sections is no sum.
        ("S2-S3 1.70\n", pair(0, 2), 3.50, Plate),
    ] {
        let head = "\n[resistance]\nwires: 4\ntemperature: 75 C\non resistance/ohm\n";
        let text = if rows.is_empty() {
            String::new()
        } else {
            format!("{head}{rows}")
        };
        let (value, found) = derived(&text).deriving().resistance_at_75(pair).unwrap();
        near(value.si, ohm, 1e-12);
        assert_eq!(found, from, "{rows}");
    }
}
