//! The schema and its readers agree: every word of the schema is asked for, and every word that is
//! asked for is in the schema.

use kneemark::record::schema::{self, Section};
use std::collections::BTreeSet;
use std::path::Path;

/// Words asked for by name in a reader's source text.
fn asked(text: &str) -> BTreeSet<String> {
    let calls = [
        "text",
        "choice",
        "quantity",
        "number",
        "at",
        "ratio",
        "burden",
        "class",
        "pair",
        "between",
        "terminals",
        "field",
        "fields_of",
    ];
    let mut found = BTreeSet::new();
    for call in calls {
        for part in text.split(&format!(".{call}(\"")).skip(1) {
            found.extend(part.split('"').next().map(str::to_owned));
        }
    }
    for part in text.split("text(\"").skip(1) {
        found.extend(part.split('"').next().map(str::to_owned));
    }
    found
}

fn source_of(section: &Section) -> String {
    let file = match section.name {
        "ct" => "plate.rs".to_owned(),
        name if section.is_test() => format!("kinds/{}.rs", name.replace('-', "_")),
        name => format!("{name}.rs"),
    };
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/record");
    let own = std::fs::read_to_string(folder.join(&file)).unwrap();
    // The place may stand in [ct]; the visit's dated keys and the common ones are read elsewhere.
    let shared = ["place.rs", "kinds/mod.rs", "build.rs"]
        .map(|name| std::fs::read_to_string(folder.join(name)).unwrap());
    format!("{own}{}", shared.concat())
}

#[test]
fn every_word_of_the_schema_is_asked_for() {
    for section in schema::sections() {
        let words = asked(&source_of(section));
        let known = section
            .all_keys()
            .map(|key| key.word)
            .chain(section.columns.iter().map(|column| column.word));
        for word in
            known.filter(|word| !matches!(*word, "note" | "on" | "method" | "time" | "source"))
        {
            assert!(
                words.contains(word),
                "[{}] knows `{word}`, but nobody asks for it",
                section.name
            );
        }
    }
}

#[test]
fn every_word_asked_for_is_in_the_schema() {
    let all: BTreeSet<&str> = schema::sections()
        .flat_map(|section| {
            section
                .all_keys()
                .map(|key| key.word)
                .chain(section.columns.iter().map(|column| column.word))
                .collect::<Vec<_>>()
        })
        .collect();
    for section in schema::sections() {
        for word in asked(&source_of(section)) {
            assert!(
                all.contains(word.as_str()),
                "[{}] is asked for `{word}`, which no section knows",
                section.name
            );
        }
    }
}
