//! Insulation resistance: to 20 °C, its rise with time, least values by profile.

use super::{FINE, Row, iec, told, told_by};
use kneemark::standards::{InsulationKind, insulation_temperature};
use serde::Deserialize;

/// A reading of so many megohm at 60 s and a temperature, with the kind of insulation on the plate.
fn at_20(kind: &str, megohm: f64, celsius: f64) -> f64 {
    let record = iec(
        "class: 5P20\nburden: 15 VA\nratio: 600/1 A",
        &section(megohm, Some(celsius), 5000.0),
    );
    let record = record.replace(
        "primary turns: 1\n",
        &format!("primary turns: 1\ninsulation: {kind}\n"),
    );
    let told = told(&record);
    let finding = told.about("insulation-resistance", "at 20 °C");
    let per_megohm = if finding["unit"] == "Gohm" { 1e3 } else { 1.0 };
    finding["value"].as_f64().unwrap() * per_megohm
}

fn section(megohm: f64, celsius: Option<f64>, volts: f64) -> String {
    let temperature = celsius
        .map(|t| format!("temperature: {t} C\n"))
        .unwrap_or_default();
    format!(
        "[insulation]\n{temperature}between  voltage/V  time/s  resistance/Mohm\nprimary to S and earth  {volts}  60  {megohm}\n"
    )
}

fn corrected() -> Vec<Row> {
    let oil = "ANSI/NETA Table 100.14, oil-filled";
    let solid = "ANSI/NETA Table 100.14.1, solid insulation (from memory)";
    let law = "The program uses the law of the column (2^((t - 20)/10) for oil, 10^((t - 20)/50) for solid), which parts from these printed factors by less than 2 %.";
    let row = |kind: &'static str, source, celsius: f64, factor: f64, share: f64| {
        let published = 1200.0 * factor;
        Row::record(
            format!("1200 Mohm at {celsius} °C, {kind}: Mohm at 20 °C"),
            source,
            published,
            at_20(kind, 1200.0, celsius),
            share * published,
        )
        .apart(law)
    };
    let mut rows = vec![row("oil and paper", oil, 35.0, 2.80, 0.02)];
    rows.extend(
        [
            (0.0, 0.25),
            (30.0, 1.98),
            (40.0, 3.95),
            (50.0, 7.85),
            (60.0, 15.85),
            (75.0, 44.7),
        ]
        .map(|(t, f)| row("oil and paper", oil, t, f, 0.02)),
    );
    rows.extend(
        [
            (0.0, 0.40),
            (30.0, 1.58),
            (40.0, 2.50),
            (50.0, 3.98),
            (60.0, 6.30),
            (75.0, 12.6),
        ]
        .map(|(t, f)| row("cast resin", solid, t, f, 0.02)),
    );
    let table = insulation_temperature(InsulationKind::Oil).unwrap();
    let worked = 1200.0 * table.rows().find(|(t, _)| *t == 35.0).unwrap().1;
    rows.push(Row::new(
        "1200 Mohm at 35 °C by the printed factor: Mohm at 20 °C",
        "worked line of the same table",
        3360.0,
        worked,
        1e-6,
    ));
    rows
}

fn rise() -> Vec<Row> {
    let rows = "primary to S and earth  5000  30  800\nprimary to S and earth  5000  60  1120\nprimary to S and earth  5000  600  2576\n";
    let visit = format!("[insulation]\nbetween  voltage/V  time/s  resistance/Mohm\n{rows}");
    let told = told(&iec("class: 5P20\nburden: 15 VA\nratio: 600/1 A", &visit));
    let one = iec(
        "class: 5P20\nburden: 15 VA\nratio: 600/1 A",
        &section(1000.0, None, 5000.0),
    );
    let ratio = "IEEE 43 (from memory), constructed readings";
    let discharge = "IEEE 43-2013, clause 4: four times the time of application (from memory)";
    vec![
        Row::record(
            "800, 1120 Mohm at 30, 60 s: absorption ratio",
            ratio,
            1.4,
            told.value("dielectric-absorption"),
            1e-9,
        ),
        Row::record(
            "1120, 2576 Mohm at 1, 10 min: polarisation index",
            ratio,
            2.3,
            told.value("polarisation-index"),
            1e-9,
        ),
        Row::record(
            "10 min under voltage: least time to discharge, s",
            discharge,
            2400.0,
            told.value("insulation-discharge"),
            1e-9,
        ),
        Row::record(
            "1 min under voltage: least time to discharge, s",
            discharge,
            240.0,
            super::told(&one).value("insulation-discharge"),
            1e-9,
        ),
    ]
}

pub fn rows() -> Vec<Row> {
    let mut rows = corrected();
    rows.extend(rise());
    rows
}

#[derive(Deserialize)]
struct File {
    neta_100_1: Vec<Least>,
    neta_100_5: Vec<Coil>,
}

#[derive(Deserialize)]
struct Coil {
    coil_v_max: f64,
    test_v_dc: f64,
    min_megohm_liquid: f64,
    min_megohm_dry: f64,
    source: String,
}

#[derive(Deserialize)]
struct Least {
    rated_v: f64,
    test_v_dc: f64,
    min_megohm: f64,
    source: String,
}

fn file() -> File {
    toml::from_str(include_str!("../published_limits/practice.toml")).unwrap()
}

/// The word for so many megohm on a primary of that rating, read with that test voltage.
fn word(profile: &str, kind: &str, rated: f64, megohm: f64, volts: f64) -> String {
    let record = iec(
        "class: 5P20\nburden: 15 VA\nratio: 600/1 A",
        &section(megohm, None, volts),
    );
    let record = record.replace("24 kV", &format!("{rated} V\n{kind}"));
    let criteria = format!("[insulation]\nprofile = \"{profile}\"\n");
    told_by(
        &record,
        &[("instruments.toml", FINE), ("criteria.toml", &criteria)],
    )
    .verdict("insulation-resistance")
    .to_owned()
}

/// Row by row: one per cent more passes, one less fails, less test voltage shows nothing.
fn least(profile: &str, kind: &str, rated: f64, volts: f64, least: f64, says: &str) {
    assert_eq!(
        word(profile, kind, rated, 1.01 * least, volts),
        "pass",
        "{says}"
    );
    assert_eq!(
        word(profile, kind, rated, 0.99 * least, volts),
        "fail",
        "{says}"
    );
    assert!(
        word(profile, kind, rated, 1.01 * least, 0.5 * volts).starts_with("not shown"),
        "{says}"
    );
}

#[test]
fn least_values_of_the_table_for_apparatus_through_records() {
    let rows = file().neta_100_1;
    assert!(rows.len() >= 8);
    for row in rows {
        least(
            "neta-100.1",
            "",
            row.rated_v,
            row.test_v_dc,
            row.min_megohm,
            &format!("{} V: {}", row.rated_v, row.source),
        );
    }
}

#[test]
fn least_values_of_the_table_for_coils_through_records() {
    let rows = file().neta_100_5;
    assert!(rows.len() >= 3);
    for row in rows {
        let says = format!("up to {} V: {}", row.coil_v_max, row.source);
        least(
            "neta-100.5",
            "insulation: oil and paper",
            row.coil_v_max,
            row.test_v_dc,
            row.min_megohm_liquid,
            &says,
        );
        least(
            "neta-100.5",
            "insulation: dry",
            row.coil_v_max,
            row.test_v_dc,
            row.min_megohm_dry,
            &says,
        );
    }
}
