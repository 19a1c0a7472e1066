//! The four words of the decision rule through whole records: constructed cases, U = 0.2 % beside a
//! limit of 3 %, and U = 100 Mohm beside a least value of 500 Mohm.

use super::{iec, told_by};

const BENCH: &str = r#"[[instrument]]
id = "F1"
what = "a coarse one"
calibrated = 2026-01-01
due = 2027-01-01
function = [
  { measures = "ratio-error", from = "-90 %", to = "90 %", floor = "0.2 %", coverage = 2 },
  { measures = "insulation", to = "1 Tohm", floor = "100 Mohm", coverage = 2 },
]
"#;

/// Class 10P: ratio error within 3 % at rated current and burden (IEC 61869-2:2012, Table 205).
#[test]
fn four_words_at_an_upper_limit() {
    for (error, word) in [
        (2.6, "pass"),
        (2.9, "conditional pass"),
        (3.1, "conditional fail"),
        (3.3, "fail"),
    ] {
        for sign in ["", "-"] {
            let visit = format!(
                "[ratio S1-S2]\nmethod: current\nburden: 15 VA at 0.80\nrated/%  error/%\n100  {sign}{error:.7}\n"
            );
            let record = iec(
                "class: 10P10\nburden: 15 VA at 0.80\nratio: 600/1 A",
                &visit,
            );
            let told = told_by(&record, &[("instruments.toml", BENCH)]);
            let u = told.about("ratio-error", "")["expanded_uncertainty"]
                .as_f64()
                .unwrap();
            assert!((u - 0.2).abs() < 1e-6, "{u}");
            assert_eq!(
                told.verdict("ratio-error"),
                word,
                "{sign}{error} % (constructed, w = U)"
            );
        }
    }
}

#[test]
fn four_words_at_a_lower_limit() {
    let criteria = "[insulation]\nprofile = \"client\"\n[insulation.client]\nname = \"client\"\nprimary = \"500 Mohm\"\ncore = \"500 Mohm\"\n";
    for (megohm, word) in [
        (620, "pass"),
        (540, "conditional pass"),
        (470, "conditional fail"),
        (390, "fail"),
    ] {
        let rows = format!("primary to S and earth  5000  60  {megohm}.000\n");
        let visit = format!("[insulation]\nbetween  voltage/V  time/s  resistance/Mohm\n{rows}");
        let record = iec(
            "class: 10P10\nburden: 15 VA at 0.80\nratio: 600/1 A",
            &visit,
        );
        let told = told_by(
            &record,
            &[("instruments.toml", BENCH), ("criteria.toml", criteria)],
        );
        assert_eq!(
            told.verdict("insulation-resistance"),
            word,
            "{megohm} Mohm (constructed, w = U)"
        );
    }
}

/// A client's rule without guard band knows two words.
#[test]
fn two_words_by_simple_acceptance() {
    for (error, word) in [(2.6, "pass"), (2.9, "pass"), (3.1, "fail"), (3.3, "fail")] {
        let visit = format!(
            "[ratio S1-S2]\nmethod: current\nburden: 15 VA at 0.80\nrated/%  error/%\n100  {error:.7}\n"
        );
        let record = iec(
            "class: 10P10\nburden: 15 VA at 0.80\nratio: 600/1 A",
            &visit,
        );
        let simple = "[decision]\nrule = \"simple acceptance\"\n";
        let told = told_by(
            &record,
            &[("instruments.toml", BENCH), ("criteria.toml", simple)],
        );
        assert_eq!(told.verdict("ratio-error"), word, "{error} % (constructed)");
    }
}
