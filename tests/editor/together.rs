//! Several records are open and edited in any order: in the end each is told what a server that meets all of them as
//! they stand would tell.

use super::client::{Client, job, uri};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;

const NAMES: [&str; 4] = [
    "skerrow/h07/h07-l1.ctr",
    "skerrow/h07/h07-l2.ctr",
    "skerrow/h08/h08-l1.ctr",
    "skerrow/h09/h09-l1.ctr",
];

/// A line of a record, and what it may become.
const EDITS: &[(&str, &[&str])] = &[
    ("id: ", &["BRW-25-41301", "BRW-25-41302", "ZZ"]),
    ("bay: ", &["H07", "H08", "Q"]),
    ("class: PX", &["\nlike: BRW-25-41301", "\nlike: nobody", ""]),
    ("like: ", &["BRW-25-41302", "ZZ"]),
    ("knee emf: ", &["30 V", "300 V", "3000 V"]),
];

/// The first line that begins so has another end.
fn edited(text: &str, (line, ends): (&str, &[&str]), which: usize) -> String {
    let head = format!("\n{line}");
    let Some(at) = text.find(&head) else {
        return text.to_owned();
    };
    let from = at + head.len();
    let to = text[from..].find('\n').map_or(text.len(), |end| from + end);
    format!(
        "{}{}{}",
        &text[..from],
        ends[which % ends.len()],
        &text[to..]
    )
}

/// The last that is published of each text, as name, line and words.
fn last(messages: &[Value]) -> BTreeMap<String, Vec<String>> {
    let published = messages
        .iter()
        .filter(|one| one["method"] == "textDocument/publishDiagnostics");
    let told = published.map(|one| {
        let found = one["params"]["diagnostics"].as_array().expect("a list");
        let found = found.iter().map(|one| {
            let line = &one["range"]["start"]["line"];
            format!("{line} {} {}", one["code"], one["message"])
        });
        (one["params"]["uri"].to_string(), found.collect())
    });
    told.collect()
}

/// Opens all, edits, and hangs up: everything due is published before the server goes.
fn conversation(
    folder: &Path,
    texts: &[String; 4],
    edits: &[(usize, usize, usize, bool)],
) -> ([String; 4], BTreeMap<String, Vec<String>>) {
    let uris = NAMES.map(|name| uri(&folder.join(name)));
    let mut client = Client::new();
    let (mut texts, mut all) = (texts.clone(), Vec::new());
    for (uri, text) in uris.iter().zip(&texts) {
        client.open(uri, text);
    }
    for (version, (record, edit, which, waits)) in (2..).zip(edits) {
        let (text, uri) = (&mut texts[*record], &uris[*record]);
        *text = edited(text, EDITS[edit % EDITS.len()], *which);
        client.change(uri, version, json!([{"text": text}]));
        if *waits {
            all.extend(client.until_published(uri, version));
        }
    }
    all.extend(client.leave().0);
    (texts, last(&all))
}

#[test]
fn edits_in_any_order_come_to_what_a_fresh_server_tells() {
    let folder = job(&NAMES);
    let demo = crate::demo::files();
    let texts = NAMES.map(|name| demo[name].clone());
    let edits = prop::collection::vec((0usize..4, 0usize..5, 0usize..3, any::<bool>()), 1..6);
    let both = |edits: &[(usize, usize, usize, bool)]| {
        let (texts, told) = conversation(folder.path(), &texts, edits);
        let (_, afresh) = conversation(folder.path(), &texts, &[]);
        assert_eq!(told, afresh, "{edits:?}");
    };
    // Who takes another's id, or asks it for a plate, before anybody has looked at him.
    both(&[(2, 0, 0, false)]);
    both(&[(2, 2, 1, true), (2, 0, 0, true)]);
    both(&[(0, 2, 0, true), (1, 0, 0, true), (0, 0, 2, true)]);
    proptest!(ProptestConfig::with_cases(10), |(edits in edits)| both(&edits));
}
