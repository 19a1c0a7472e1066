//! The whole pack on one page: whatever its CTs are called, each id stands once and each link leads somewhere.

use super::{ONE_BAY, Pack, bay, built, text};
use std::collections::BTreeSet;

/// The values of an attribute, in order.
fn all<'t>(page: &'t str, attribute: &str) -> Vec<&'t str> {
    let begin = format!(" {attribute}=\"");
    let parts = page.split(begin.as_str()).skip(1);
    parts.filter_map(|part| part.split('"').next()).collect()
}

fn checked(page: &str, name: &str) -> usize {
    let mut known = BTreeSet::new();
    for id in all(page, "id") {
        assert!(known.insert(id), "{name}: the id {id} stands twice");
    }
    let links = all(page, "href").into_iter();
    let within: Vec<&str> = links.filter_map(|link| link.strip_prefix('#')).collect();
    for link in &within {
        assert!(known.contains(link), "{name}: #{link} leads nowhere");
    }
    within.len()
}

/// Bay H07 with its CTs called otherwise, and annexes, whose headings make many ids.
fn called(names: [&str; 3]) -> Pack {
    let config = format!(
        "{ONE_BAY}[annex]\nvalues = true\nreadings = true\nworkings = true\nsources = true\n"
    );
    let files = bay("h07", &config);
    for (at, name) in names.iter().enumerate() {
        let path = format!("skerrow/h07/h07-l{}.ctr", at + 1);
        let record = super::demo_text(&path);
        let id = format!("id: BRW-25-4130{}\n", at + 1);
        assert!(record.contains(&id));
        files.put(
            format!("job/{path}"),
            record.replace(&id, &format!("id: {name}\n")),
        );
    }
    built(&files)
}

#[test]
fn no_name_of_a_ct_takes_the_place_of_something_else() {
    for names in [
        ["Index", "Methods", "Contents"],
        ["Page Index", "CT Index", "Summary matrix"],
        ["A 1", "A 1 Curves", "A 1 core0"],
        [
            "Bay Skerrow 132 kV H07",
            "Skerrow 132 kV H07",
            "Required and shown",
        ],
    ] {
        let pack = called(names);
        assert!(
            pack.files
                .keys()
                .filter(|name| name.starts_with("ct/"))
                .count()
                == 6
        );
        let whole = text(&pack, "pack.html");
        assert!(checked(&whole, "pack.html") > 10);
        for name in pack.files.keys().filter(|name| name.ends_with(".html")) {
            checked(&text(&pack, name), name);
        }
    }
}

/// A page that is taken out of the whole pack says where it belongs, as one of its own does.
#[test]
fn each_page_within_leads_back() {
    let pack = built(&bay("h07", ONE_BAY));
    let whole = text(&pack, "pack.html");
    let sheets: Vec<&str> = whole.split("<div class=\"in-pack\"").skip(1).collect();
    assert_eq!(sheets.len(), 4);
    let names = whole.matches("<nav class=\"ways\" aria-label=\"From ");
    assert_eq!(names.count(), sheets.len());
    for sheet in &sheets {
        let (ways, rest) = sheet.split_once("</nav>").unwrap();
        assert!(ways.contains("<nav class=\"ways\"") && rest.contains("<article"));
        assert!(ways.contains("href=\"#page--index\">Contents<"), "{ways}");
    }
    let to_bay = "href=\"#page--bay--skerrow-132-kv-h07\">Skerrow 132 kV, H07<";
    assert!(sheets.iter().skip(1).all(|sheet| sheet.contains(to_bay)));
}
