//! The schema and its readers agree: every word of the schema is asked for, and every word that is
//! asked for is in the schema.

use kneemark::record::schema::Section;
use kneemark::record::sections;
use std::collections::BTreeSet;
use std::path::Path;

/// Words asked for by name in a reader's source text.
fn asked(text: &str) -> BTreeSet<String> {
    let calls = [
        ".get(\"",
        ">(\"",
        ".field(\"",
        ".all(\"",
        ".texts(\"",
        ".fields_of(\"",
    ];
    let parts = calls.iter().flat_map(|call| text.split(call).skip(1));
    parts
        .filter_map(|part| part.split('"').next().map(str::to_owned))
        .collect()
}

/// Words that a line of a section's declaration reads into a field.
fn typed(text: &str) -> BTreeSet<String> {
    let word = |line: &str| {
        let (declared, _) = line.trim_start().split_once(": ")?;
        let (field, word) = declared.split_once(' ').unwrap_or((declared, declared));
        let is_field = !field.starts_with('"') && !field.is_empty();
        is_field.then(|| word.trim_matches('"').to_owned())
    };
    text.lines().filter_map(word).collect()
}

fn source_of(section: &Section) -> String {
    let file = match section.name {
        "ct" => "plate.rs".to_owned(),
        name if section.is_test() => format!("kinds/{}.rs", name.replace('-', "_")),
        name => format!("{}.rs", name.replace('-', "_")),
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
    for section in sections::all() {
        let source = source_of(section);
        let words: BTreeSet<String> = asked(&source).into_iter().chain(typed(&source)).collect();
        let known = section
            .all_keys()
            .map(|key| key.word)
            .chain(section.columns.iter().map(|column| column.word));
        // What tells equal tests apart or is only shown is asked for by no name.
        let common = ["note", "on", "method", "time", "source", "range", "stage"];
        for word in known.filter(|word| !common.contains(word)) {
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
    let all: BTreeSet<&str> = sections::all()
        .flat_map(|section| {
            section
                .all_keys()
                .map(|key| key.word)
                .chain(section.columns.iter().map(|column| column.word))
                .collect::<Vec<_>>()
        })
        .collect();
    for section in sections::all() {
        for word in asked(&source_of(section)) {
            assert!(
                all.contains(word.as_str()),
                "[{}] is asked for `{word}`, which no section knows",
                section.name
            );
        }
    }
}
