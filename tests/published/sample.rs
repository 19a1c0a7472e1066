//! The sample record of the design, whose figures were worked out beside it.

use super::{Row, Told, told_by};
use crate::design_records::{files, sample};

const SOURCE: &str = "worked out by hand beside the sample record of the design";

/// The sample without its winding resistance: the figures were worked out with the plate's 3.40 ohm.
fn by_plate() -> Told {
    let text = sample();
    let start = text.find("[resistance]").unwrap();
    let end = text[start..].find("[demagnetisation").unwrap() + start;
    told_of(&format!("{}{}", &text[..start], &text[end..]))
}

/// The same with the burden that the duty states, which a measured one would go before.
fn by_duty() -> Told {
    let text = sample();
    let start = text.find("[resistance]").unwrap();
    let end = text[start..].find("[demagnetisation").unwrap() + start;
    let burden = text[end..].find("[burden 1S1-1S2]").unwrap() + end;
    let after = text[burden..].find("[restored]").unwrap() + burden;
    told_of(&format!(
        "{}{}{}",
        &text[..start],
        &text[end..burden],
        &text[after..]
    ))
}

fn told_of(text: &str) -> Told {
    let (_, bench) = files()
        .into_iter()
        .find(|(name, _)| name == "instruments.toml")
        .unwrap();
    told_by(
        text,
        &[("instruments.toml", std::str::from_utf8(&bench).unwrap())],
    )
}

pub fn rows() -> Vec<Row> {
    let told = by_plate();
    let remarks = told.about("composite-error", "")["remarks"].clone();
    let remarks = remarks.as_array().unwrap();
    let emf = remarks
        .iter()
        .find_map(|text| text.as_str()?.strip_prefix("e.m.f. "));
    let (emf, _) = emf.unwrap().split_once(" V").unwrap();
    let emf: f64 = emf.parse().unwrap();
    let row = |check: &str, published, ours, within| {
        Row::record(
            format!("sample record: {check}"),
            SOURCE,
            published,
            ours,
            within,
        )
    };
    vec![
        row("limiting e.m.f. at power factor 0.8, V", 356.8, emf, 0.15).apart(
            "Worked out there with the loop rounded to 17.84 ohm; 17.837 ohm gives 356.7 V.",
        ),
        row(
            "limiting e.m.f. at unity power factor, V",
            368.0,
            told.remarked("composite-error", "by the arithmetic sum, "),
            0.05,
        ),
        row(
            "knee by the 10 % rule, V",
            316.8,
            told.value("knee-iec"),
            0.05,
        ),
        row(
            "knee by the 30° tangent, V",
            287.6,
            told.value("knee-30"),
            0.05,
        ),
        row(
            "knee by the 45° tangent, V",
            235.2,
            told.value("knee-45"),
            0.05,
        ),
        row(
            "actual factor at rated burden, at least",
            25.8,
            told.value("actual-factor-rated"),
            0.05,
        ),
        row(
            "e.m.f. for the symmetrical fault current, V",
            187.0,
            by_duty().value("duty-emf"),
            0.6,
        ),
        row(
            "the same with full offset, V",
            2812.0,
            by_duty().value("duty-emf-offset"),
            2.0,
        ),
    ]
}

/// What is not a number: the factor is a bound, the duty is information, the relay's rule decides.
#[test]
fn the_kinds_of_the_figures() {
    let told = told_of(&sample());
    assert_eq!(told.about("actual-factor-rated", "")["found"], "at-least");
    assert_eq!(told.about("duty-emf", "")["grade"], "info");
    assert_eq!(told.about("required-knee", "")["grade"], "pass");
    assert_eq!(told.verdict("composite-error"), "pass");
    // Measured at 18.5 °C with the leads taken off, the winding has 3.397 ohm at 75 °C.
    let windings = told.findings("winding-resistance");
    let measured = windings
        .iter()
        .find(|finding| finding["core"] == "1S")
        .unwrap()["value"]
        .as_f64()
        .unwrap();
    assert!(
        (measured - 2.777 * 309.5 / 253.0).abs() < 1e-3,
        "{measured}"
    );
}
