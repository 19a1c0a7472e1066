//! Transient dimensioning of TPX and TPY.

use super::{Row, exact, exciting, iec, told};
use kneemark::derive::transient::time_of_maximum;
use kneemark::derive::workings::Workings;

const ANNEX: &str = "IEC 61869-2:2012, Annex 2B (formulas from memory)";

/// A TP core with its duty; the rest of the plate does not enter the transient factor.
fn core(class: &str, duty: &str) -> super::Told {
    let core = format!(
        "class: {class}\nratio: 2000/1 A\nburden: 10 ohm\nresistance: 5 ohm at 75 C\nkssc: 20\nktd: 12.5\nduty cycle: C-O\n{duty}"
    );
    let points: Vec<(f64, f64)> = (1..45)
        .map(|k| (100.0 * f64::from(k), 0.01 * f64::from(k)))
        .collect();
    told(&iec(&core, &exciting("S1-S2", &points)))
}

pub fn rows() -> Vec<Row> {
    let at = |class: &str, ms: u32, ts: &str| {
        core(
            class,
            &format!("primary time constant: 60 ms\naccuracy time: {ms} ms\n{ts}"),
        )
    };
    let ts = "loop time constant: 0.5 s";
    let (early, late, gapped) = (at("TPX", 40, ""), at("TPX", 100, ""), at("TPY", 100, ts));
    let unlimited = core("TPX", "primary time constant: 60 ms");
    let longest = core("TPY", &format!("primary time constant: 60 ms\n{ts}"));
    let factor = |told: &super::Told| told.value("transient-factor");
    let mut w = Workings::new();
    let [tp, constant] = exact(&mut w, [0.06, 0.5]);
    let when = time_of_maximum(&mut w, tp, constant).unwrap().si;
    vec![
        Row::record(
            "TPX, Tp 60 ms, 50 Hz: transient factor at 40 ms",
            ANNEX,
            10.172,
            factor(&early),
            5e-4,
        ),
        Row::record(
            "TPX, Tp 60 ms, 50 Hz: transient factor at 100 ms",
            ANNEX,
            16.289,
            factor(&late),
            5e-4,
        ),
        Row::record(
            "TPX, Tp 60 ms, 50 Hz: greatest transient factor",
            ANNEX,
            19.85,
            factor(&unlimited),
            5e-3,
        ),
        Row::record(
            "TPY, Tp 60 ms, Ts 0.5 s, 50 Hz: transient factor at 100 ms",
            ANNEX,
            14.491,
            factor(&gapped),
            5e-4,
        ),
        Row::record(
            "TPY, Tp 60 ms, Ts 0.5 s, 50 Hz: greatest transient factor",
            ANNEX,
            15.117,
            factor(&longest),
            5e-4,
        ),
        Row::new(
            "TPY, Tp 60 ms, Ts 0.5 s: time of the greatest factor, s",
            ANNEX,
            0.144_56,
            when,
            5e-6,
        ),
        Row::record(
            "Kssc 20, Ktd 12.5, 5 and 10 ohm, 1 A: Eal, V",
            "IEC 61869-2 (definition, from memory)",
            3750.0,
            eal(),
            1e-9,
        ),
    ]
}

/// The e.m.f. in the words of the finding.
fn eal() -> f64 {
    let told = core("TPX", "primary time constant: 60 ms");
    let remarks = told.about("peak-exciting-current", "")["remarks"].clone();
    let remarks = remarks.as_array().unwrap();
    let remark = remarks
        .iter()
        .find_map(|text| text.as_str()?.strip_prefix("Eal "));
    let rest = remark.unwrap();
    rest.split_once(" V").unwrap().0.parse().unwrap()
}
