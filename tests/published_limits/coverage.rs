//! Every row of the standards' tables is read by a look-up that the product uses, and held against
//! a published figure; or the row says in `unread` or `unchecked` why not.

use super::{CHECKED, iec, ieee, practice};
use kneemark::standards::{
    self, BurdenKind, Cited, Family, InsulationKind, Metal, Neutral, TransientClass,
};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

const FILES: [&str; 3] = [
    include_str!("../../src/standards/tables/iec.toml"),
    include_str!("../../src/standards/tables/ieee.toml"),
    include_str!("../../src/standards/tables/practice.toml"),
];

/// A look-up by keys, and the rows that it gives over all of its keys.
type Reader = (&'static str, Vec<&'static Cited>);

fn readers() -> Vec<Reader> {
    let classes = || {
        standards::measuring_names()
            .into_iter()
            .filter_map(standards::measuring)
    };
    let limits = || classes().flat_map(|class| &class.rows);
    let metering = standards::ieee_metering_names()
        .into_iter()
        .filter_map(standards::ieee_metering);
    let factors = [BurdenKind::Measuring, BurdenKind::P, BurdenKind::Pr].map(|kind| {
        let found = standards::power_factor(kind, 15.0);
        found.unwrap().1
    });
    let protection = [(5, false), (5, true), (10, false), (10, true)];
    let transient = [
        TransientClass::Tpx,
        TransientClass::Tpy,
        TransientClass::Tpz,
    ];
    let burdens = "B-0.1 B-0.2 B-0.5 B-0.9 B-1.8 B-1 B-2 B-4 B-8 E-0.04 E-0.2";
    let voltages = [10.0, 20.0, 50.0, 100.0, 200.0, 400.0, 800.0];
    let levels = (1..=8000).map(|n| 100.0 * f64::from(n));
    let fine = (1..=1000).map(|n| 10.0 * f64::from(n));
    let levels = levels.chain(fine).flat_map(|um| {
        [Family::Iec, Family::Ieee].map(move |family| standards::withstand(family, um))
    });
    let metals = [Metal::Copper, Metal::Aluminium]
        .into_iter()
        .flat_map(|metal| {
            let of = move |family| {
                [false, true].map(|other| standards::conductor_constant(family, metal, other))
            };
            [Family::Iec, Family::Ieee].into_iter().flat_map(of)
        });
    vec![
        ("measuring", limits().map(|row| &row.cited).collect()),
        (
            "measuring",
            limits()
                .filter_map(|row| row.phase_cited.as_ref())
                .collect(),
        ),
        (
            "measuring",
            classes().map(|class| &class.burden_cited).collect(),
        ),
        (
            "ieee_metering",
            metering
                .flat_map(|class| &class.rows)
                .map(|row| &row.cited)
                .collect(),
        ),
        ("power_factor", factors.to_vec()),
        (
            "protection",
            protection
                .map(|(e, r)| &standards::protection(e, r).unwrap().cited)
                .to_vec(),
        ),
        (
            "px",
            [false, true]
                .map(|r| &standards::px(r).unwrap().cited)
                .to_vec(),
        ),
        (
            "transient",
            transient
                .map(|tp| &standards::transient(tp).unwrap().cited)
                .to_vec(),
        ),
        (
            "ieee_burden",
            burdens
                .split(' ')
                .map(|b| &standards::ieee_burden(b).unwrap().cited)
                .collect(),
        ),
        (
            "ieee_relay",
            voltages
                .map(|v| &standards::ieee_relay(v).unwrap().cited)
                .to_vec(),
        ),
        (
            "conductor_constant",
            metals.map(|row| &row.unwrap().cited).collect(),
        ),
        (
            "withstand",
            levels.flatten().map(|levels| &levels.cited).collect(),
        ),
        (
            "older_standard",
            standards::older_tables()
                .iter()
                .map(|table| &table.cited)
                .collect(),
        ),
        (
            "discharge_limits",
            [Neutral::Earthed, Neutral::Isolated]
                .into_iter()
                .flat_map(|neutral| standards::discharge_limits(Family::Iec, 12e3, neutral))
                .map(|row| &row.cited)
                .collect(),
        ),
        (
            "insulation_temperature",
            [InsulationKind::Oil, InsulationKind::Solid]
                .map(|kind| &standards::insulation_temperature(kind).unwrap().cited)
                .to_vec(),
        ),
        (
            "insulation_absorption",
            standards::insulation_absorption()
                .iter()
                .map(|row| &row.cited)
                .collect(),
        ),
    ]
}

/// Rows of the profiles: each rating up to the greatest takes the row that covers it.
fn of_profiles() -> BTreeSet<String> {
    let ratings = (1..=500).map(|n| 100.0 * f64::from(n));
    let names = standards::insulation_profile_names();
    let profiles = names
        .iter()
        .filter_map(|name| standards::insulation_profile(name));
    profiles
        .flat_map(|profile| {
            ratings
                .clone()
                .filter_map(move |volts| profile.minimum(volts, true))
        })
        .map(|minimum| minimum.cited.id.clone())
        .collect()
}

/// The product's code, without its tests; and the part of it outside `standards`.
fn code() -> (String, String) {
    let (mut all, mut outside) = (String::new(), String::new());
    let mut open = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                if name != "tests" {
                    open.push(path);
                }
            } else if name.ends_with(".rs") && name != "tests.rs" {
                let text = std::fs::read_to_string(&path).unwrap();
                let product = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
                all.push_str(product);
                if !path
                    .components()
                    .any(|part| part.as_os_str() == "standards")
                {
                    outside.push_str(product);
                }
            }
        }
    }
    (all, outside)
}

/// Why a row is not read, and why it is not checked, by its id.
fn rows() -> BTreeMap<String, [Option<String>; 2]> {
    let mut found = BTreeMap::new();
    for text in FILES {
        let file: toml::Table = toml::from_str(text).unwrap();
        for row in file.values().filter_map(toml::Value::as_array).flatten() {
            let word = |key| {
                row.get(key)
                    .and_then(toml::Value::as_str)
                    .map(str::to_owned)
            };
            found.insert(word("id").unwrap(), [word("unread"), word("unchecked")]);
        }
    }
    found
}

fn read() -> BTreeSet<String> {
    let (all, outside) = code();
    let used = |name: &str| outside.contains(&format!("{name}("));
    let mut found: BTreeSet<String> = rows().into_keys().collect();
    found.retain(|id| all.contains(&format!("\"{id}\"")));
    for (name, rows) in readers() {
        assert!(used(name), "nothing outside standards uses {name}");
        found.extend(rows.into_iter().map(|cited| cited.id.clone()));
    }
    assert!(used("insulation_profile") && used("threshold") && used("ieee_relay_at_rated"));
    found.extend(of_profiles());
    found
}

#[test]
fn every_row_has_a_reader_and_a_published_check_or_says_why_not() {
    iec::measuring_classes_are_tables_201_to_203_row_by_row();
    iec::protection_classes_are_table_205();
    iec::px_and_pxr_limits();
    iec::transient_classes_are_tables_204_and_206();
    iec::power_factor_of_the_rated_burden();
    iec::standard_values();
    iec::single_numbers();
    ieee::metering_classes_row_by_row();
    ieee::burdens_row_by_row_and_their_impedance_and_power_factor();
    ieee::relay_classes_row_by_row();
    ieee::single_numbers_and_standard_values();
    practice::insulation_minimum_by_the_table_for_apparatus();
    practice::insulation_minimum_by_the_table_for_coils();
    practice::insulation_temperature_tables_and_their_law();
    practice::absorption_times();
    practice::conductor_constants_and_the_coefficient_they_mean();
    practice::thresholds_of_the_trade();
    let (read, checked) = (read(), CHECKED.take());
    let mut wrong = Vec::new();
    for (id, [unread, unchecked]) in rows() {
        let ways = [
            ("read", "unread", read.contains(&id), unread),
            ("checked", "unchecked", checked.contains(&id), unchecked),
        ];
        for (done, key, is, why) in ways {
            match (is, why) {
                (true, None) => {}
                (true, Some(_)) => wrong.push(format!("{id} is {done}: take `{key}` away")),
                (false, Some(why)) if why.len() > 10 => {}
                (false, _) => wrong.push(format!("{id} is not {done}, and does not say why")),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
