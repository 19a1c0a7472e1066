//! The rows of a CT's table as data.

use super::demo;
use kneemark::document::{Grade, Part};
use kneemark::job::Compiled;
use kneemark::judge::finding::unit;
use kneemark::record::kinds::TestKind;
use kneemark::report::Subject;
use kneemark::report::rows::{Row, rows_in};

fn of(ending: &str) -> (&'static Compiled, Vec<Row>) {
    let job = demo();
    let mut all = job.records.iter();
    let ct = all.find(|one| one.source.name.ends_with(ending)).unwrap();
    (ct, Subject::of(ct, job.sisters(ct)).rows().to_vec())
}

#[test]
fn each_requirement_has_one_row_with_a_key_of_its_own() {
    for ct in &demo().records {
        let subject = Subject::of(ct, Vec::new());
        let made = subject.rows();
        let claims = ct.claims();
        assert_eq!(made.len(), claims.shown.len(), "{}", ct.source.name);
        let mut keys: Vec<_> = made.iter().map(|row| &row.key).collect();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len(), made.len(), "{}", ct.source.name);
    }
}

/// Nothing is judged anew: a row has the standing of its requirement.
#[test]
fn a_row_tells_limit_value_and_what_stands_beside_it() {
    let (_, made) = of("h08-l1.ctr");
    let named = |id: &str, core: &str| {
        let mut own = made.iter();
        own.find(|row| row.key.id == id && row.key.core.as_deref() == Some(core))
            .unwrap()
    };
    let exciting = named("exciting-current", "2S");
    assert_eq!(exciting.limit.to_string(), "≤\u{a0}30 mA");
    assert_eq!(
        exciting.source.to_string(),
        "rating plate, exciting current"
    );
    assert!(exciting.stated_at.is_some());
    assert_eq!((exciting.grade, exciting.word), (Grade::Fails, "not met"));
    assert!(exciting.beside.factory.is_some());
    assert_eq!(exciting.beside.sisters.as_ref().unwrap().of, 2);
    let knee = named("knee-emf", "2S");
    assert_eq!((knee.grade, knee.word), (Grade::Open, "withheld"));
    assert!(knee.why.to_string().contains("shorted turn suspected"));
    let class = named("accuracy", "3S");
    assert!(!class.due && !class.is_tested && class.why.to_string().starts_with("needs "));
}

/// A class that was held at many points tells the one that lies nearest to its limit.
#[test]
fn a_class_by_current_tells_its_nearest_point() {
    let mut told = 0;
    for ct in &demo().records {
        for row in Subject::of(ct, Vec::new()).rows() {
            if row.key.id == "accuracy" && row.is_tested && row.grade == Grade::Pass {
                assert!(!row.limit.is_empty(), "{}", ct.source.name);
                assert!(row.found.to_string().contains("% of rated current"));
                told += 1;
            }
        }
    }
    assert!(told > 0);
}

#[test]
fn the_same_row_is_found_on_a_sister() {
    let [(_, a), (_, b)] = ["h07-l1.ctr", "h07-l2.ctr"].map(of);
    for row in &a {
        assert!(b.iter().any(|other| other.key == row.key), "{:?}", row.key);
    }
}

/// A damp unit reads in megohm, its sisters in gigohm: each alone keeps its own, side by side there is one.
#[test]
fn insulation_is_told_in_one_unit() {
    let insulated = |rows: &[Row]| {
        let mut units = Vec::new();
        for row in rows.iter().filter(|row| row.kind == TestKind::Insulation) {
            for phrase in [&row.limit, &row.found] {
                let parts = phrase.parts().iter();
                units.extend(parts.filter_map(|part| match part {
                    Part::Quantity(quantity) => Some(quantity.unit),
                    _ => None,
                }));
            }
        }
        assert!(units.len() >= 8, "{units:?}");
        units.sort_unstable();
        units.dedup();
        units
    };
    let (damp, own) = of("h10-l1.ctr");
    let (_, sound) = of("h10-l2.ctr");
    assert_eq!(insulated(&own), ["Mohm"]);
    assert_eq!(insulated(&sound), ["Gohm"]);
    let subject = Subject::of(damp, demo().sisters(damp));
    let beside = rows_in(&subject, unit::GIGAOHM);
    assert_eq!(insulated(&beside), ["Gohm"]);
    let primary = |rows: &[Row]| {
        let mut all = rows.iter();
        let row = all
            .find(|row| row.kind == TestKind::Insulation && row.core.is_none())
            .unwrap();
        (row.limit.to_string(), row.found.to_string())
    };
    assert_eq!(
        primary(&own),
        ("≥\u{a0}5000 Mohm".into(), "304 ± 81 Mohm".into())
    );
    assert_eq!(
        primary(&beside),
        ("≥\u{a0}5 Gohm".into(), "0.304 ± 0.081 Gohm".into())
    );
}

/// A ratio by current says at which, also where no class is asked for.
#[test]
fn a_ratio_by_current_says_at_which() {
    let (_, made) = of("k04-l2.ctr");
    let ratio = made.iter().find(|row| row.key.id == "ratio").unwrap();
    let found = ratio.found.to_string();
    assert!(found.contains("at 5 % of rated current, 15 VA"), "{found}");
}

/// The turns of a measuring class lie within its limit on two phases and outside on the third: the limit holds
/// for all of them, and the two say why they are not met by it.
#[test]
fn turns_within_a_class_say_that_they_do_not_show_it() {
    let ratio = |ending: &str| {
        let (_, made) = of(ending);
        let own = |row: &Row| row.key.id == "ratio" && row.key.core.as_deref() == Some("3S");
        let mut all = made.into_iter().filter(own);
        let row = all.find(|row| row.key.pair == Some((0, 2))).unwrap();
        (row.word, row.limit.to_string(), row.why.to_string())
    };
    let within = (
        "measured",
        String::new(),
        "turns only, not the class".to_owned(),
    );
    assert_eq!(ratio("h09-l1.ctr"), within);
    assert_eq!(ratio("h09-l2.ctr"), within);
    let (word, limit, why) = ratio("h09-l3.ctr");
    assert_eq!((word, why.as_str()), ("not met", ""));
    assert!(limit.contains("0.5 %"));
}

/// A doubt of the connection withholds what the circuit gets, and not what the core can do.
#[test]
fn a_reversed_core_keeps_its_own_values() {
    let (_, made) = of("h09-l2.ctr");
    let of_core = |id: &str| {
        let own = |row: &&Row| row.key.id == id && row.key.core.as_deref() == Some("1S");
        made.iter().find(own).unwrap()
    };
    assert_eq!(of_core("composite-error").word, "met");
    let knee = of_core("required-knee");
    assert_eq!(knee.word, "withheld");
    assert!(
        knee.why
            .to_string()
            .contains("may not be connected as marked")
    );
}

/// Errors in another position of the primary links have columns and a curve of their own; a burden is counted once.
#[test]
fn errors_by_current_are_told_in_each_position_of_the_links() {
    let run = |links: &str, rows: &str| {
        format!(
            "\n[ratio S1-S2]\nmethod: current\n{links}burden: 10 VA at 0.80\nrated/% error/% phase/arcmin\n{rows}\n"
        )
    };
    let parallel = run("", "5 -0.18 6.0\n100 -0.05 1.4");
    let plate = "format: 1\n\n[ct]\nid: M-1\nstandard: IEC 61869-2:2012\nhighest voltage: 145 kV\nprimary turns: 1\n\
         primary links: series 400/1, parallel 800/1\n\n[core S]\nclass: 0.2S FS5\nburden: 10 VA at 0.80\nratio: 800/1 A\n\n\
         [visit 2026-03-14]\npurpose: factory\nprimary links: parallel\n";
    let told = |text: String| {
        let files = kneemark::ground::seam::Memory::default();
        files.put("m.ctr", text);
        let job = kneemark::compile(&files, &["m.ctr".into()]);
        super::report(&job, &job.records[0]).markdown
    };
    let both = told(format!(
        "{plate}{parallel}{}",
        run("links: series\n", "100 -0.06 1.6")
    ));
    let head = both
        .lines()
        .find(|line| line.starts_with("| % of rated"))
        .unwrap();
    for column in [
        "| error: 10 VA at 0.80 |",
        "| error: 10 VA at 0.80, series |",
        "| phase: 10 VA at 0.80, series |",
    ] {
        assert!(head.contains(column), "{head}");
    }
    let row = both
        .lines()
        .find(|line| line.starts_with("| 100 |"))
        .unwrap();
    assert!(row.contains("−0.05") && row.contains("−0.06"), "{row}");
    assert!(
        both.contains(
            "3 values with 1 burden, in 2 positions of the primary links, over the primary current."
        ),
        "{both}"
    );
    let one = told(format!("{plate}{parallel}"));
    assert!(
        one.contains("2 values with 1 burden over the primary current."),
        "{one}"
    );
}
