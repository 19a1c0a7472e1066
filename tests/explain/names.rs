//! Names: each register is told whole, and by its own words.

use super::{explain, printed};
use kneemark::derive::formulas;
use kneemark::ground::diagnostic::Code;
use kneemark::judge::requirement;
use kneemark::judge::rules;
use kneemark::record::schema::shared_keys;
use kneemark::record::sections;
use kneemark::report::manual::{Kind, all, named};
use kneemark::standards::{CITED, all_rows};

/// What is said of a name that must be one of a kind; each of the texts must stand in it.
fn tells(kind: Kind, name: &str, texts: &[&str]) {
    let entries = named(name).unwrap_or_else(|near| panic!("{name}: {near:?}"));
    let own = entries.iter().filter(|one| one.kind == kind);
    let said: Vec<String> = own
        .map(|one| {
            one.said
                .iter()
                .map(|said| said.text())
                .collect::<Vec<_>>()
                .join("\n")
        })
        .collect();
    let whole = |said: &String| texts.iter().all(|text| said.contains(text));
    assert!(
        said.iter().any(whole),
        "{} {name} does not tell {texts:?}: {said:?}",
        kind.word()
    );
}

#[test]
fn every_register_is_told_by_its_own_words() {
    for code in Code::ALL {
        tells(
            Kind::Diagnostic,
            code.name(),
            &[code.what(), code.severity().word()],
        );
    }
    for rule in rules::all() {
        let texts = [
            rule.means,
            rule.matters,
            rule.action,
            rule.source,
            rule.whose.word(),
        ];
        tells(Kind::Rule, rule.id, &texts);
    }
    for one in requirement::ALL {
        tells(
            Kind::Requirement,
            one.id,
            &[one.title, one.needs, one.source, one.whose.word()],
        );
        for rule in one.evidence {
            tells(Kind::Requirement, one.id, &[&format!("`{}`", rule.id)]);
            tells(Kind::Rule, rule.id, &[&format!("`{}`", one.id)]);
        }
    }
    for formula in formulas::all() {
        let about = formula.about();
        tells(
            Kind::Formula,
            about.name,
            &[about.text, about.unit, about.source],
        );
        for symbol in about.symbols {
            tells(
                Kind::Formula,
                about.name,
                &[symbol.name, symbol.what, symbol.unit],
            );
        }
    }
    for cited in CITED.iter() {
        let note = cited.note.as_deref().unwrap_or_default();
        tells(
            Kind::Limit,
            &cited.id,
            &[&cited.source, &cited.how_known(), note],
        );
    }
    for section in sections::all() {
        tells(Kind::Section, section.name, &[section.doc]);
        for key in section.keys {
            tells(Kind::Section, section.name, &[key.word, key.doc]);
            tells(
                Kind::Key,
                key.word,
                &[key.doc, section.name, &key.kind.words()],
            );
        }
        for column in section.columns {
            tells(Kind::Section, section.name, &[column.word, column.doc]);
            tells(
                Kind::Column,
                column.word,
                &[column.doc, section.name, &column.kind.words()],
            );
        }
    }
    for key in shared_keys() {
        tells(Kind::Key, key.word, &[key.doc]);
    }
}

#[test]
fn no_part_is_empty() {
    for one in all() {
        let what = format!("{} {}", one.kind.word(), one.name);
        assert!(!one.name.is_empty() && !one.title.is_empty(), "{what}");
        assert!(one.said.len() >= 2, "{what}: {:?}", one.said);
        for said in one.said.iter().map(|said| said.text()) {
            let ends = said.trim_end_matches('.').trim_end();
            let empty = ends.is_empty() || ends.ends_with([':', ';', ',']) || said.contains("``");
            assert!(
                !empty && !said.contains(": ;") && !said.contains(".."),
                "{what}: {said}"
            );
        }
    }
}

/// The figures are those of the table, whatever group the row is of.
#[test]
fn a_limit_tells_its_figures() {
    let rows = all_rows();
    assert_eq!(rows.len(), CITED.len());
    assert!(
        rows.iter()
            .all(|row| !row.figures.is_empty() && !row.unit.is_empty())
    );
    let of = |id: &str, key: &str| {
        let row = rows.iter().find(|row| row.cited.id == id).unwrap();
        let figure = row.figures.iter().find(|(known, _)| known == key);
        figure.unwrap().1.clone()
    };
    // IEC 61869-2:2012, Table 202 and Table 3 of 61869-1:2007, as `tests/published_limits` has them.
    assert_eq!(of("iec-0.2s-ratio-1", "limit"), "0.75");
    assert_eq!(of("iec-discharge-isolated", "solid pc"), "50");
    assert_eq!(of("iec-secondary-currents", "values"), "1, 5");
    tells(
        Kind::Limit,
        "iec-0.2s-ratio-1",
        &["limit: 0.75", "percent: 1", "Unit: %."],
    );
}

#[test]
fn all_names_are_listed_each_on_a_line() {
    let list = printed(&[]);
    let lines: Vec<&str> = list.lines().collect();
    assert_eq!(lines.len(), all().len());
    for kind in Kind::ALL {
        let begins = format!("{} ", kind.word());
        assert!(
            lines.iter().any(|line| line.starts_with(&begins)),
            "{begins}"
        );
    }
    let title = rules::protection::COMPOSITE_ERROR.title;
    assert!(lines.contains(&format!("rule composite-error: {title}").as_str()));
    assert!(
        lines
            .iter()
            .any(|line| line.starts_with("limit iec-0.5s-ratio-5: measuring ratio: class 0.5S"))
    );
}

#[test]
fn one_name_of_several_kinds_is_told_for_each() {
    let text = printed(&["composite-error"]);
    for kind in ["rule", "requirement", "formula"] {
        assert!(
            text.contains(&format!("{kind} composite-error\n")),
            "{text}"
        );
    }
    // As it stands in a record, and of several words.
    assert_eq!(printed(&["[core]"]), printed(&["core"]));
    assert_eq!(printed(&["knee", "emf"]), printed(&["knee emf:"]));
    // Another spelling.
    assert!(printed(&["knee voltage"]).starts_with("key knee emf\n"));
    assert!(
        text.lines().all(|line| line.chars().count() <= 110),
        "{text}"
    );
}

#[test]
fn an_unknown_name_is_wrong_usage_and_the_nearest_is_offered() {
    for (name, told) in [
        ("composite-eror", "did you mean `composite-error`?"),
        ("lunch", "`kneemark explain` lists all names"),
        ("README.md", "name a line of it, as in README.md:12"),
    ] {
        let done = explain(&[name, "ratio-error"]);
        let complaint = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(64), "{name}: {complaint}");
        assert!(complaint.contains(told), "{complaint}");
        // What is known beside it is told all the same.
        let text = String::from_utf8(done.stdout).unwrap();
        assert!(text.contains("rule ratio-error\n"), "{text}");
    }
}
