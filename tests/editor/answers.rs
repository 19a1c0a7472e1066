//! What is answered of a place.

use super::client::{Client, L1, at, job, place, uri};
use serde_json::{Value, json};

struct Open {
    client: Client,
    uri: String,
    text: String,
    folder: tempfile::TempDir,
}

/// A record of the demo job, open.
fn open(change: impl Fn(String) -> String) -> Open {
    let folder = job(&[L1]);
    let text = change(crate::demo::files()[L1].clone());
    let uri = uri(&folder.path().join(L1));
    let markdown = json!({"textDocument": {"hover": {"contentFormat": ["markdown", "plaintext"]}}});
    let (mut client, _) = Client::greeting(&markdown);
    client.open(&uri, &text);
    client.published(&uri, 1);
    Open {
        client,
        uri,
        text,
        folder,
    }
}

impl Open {
    fn asked(&mut self, what: &str, piece: &str, into: usize) -> Value {
        let place = place(&self.text, piece, into);
        let asked = at(&self.uri, &place);
        self.client.ask(&format!("textDocument/{what}"), asked)
    }

    fn hover(&mut self, piece: &str, into: usize) -> String {
        let said = self.asked("hover", piece, into);
        said["contents"]["value"]
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }

    /// What may be written behind a piece that is put in before another one.
    fn completed(&mut self, begun: &str, before: &str) -> Vec<(String, String)> {
        let text = self.text.replacen(before, &format!("{begun}{before}"), 1);
        let start = self
            .text
            .find(before)
            .unwrap_or_else(|| panic!("{before} is not there"));
        let line = text[..start + begun.len()].matches('\n').count();
        let character = text[..start + begun.len()]
            .rsplit('\n')
            .next()
            .unwrap_or("")
            .encode_utf16()
            .count();
        self.client.change(&self.uri, 2, json!([{"text": text}]));
        let position = json!({"line": line, "character": character});
        let said = self
            .client
            .ask("textDocument/completion", at(&self.uri, &position));
        let items = said["items"].as_array().expect("a list").iter();
        let pair = |item: &Value| {
            let edit = &item["textEdit"];
            assert_eq!(edit["range"]["end"], position, "{item}");
            let text = |value: &Value| value.as_str().expect("a text").to_owned();
            (text(&item["label"]), text(&edit["newText"]))
        };
        items.map(pair).collect()
    }
}

#[track_caller]
fn offers(found: &[(String, String)], label: &str, text: &str) {
    let has = found.iter().any(|one| (&*one.0, &*one.1) == (label, text));
    assert!(has, "{label}: {found:?}");
}

#[track_caller]
fn lacks(found: &[(String, String)], label: &str) {
    assert!(found.iter().all(|one| one.0 != label), "{label}: {found:?}");
}

#[test]
fn a_word_says_what_it_means_and_a_value_what_follows_from_it() {
    let mut open = open(|text| text);
    let said = open.hover("[core 1S]", 2);
    assert!(
        said.starts_with("section core\n\n`[core 1S]`: one core"),
        "{said}"
    );
    let said = open.hover("knee emf: 300", 3);
    assert!(
        said.contains("key knee emf") && said.contains("Ek"),
        "{said}"
    );
    let said = open.hover("voltage/V  time/s  resistance/Gohm", 25);
    assert!(said.starts_with("column resistance"), "{said}");
    let said = open.hover("required knee: 240 V", 16);
    assert!(said.contains("**Findings that rest on it**"), "{said}");
    assert!(said.contains("required-knee"), "{said}");
    // What was read, then what was found; what is left out is counted.
    let said = open.hover("1S1-1S2  0.49991    1.3494", 12);
    let at = |what: &str| said.find(what).unwrap_or_else(|| panic!("{what}: {said}"));
    assert!(
        at("**Read**") < at("**Findings that rest on it**"),
        "{said}"
    );
    assert!(
        at("**Findings that rest on it**") < at("**Values"),
        "{said}"
    );
    assert!(said.contains(" more: kneemark explain "), "{said}");
    assert_eq!(open.hover("# H07 L1", 3), "");
    open.client.end();
}

/// Where the editor shows no Markdown, there is none.
#[test]
fn without_markdown_the_text_is_plain() {
    let mut client = Client::new();
    let text = "format: 1\n[ct]\nid: A\n";
    client.open("untitled:1", text);
    let said = client.ask(
        "textDocument/hover",
        at("untitled:1", &place(text, "id:", 1)),
    );
    assert_eq!(said["contents"]["kind"], "plaintext");
    client.end();
}

#[test]
fn sections_keys_and_words_are_offered_where_they_fit() {
    let mut open = open(|text| text);
    let found = open.completed("[exc", "\n[state]");
    offers(&found, "excitation", "excitation");
    offers(&found, "ct", "ct]");
    let found = open.completed("[excitation 2", "\n[state]");
    offers(&found, "2S1-2S2", "2S1-2S2");
    offers(&found, "3S1-3S2", "3S1-3S2");
    let found = open.completed("[duty ", "\n[state]");
    offers(&found, "1S", "1S");
    // Keys that are given are not offered again.
    let found = open.completed("hi", "maker: Brandal");
    lacks(&found, "highest voltage");
    offers(&found, "type", "type: ");
    let found = open.completed("use: me\n", "use: protection");
    assert!(found.iter().any(|one| one.0 == "marks"), "{found:?}");
    let found = open.completed("insulation: ", "\n[place");
    offers(&found, "oil and paper", "oil and paper");
    let found = open.completed("purpose: ", "\n[state]");
    offers(&found, "maintenance", "maintenance");
    let found = open.completed("instrument: M", "\n[state]");
    offers(&found, "M1", "M1");
    offers(&found, "I1", "I1");
    open.client.end();
}

#[test]
fn units_follow_a_number_and_headings_follow_their_columns() {
    let mut open = open(|text| text);
    let found = open.completed("first duration: 20 ", "\n[core 2S]");
    assert_eq!(found[0], ("s".to_owned(), "s".to_owned()), "{found:?}");
    offers(&found, "ms", "ms");
    lacks(&found, "V");
    let found = open.completed("resistance: 3.4 ohm at 75 ", "\n[core 2S]");
    offers(&found, "C", "C");
    lacks(&found, "ohm");
    assert!(open.completed("first duration: ", "\n[core 2S]").is_empty());
    // A new section with nothing in it yet.
    let found = open.completed("[excitation 1S1-1S2]\n", "\n[state]");
    offers(&found, "voltage/V", "voltage/V");
    offers(&found, "voltmeter", "voltmeter: ");
    offers(&found, "not done ", "not done ");
    let found = open.completed("[excitation 1S1-1S2]\nvoltage/V  c", "\n[state]");
    offers(&found, "current/A", "current/A");
    lacks(&found, "voltage/V");
    lacks(&found, "voltmeter");
    let found = open.completed("[excitation 1S1-1S2]\nvoltage/", "\n[state]");
    offers(&found, "kV", "kV");
    // Cells of a row: terminals, a word.
    let found = open.completed("\n1S | 1S1-1S2 | panel | 1S2 | ", "\nprimary: P1 open");
    offers(&found, "open", "open");
    // In a comment there is nothing to say.
    assert!(open.completed("# use: ", "\n[state]").is_empty());
    open.client.end();
}

#[test]
fn names_lead_to_where_they_are_declared() {
    let mut open = open(|text| text);
    let line = |said: &Value| said["range"]["start"]["line"].as_u64();
    let of =
        |text: &str, piece: &str| text[..text.find(piece).unwrap()].matches('\n').count() as u64;
    let said = open.asked("definition", "instrument: M1", 13);
    assert_eq!(
        said["uri"],
        uri(&open.folder.path().join("instruments.toml"))
    );
    let known = &crate::demo::files()["instruments.toml"];
    assert_eq!(
        line(&said),
        Some(of(known, "[[instrument]]\nid = \"M1\"")),
        "{said}"
    );
    let said = open.asked("definition", "[polarity 1S1-1S2]", 12);
    assert_eq!(
        (said["uri"].as_str(), line(&said)),
        (Some(&*open.uri), Some(of(&open.text, "ratio: 600/1 A"))),
        "{said}"
    );
    let said = open.asked("definition", "3S   | 3S1-3S3", 8);
    assert_eq!(
        line(&said),
        Some(of(&open.text, "3S1-3S3  600/1")),
        "{said}"
    );
    let said = open.asked("definition", "[duty 2S since", 7);
    assert_eq!(line(&said), Some(of(&open.text, "[core 2S]")), "{said}");
    assert_eq!(open.asked("definition", "maker: Brandal", 9), Value::Null);
    open.client.end();
}

/// The plate that another unit lends.
#[test]
fn like_leads_to_the_record_of_its_unit() {
    let folder = tempfile::tempdir().unwrap();
    let plate = "# of L1\nformat: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\n[core S]\nratio: 600/1 A\nclass: PX\n";
    std::fs::write(folder.path().join("a.ctr"), plate).unwrap();
    let text = "format: 1\n[ct]\nid: A2\nstandard: IEC 61869-2:2012\n[core S]\nlike: A1\n";
    let own = uri(&folder.path().join("b.ctr"));
    let mut client = Client::new();
    client.open(&own, text);
    let said = client.ask(
        "textDocument/definition",
        at(&own, &place(text, "like: A1", 7)),
    );
    assert_eq!(said["uri"], uri(&folder.path().join("a.ctr")));
    assert_eq!(said["range"]["start"]["line"], 3);
    client.end();
}

#[test]
fn the_outline_has_the_tests_below_their_visit() {
    let mut open = open(|text| text);
    let said = open.client.ask(
        "textDocument/documentSymbol",
        json!({"textDocument": {"uri": open.uri}}),
    );
    let all = said.as_array().unwrap();
    let names: Vec<&str> = all.iter().filter_map(|one| one["name"].as_str()).collect();
    assert_eq!(names[..3], ["ct", "place since 2026-08-31", "core 1S"]);
    let visit = all
        .iter()
        .find(|one| one["name"] == "visit 2026-09-14")
        .unwrap();
    let tests = visit["children"].as_array().unwrap();
    assert_eq!(tests[0]["name"], "state");
    let end = &tests.last().unwrap()["range"]["end"];
    assert_eq!(&visit["range"]["end"], end);
    open.client.end();
}

/// Each change that a diagnostic offers, made as the editor would, takes the diagnostic away.
#[test]
fn a_quick_fix_mends_what_it_is_for() {
    let mut open = open(|text| text.replace("knee emf: 300 V", "kne emf: 300 v"));
    let start = place(&open.text, "kne emf", 0);
    let range = json!({"start": start, "end": start});
    let asked =
        json!({"textDocument": {"uri": open.uri}, "range": range, "context": {"diagnostics": []}});
    let said = open.client.ask("textDocument/codeAction", asked.clone());
    let action = &said[0];
    assert_eq!(action["kind"], "quickfix");
    assert_eq!(action["diagnostics"][0]["code"], "key-unknown");
    let edit = &action["edit"]["changes"][&open.uri][0];
    open.client.change(
        &open.uri,
        2,
        json!([{"range": edit["range"], "text": edit["newText"]}]),
    );
    let found = open.client.published(&open.uri, 2);
    assert!(
        found.iter().all(|one| one["code"] != "key-unknown"),
        "{found:?}"
    );
    // Now the value is read, and its unit told.
    assert!(
        found.iter().any(|one| one["code"] == "unit-case"),
        "{found:?}"
    );
    let refactor = json!({"textDocument": {"uri": open.uri}, "range": range, "context": {"diagnostics": [], "only": ["refactor"]}});
    assert_eq!(
        open.client.ask("textDocument/codeAction", refactor),
        json!([])
    );
    open.client.end();
}

#[test]
fn it_lays_out_as_fmt_does() {
    let mut open = open(|text| {
        let text = text.replace("knee emf: 300 V", "knee emf:   300 V   # Ω");
        text.replace("1S   | 1S1-1S2    | panel", "1S |1S1-1S2 |  panel")
            .replace('\n', "\r\n")
    });
    let options = json!({"tabSize": 4, "insertSpaces": true});
    let asked = json!({"textDocument": {"uri": open.uri}, "options": options});
    let edits = open.client.ask("textDocument/formatting", asked);
    let edits = edits.as_array().unwrap();
    assert_eq!(edits.len(), 2, "{edits:?}");
    let mut lines: Vec<String> = open.text.split("\r\n").map(str::to_owned).collect();
    for edit in edits {
        let at = edit["range"]["start"]["line"].as_u64().unwrap() as usize;
        assert_eq!(edit["range"]["start"]["character"], 0);
        assert_eq!(
            edit["range"]["end"]["character"],
            lines[at].encode_utf16().count()
        );
        lines[at] = edit["newText"].as_str().unwrap().to_owned();
    }
    let source = kneemark::ground::source::Source::new("a.ctr", open.text.as_bytes()).0;
    assert_eq!(lines.join("\r\n"), kneemark::layout::lay_out(&source).text);
    open.client.end();
}

/// Behind a row stands what the report has: the value of the finding that points at it.
#[test]
fn rows_carry_their_values() {
    let mut open = open(|text| text);
    let range =
        json!({"start": {"line": 0, "character": 0}, "end": {"line": 9999, "character": 0}});
    let asked = json!({"textDocument": {"uri": open.uri}, "range": range});
    let said = open.client.ask("textDocument/inlayHint", asked);
    let hints = said.as_array().unwrap();
    let lines: Vec<&str> = open.text.split('\n').collect();
    let label = |hint: &Value| hint["label"].as_str().unwrap().to_owned();
    let resistance: Vec<&Value> = hints
        .iter()
        .filter(|hint| label(hint).contains("at 75"))
        .collect();
    assert!(resistance.len() >= 3, "{said}");
    assert!(
        resistance.iter().all(|hint| label(hint).contains('Ω')),
        "{said}"
    );
    assert!(
        hints.iter().any(|hint| label(hint).ends_with('%')),
        "{said}"
    );
    for hint in hints {
        let line = lines[hint["position"]["line"].as_u64().unwrap() as usize];
        assert_eq!(
            hint["position"]["character"],
            line.encode_utf16().count(),
            "{line}"
        );
    }
    // None outside of what is shown.
    let range = json!({"start": {"line": 0, "character": 0}, "end": {"line": 5, "character": 0}});
    let asked = json!({"textDocument": {"uri": open.uri}, "range": range});
    assert_eq!(open.client.ask("textDocument/inlayHint", asked), json!([]));
    open.client.end();
}

/// Two records have the id: the definition is where the plate comes from. A reading is no name of a core.
#[test]
fn a_definition_is_what_is_used() {
    let folder = tempfile::tempdir().unwrap();
    let plate = |ratio: &str| {
        format!(
            "format: 1\n[ct]\nid: X\n[core 1]\nclass: PX\nratio: {ratio}/1 A\nknee emf: 300 V\n"
        )
    };
    std::fs::write(folder.path().join("a.ctr"), plate("600")).unwrap();
    std::fs::write(folder.path().join("b.ctr"), plate("900")).unwrap();
    let text = "format: 1\n[ct]\nid: Y\n[core 1]\nlike: X\n[visit 2026-01-01]\n[excitation S1-S2]\nvoltage/V  current/mA\n1  2\n";
    let own = uri(&folder.path().join("c.ctr"));
    let mut client = Client::new();
    client.open(&own, text);
    let said = client.ask(
        "textDocument/definition",
        at(&own, &place(text, "like: X", 6)),
    );
    assert_eq!(said["uri"], uri(&folder.path().join("a.ctr")));
    let said = client.ask("textDocument/definition", at(&own, &place(text, "1  2", 0)));
    assert_eq!(said, Value::Null);
    client.end();
}

/// A last line without its end gets one, and what stands right is left alone.
#[test]
fn formatting_ends_the_last_line() {
    let mut client = Client::new();
    let asked = |name: &str| json!({"textDocument": {"uri": name}, "options": {"tabSize": 4, "insertSpaces": true}});
    client.open("untitled:a", "format: 1\n[ct]\nid: A");
    let said = client.ask("textDocument/formatting", asked("untitled:a"));
    let end = json!({"line": 2, "character": 5});
    assert_eq!(
        said,
        json!([{"range": {"start": end, "end": end}, "newText": "\n"}])
    );
    client.open("untitled:b", "format: 1\r\n[ct]\r\nid:   A");
    let said = client.ask("textDocument/formatting", asked("untitled:b"));
    assert_eq!(said[0]["newText"], "id: A\n");
    client.end();
}

/// What is taken of a completion in a table's heading leaves the heading whole; a key does not get a second colon.
#[test]
fn what_is_completed_fits_what_stands_there() {
    let visit =
        "format: 1\n[ct]\nid: A\n[core 1S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-01-02]\n";
    let mut client = Client::new();
    let mut offered = |text: &str, behind: usize| -> Vec<(String, String)> {
        client.open("untitled:a", text);
        let line = text.matches('\n').count();
        let last = text.rsplit('\n').next().unwrap();
        let position = json!({"line": line, "character": last.len() - behind});
        let said = client.ask("textDocument/completion", at("untitled:a", &position));
        let items = said["items"].as_array().unwrap().iter();
        let made = items.map(|item| {
            let range = &item["textEdit"]["range"];
            let [start, end] =
                ["start", "end"].map(|end| range[end]["character"].as_u64().unwrap());
            let (new, label) = (
                item["textEdit"]["newText"].as_str().unwrap(),
                &item["label"],
            );
            let made = format!("{}{new}{}", &last[..start as usize], &last[end as usize..]);
            (label.as_str().unwrap().to_owned(), made)
        });
        made.collect()
    };
    let of = |all: &[(String, String)], label: &str| {
        let one = all.iter().find(|(own, _)| own == label);
        one.map(|(_, made)| made.clone())
    };
    let state = offered(&format!("{visit}[state]\ncore | in service | e"), 0);
    assert_eq!(
        of(&state, "earth").as_deref(),
        Some("core | in service | earth")
    );
    assert_eq!(of(&state, "core"), None);
    assert_eq!(of(&state, "in service"), None);
    let key = offered("format: 1\n[ct]\nid: A\nfrequ: 50 Hz", 7);
    assert_eq!(of(&key, "frequency").as_deref(), Some("frequency: 50 Hz"));
    let row = offered(
        &format!("{visit}[insulation]\nbetween  voltage/V  time/s  resistance/Mohm\n1S to pr"),
        0,
    );
    let group = "1S to primary, cores and earth";
    assert_eq!(of(&row, group).as_deref(), Some(group));
    let omitted = offered(&format!("{visit}not done ins"), 0);
    assert_eq!(
        of(&omitted, "insulation").as_deref(),
        Some("not done insulation")
    );
    client.end();
}

/// What is preferred leaves no doubt: which tests are due is nobody's guess.
#[test]
fn what_is_preferred_leaves_no_doubt() {
    let text = "format: 1\n[ct]\nid: A\n[core 1S]\nmarks: S1 S2\nratio: 600/1 A\n[visit 2026-01-02]\npurpose: invest\n";
    let mut client = Client::new();
    client.open("untitled:a", text);
    let mut fix = |line: u32| {
        let place = json!({"line": line, "character": 12});
        let asked = json!({"textDocument": {"uri": "untitled:a"}, "range": {"start": place, "end": place}, "context": {"diagnostics": []}});
        let said = client.ask("textDocument/codeAction", asked);
        assert!(said[0].is_object(), "{said}");
        said[0].clone()
    };
    let purpose = fix(7);
    assert_eq!(purpose["title"], "write investigation");
    assert_eq!(purpose["isPreferred"], false);
    client.end();
}

/// A section is below a visit because there is one, and not for how it is called.
#[test]
fn a_section_that_is_called_like_a_visit_is_none() {
    let text =
        "format: 1\n[ct]\nid: A\n[visitors x]\n[excitation S1-S2]\nvoltage/V  current/mA\n1  2\n";
    let mut client = Client::new();
    client.open("untitled:a", text);
    let said = client.ask(
        "textDocument/documentSymbol",
        json!({"textDocument": {"uri": "untitled:a"}}),
    );
    let names: Vec<&Value> = said
        .as_array()
        .unwrap()
        .iter()
        .map(|one| &one["name"])
        .collect();
    assert_eq!(names, ["ct", "visitors x", "excitation S1-S2"]);
    client.end();
}
