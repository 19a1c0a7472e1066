//! What is told beside the lines: the same as `check` tells, on the file that it is of.

use super::client::{Client, L1, job, place, uri};
use kneemark::document::Grade;
use kneemark::ground::seam::Disk;
use kneemark::job::Survey;
use serde_json::{Value, json};
use std::collections::BTreeSet;

type Line = (i64, String);

/// Line from 0, and name.
fn lines(found: &[Value]) -> Vec<Line> {
    let line = |one: &Value| {
        let line = one["range"]["start"]["line"].as_i64().expect("a line");
        (line, one["code"].as_str().expect("a name").to_owned())
    };
    found.iter().map(line).collect()
}

fn has(found: &[Value], code: &str) -> bool {
    found.iter().any(|one| one["code"] == code)
}

/// Every record of the demo job: the diagnostics of `check`, and of its findings those that fail or are for review.
#[test]
fn an_editor_is_told_what_check_tells() {
    let demo = crate::demo::files();
    let names = demo.keys().filter(|name| name.ends_with(".ctr"));
    let names: Vec<&str> = names.map(String::as_str).collect();
    let folder = job(&names);
    let mut client = Client::new();
    let (mut diagnostics, mut findings) = (0, 0);
    for name in names {
        let path = folder.path().join(name);
        client.open(&uri(&path), &demo[name]);
        let found = client.published(&uri(&path), 1);
        let survey = Survey::among(&Disk, &[path]);
        let job = survey.job();
        let [ct] = job.records.as_slice() else {
            panic!("{name}")
        };
        let claims = ct.claims();
        let line = |span: &kneemark::ground::span::Span| ct.source.line(span.start) as i64 - 1;
        let told = ct
            .diagnostics
            .iter()
            .map(|one| (line(&one.span), one.code.name().to_owned()));
        let told: Vec<Line> = told.collect();
        let own = lines(&found);
        let (texts, judged): (Vec<Line>, Vec<Line>) = own.into_iter().partition(|(_, name)| {
            kneemark::ground::diagnostic::Code::ALL
                .iter()
                .any(|code| code.name() == name)
        });
        assert_eq!(texts, told, "{name}");
        let counts: BTreeSet<Line> = ct
            .assessment
            .visits
            .iter()
            .enumerate()
            .flat_map(|(visit, one)| one.findings.iter().map(move |one| (visit, one)))
            .filter(|(visit, one)| one.grade() >= Grade::Review && claims.stands(*visit, one))
            .filter_map(|(_, one)| Some((line(one.points_at.first()?), one.rule.id.to_owned())))
            .collect();
        assert!(
            judged.iter().all(|one| counts.contains(one)),
            "{name}: {judged:?}"
        );
        assert_eq!(judged.is_empty(), counts.is_empty(), "{name}");
        (diagnostics, findings) = (diagnostics + told.len(), findings + judged.len());
    }
    assert!(
        diagnostics > 3 && findings > 10,
        "{diagnostics}, {findings}"
    );
    client.end();
}

/// A slip comes and goes with the edit that makes and mends it, at the columns that the editor counts.
#[test]
fn a_slip_is_told_while_it_stands() {
    let folder = job(&[L1]);
    let (path, text) = (folder.path().join(L1), crate::demo::files()[L1].clone());
    let uri = uri(&path);
    let mut client = Client::new();
    client.open(&uri, &text);
    assert!(!has(&client.published(&uri, 1), "unit-case"));
    // Two characters of two units each, a sign of one, before the slip in its line.
    let start = place(&text, "knee emf: 300 V", 10);
    let end = place(&text, "knee emf: 300 V", 15);
    client.change(
        &uri,
        2,
        json!([{"range": {"start": start, "end": end}, "text": "300 v # 🔌🔌 Ω"}]),
    );
    let found = client.published(&uri, 2);
    let told = found
        .iter()
        .find(|one| one["code"] == "unit-case")
        .expect("it is told");
    assert_eq!(told["severity"], 1);
    assert_eq!(told["source"], "kneemark");
    assert_eq!(told["range"]["start"], place(&text, "knee emf: 300 V", 14));
    assert_eq!(told["range"]["end"], end);
    let end = json!({"line": start["line"], "character": 29});
    client.change(
        &uri,
        3,
        json!([{"range": {"start": start, "end": end}, "text": "300 V"}]),
    );
    assert!(!has(&client.published(&uri, 3), "unit-case"));
    client.end();
}

#[test]
fn what_fails_is_a_warning_and_no_error_of_the_text() {
    let demo = crate::demo::files();
    let folder = job(&[L1]);
    let uri = uri(&folder.path().join(L1));
    let text = demo[L1].replace("required knee: 240 V", "required knee: 2400 V");
    let mut client = Client::new();
    client.open(&uri, &text);
    let found = client.published(&uri, 1);
    let failing = |one: &&Value| {
        one["message"]
            .as_str()
            .is_some_and(|text| text.starts_with("fails: "))
    };
    let failing: Vec<&Value> = found.iter().filter(failing).collect();
    assert!(
        failing.iter().any(|one| one["code"] == "required-knee"),
        "{found:?}"
    );
    assert!(
        failing.iter().all(|one| one["severity"] == 2),
        "{failing:?}"
    );
    client.end();
}

/// What is open and not saved counts for the records beside it; what is wrong in it is told on its own lines.
#[test]
fn settings_in_the_editor_count() {
    let demo = crate::demo::files();
    let folder = job(&[L1]);
    let (own, known) = (
        folder.path().join(L1),
        folder.path().join("instruments.toml"),
    );
    let (own, known) = (uri(&own), uri(&known));
    let mut client = Client::new();
    client.open(&own, &demo[L1]);
    assert!(!has(&client.published(&own, 1), "instrument-unknown"));
    client.open(&known, &demo["instruments.toml"]);
    assert!(client.published(&known, 1).is_empty());
    let other = demo["instruments.toml"].replace("id = \"M1\"", "id = \"M9\"");
    client.change(&known, 2, json!([{"text": other}]));
    assert!(client.published(&known, 2).is_empty());
    let unknown = |client: &mut Client| {
        client.wait(|one| {
            let found = one["params"]["diagnostics"].as_array();
            one["params"]["uri"] == own
                && found.is_some_and(|found| has(found, "instrument-unknown"))
        })
    };
    unknown(&mut client);
    client.change(&known, 3, json!([{"text": "[[instrument]]\nid = 7\n"}]));
    let found = client.published(&known, 3);
    assert_eq!(lines(&found), [(1, "config-unreadable".to_owned())]);
    client.end();
}

/// A setting that is not open is told on its own file too, and no longer once it is mended.
#[test]
fn settings_beside_the_editor_are_told_on_their_file() {
    let demo = crate::demo::files();
    let folder = job(&[L1]);
    let known = folder.path().join("criteria.toml");
    std::fs::write(&known, "decision = 7\n").unwrap();
    let own = uri(&folder.path().join(L1));
    let mut client = Client::new();
    client.open(&own, &demo[L1]);
    client.published(&own, 1);
    let found = client.published(&uri(&known), None);
    assert_eq!(lines(&found)[0], (0, "config-unreadable".to_owned()));
    std::fs::write(&known, &demo["criteria.toml"]).unwrap();
    client.tell(
        "textDocument/didSave",
        json!({"textDocument": {"uri": own}}),
    );
    assert!(client.published(&uri(&known), None).is_empty());
    client.end();
}

/// A text that was never saved is a record by its language; anything else is none of ours.
#[test]
fn what_has_no_file_is_read_alone() {
    let mut client = Client::new();
    client.open("untitled:Untitled-1", "format: 1\n[ct]\nid: A\nidd: B\n");
    assert!(has(
        &client.published("untitled:Untitled-1", 1),
        "key-unknown"
    ));
    client.tell(
        "textDocument/didOpen",
        json!({"textDocument": {"uri": "file:///nowhere/notes.md", "languageId": "markdown", "version": 1, "text": "# x"}}),
    );
    let hover = json!({"textDocument": {"uri": "file:///nowhere/notes.md"}, "position": {"line": 0, "character": 0}});
    assert_eq!(client.ask("textDocument/hover", hover), Value::Null);
    client.tell(
        "textDocument/didClose",
        json!({"textDocument": {"uri": "untitled:Untitled-1"}}),
    );
    let is_empty = |one: &Value| one["params"]["diagnostics"] == json!([]);
    client.wait(|one| one["params"]["uri"] == "untitled:Untitled-1" && is_empty(one));
    let (rest, _) = client.end();
    assert!(
        rest.iter()
            .all(|one| one["params"]["uri"] != "file:///nowhere/notes.md"),
        "{rest:?}"
    );
}

/// Who takes another's id is seen by that one too, in the editor and before anything is saved.
#[test]
fn a_record_that_moves_is_told_beside_the_others() {
    let demo = crate::demo::files();
    let names = [L1, "skerrow/h07/h07-l2.ctr"];
    let folder = job(&names);
    let [own, other] = names.map(|name| uri(&folder.path().join(name)));
    let mut client = Client::new();
    for (uri, name) in [&own, &other].into_iter().zip(names) {
        client.open(uri, &demo[name]);
        assert!(!has(&client.published(uri, 1), "id-duplicate"));
    }
    let text = demo[L1].replace("id: BRW-25-41301", "id: BRW-25-41302");
    client.change(&own, 2, json!([{"text": text}]));
    assert!(has(&client.published(&own, 2), "id-duplicate"));
    let twice = |one: &Value| {
        let found = one["params"]["diagnostics"].as_array();
        one["params"]["uri"] == other && found.is_some_and(|found| has(found, "id-duplicate"))
    };
    client.wait(twice);
    client.end();
}

/// While a setting cannot be read its file says so, whichever of the records that it holds for is edited or closed.
#[test]
fn a_setting_is_told_while_it_stands() {
    let demo = crate::demo::files();
    let names = [L1, "skerrow/h07/h07-l2.ctr"];
    let folder = job(&names);
    let known = folder.path().join("criteria.toml");
    std::fs::write(&known, "decision = 7\n").unwrap();
    let [own, other] = names.map(|name| uri(&folder.path().join(name)));
    let mut client = Client::new();
    client.open(&own, &demo[L1]);
    client.open(&other, &demo[names[1]]);
    client.published(&own, 1);
    client.published(&other, 1);
    client.change(&own, 2, json!([{"text": demo[L1].clone() + "# x\n"}]));
    client.tell(
        "textDocument/didClose",
        json!({"textDocument": {"uri": other}}),
    );
    let (rest, _) = client.leave();
    let of_known = rest
        .iter()
        .filter(|one| one["params"]["uri"] == uri(&known));
    let shown = of_known.map(|one| one["params"]["diagnostics"].as_array().unwrap().len());
    let shown: Vec<usize> = shown.collect();
    assert!(!shown.is_empty() && !shown.contains(&0), "{shown:?}");
}

/// The record says on its first line that nothing of it passes, and why.
#[test]
fn a_broken_setting_is_told_at_the_record() {
    let demo = crate::demo::files();
    let folder = job(&[L1]);
    let known = folder.path().join("instruments.toml");
    let own = uri(&folder.path().join(L1));
    std::fs::write(&known, "# ours\n\n[[instrument]]\nid = 7\n").unwrap();
    let mut client = Client::new();
    client.open(&own, &demo[L1]);
    let found = client.published(&own, 1);
    let told = found.iter().find(|one| one["code"] == "config-unreadable");
    let told = told.unwrap_or_else(|| panic!("{found:?}"));
    assert_eq!(told["severity"], 3);
    assert_eq!(told["range"]["start"], json!({"line": 0, "character": 0}));
    let said = told["message"].as_str().unwrap();
    assert_eq!(
        said,
        "instruments.toml:4 is not understood: nothing passes until it is"
    );
    std::fs::write(&known, &demo["instruments.toml"]).unwrap();
    client.tell(
        "textDocument/didSave",
        json!({"textDocument": {"uri": own}}),
    );
    assert!(!has(&client.published(&own, 1), "config-unreadable"));
    client.end();
}

/// What stands under the marked characters in `check` is told here as well.
#[test]
fn labels_are_told() {
    let demo = crate::demo::files();
    let names = [L1, "skerrow/h07/h07-l2.ctr"];
    let folder = job(&names);
    let own = uri(&folder.path().join(L1));
    let mut client = Client::new();
    let text = demo[L1].replace("id: BRW-25-41301", "id: BRW-25-41302");
    client.open(&own, &text);
    let found = client.published(&own, 1);
    let told = found
        .iter()
        .find(|one| one["code"] == "id-duplicate")
        .unwrap();
    let said = told["message"].as_str().unwrap();
    let lines: Vec<&str> = said.lines().collect();
    assert!(
        lines[1].starts_with("also at ") && lines[1].contains("h07-l2.ctr:"),
        "{said}"
    );
    client.end();
}

/// Nothing of the text that is shown outside of it steers what shows it; changes of the text are raw.
#[test]
fn what_is_told_is_calm() {
    let turns = '\u{202e}';
    let text = format!(
        "format: 1\n[ct]\nid: A\nidd{turns}gnp: x\n[foo{turns}bar]\n[core 1{turns}X]\nclass: PX\nratio: 600/1 A\nmarks: S1 S{turns}2\n[visit 2026-01-02]\ninstrument: M{turns}\n[excitation ]\n[duty  since]\n"
    );
    let name = "untitled:calm";
    let mut client = Client::new();
    client.open(name, &text);
    client.published(name, 1);
    let whole = json!({"start": {"line": 0, "character": 0}, "end": {"line": 99, "character": 0}});
    let asked =
        json!({"textDocument": {"uri": name}, "range": whole, "context": {"diagnostics": []}});
    client.open(name, &text);
    let mut all = vec![json!(client.published(name, 1))];
    for what in ["documentSymbol", "inlayHint", "codeAction"] {
        all.push(client.ask(&format!("textDocument/{what}"), asked.clone()));
    }
    for (line, character) in [(11, 12), (12, 6)] {
        let position = json!({"line": line, "character": character});
        let mut said = client.ask(
            "textDocument/completion",
            super::client::at(name, &position),
        );
        for item in said["items"].as_array_mut().unwrap() {
            item["textEdit"].take();
        }
        all.push(said);
    }
    for one in &mut all[3].as_array_mut().into_iter().flatten() {
        one["edit"].take();
    }
    let said = json!(all).to_string();
    assert!(said.contains("foobar") && said.contains("1X"), "{said}");
    assert!(!said.contains(turns), "{said}");
    client.end();
}

/// Texts of a folder that is not there yet are together all the same.
#[test]
fn a_folder_that_is_not_there_yet_holds_what_is_in_hand() {
    let demo = crate::demo::files();
    let folder = tempfile::tempdir().unwrap();
    let [own, other] = ["a.ctr", "b.ctr"].map(|name| uri(&folder.path().join("new").join(name)));
    let mut client = Client::new();
    client.open(&own, &demo[L1]);
    client.open(&other, &demo[L1]);
    let found = client.published(&other, 1);
    assert!(has(&found, "id-duplicate"), "{found:?}");
    client.end();
}
