//! No text ends the server, whatever is asked of it.

use super::client::{Client, L1, at, job, uri};
use kneemark::editor::{complete, declared, fixes, hints, hover, outline, told};
use kneemark::ground::seam::Memory;
use kneemark::ground::span::Span;
use proptest::prelude::*;
use serde_json::{Value, json};

/// Asks everything of every `step`-th byte of a text; places lie within it.
fn answered(text: &str, step: usize) {
    let files = Memory::default();
    files.put("a.ctr", text.as_bytes());
    let job = kneemark::compile(&files, &["a.ctr".into()]);
    let [ct] = job.records.as_slice() else {
        panic!("one record")
    };
    let length = ct.source.text.len() as u32;
    let inside = |span: Span| {
        assert!(
            span.start <= span.end && span.end <= length,
            "{span:?} of {length}"
        )
    };
    for one in told(ct) {
        one.span.into_iter().for_each(inside);
    }
    for one in outline(ct) {
        assert!(one.whole.start <= one.open.start && one.open.end <= one.whole.end);
        inside(one.whole);
    }
    let all = Span::new(0, text.len());
    hints(ct, all)
        .iter()
        .for_each(|hint| assert!(hint.at <= length));
    for fix in fixes(&ct.diagnostics, all) {
        fix.mend.edits.iter().for_each(|(span, _)| inside(*span));
    }
    for place in (0..=length + 1).step_by(step) {
        hover(ct, place)
            .into_iter()
            .for_each(|one| inside(one.span));
        declared(ct, place)
            .into_iter()
            .for_each(|one| inside(one.0));
        for item in complete(ct, place) {
            inside(item.span);
            assert!(
                item.span.end <= place && !item.label.is_empty(),
                "{item:?} at {place}"
            );
        }
    }
}

/// As it is typed, letter by letter.
#[test]
fn every_beginning_of_a_record_is_answered() {
    let text = &crate::demo::files()[L1];
    let short: String = text
        .lines()
        .filter(|line| !line.is_empty())
        .take(70)
        .collect::<Vec<_>>()
        .join("\n");
    for (at, _) in short.char_indices() {
        let typed = &short[..at];
        let files = Memory::default();
        files.put("a.ctr", typed.as_bytes());
        let job = kneemark::compile(&files, &["a.ctr".into()]);
        let [ct] = job.records.as_slice() else {
            panic!("one record")
        };
        let end = typed.len() as u32;
        complete(ct, end);
        hover(ct, end.saturating_sub(1));
        declared(ct, end);
        told(ct);
    }
    answered(text, 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn no_text_is_too_odd(text in "(\\[|\\]|ct|core|visit|excitation|1S1-1S2|:|#|\\||\t| |\n|\r\n|id: |like: |instrument: |voltage/V|between|not done |amended: |Ω|🔌|\u{feff}|-|0|12.5|at |/){0,60}") {
        answered(&text, 1);
    }

    /// Edits at random, as an editor sends them, with questions between: each is answered, and the last state is told.
    #[test]
    fn edits_at_random_are_survived(edits in prop::collection::vec((0u32..150, 0u32..40, 0u32..150, 0u32..40, "[ \n:|\\[\\]#aΩ🔌0-9/.-]{0,6}"), 1..20)) {
        let mut client = shared();
        let client = client.as_mut().expect("it runs");
        let name = "file:///nowhere/edits.ctr";
        client.open(name, &crate::demo::files()[L1]);
        let last = edits.len() as i32 + 1;
        for (version, (line, character, to_line, to_character, text)) in (2..).zip(edits) {
            let range = json!({"start": {"line": line, "character": character}, "end": {"line": to_line, "character": to_character}});
            client.change(name, version, json!([{"range": range, "text": text}]));
            let place = json!({"line": line, "character": character});
            for what in ["hover", "completion", "definition"] {
                client.ask(&format!("textDocument/{what}"), at(name, &place));
            }
            let whole = json!({"textDocument": {"uri": name}, "range": range, "context": {"diagnostics": []}, "options": {"tabSize": 4, "insertSpaces": true}});
            for what in ["documentSymbol", "inlayHint", "codeAction", "formatting"] {
                client.ask(&format!("textDocument/{what}"), whole.clone());
            }
        }
        client.published(name, last);
        client.tell("textDocument/didClose", json!({"textDocument": {"uri": name}}));
        client.published(name, None);
    }
}

/// One server for all cases.
fn shared() -> std::sync::MutexGuard<'static, Option<Client>> {
    static CLIENT: std::sync::Mutex<Option<Client>> = std::sync::Mutex::new(None);
    let mut client = CLIENT
        .lock()
        .unwrap_or_else(std::sync::PoisonError::into_inner);
    client.get_or_insert_with(Client::new);
    client
}

/// What cannot be a record gets one clear message; then the server is as well as before.
#[test]
fn what_is_no_record_is_told_once() {
    let folder = job(&[L1]);
    std::fs::create_dir(folder.path().join("skerrow/h07/folder.ctr")).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(".", folder.path().join("skerrow/h07/loop.ctr")).unwrap();
    let mut client = Client::new();
    let long = "voltage/V  current/A\n".repeat((50 << 20) / 21);
    for (name, text, code) in [
        (
            "binary.ctr",
            "\u{0}\u{1}PK\u{3}\u{4}\u{fffd}\u{fffd}\n",
            "control-character",
        ),
        ("long.ctr", &*long, "too-long"),
        ("lines.ctr", &"\n".repeat(60_000), "too-long"),
    ] {
        let uri = uri(&folder.path().join("skerrow/h07").join(name));
        client.open(&uri, text);
        let found = client.published(&uri, 1);
        let codes: Vec<&Value> = found.iter().map(|one| &one["code"]).collect();
        assert_eq!(codes, [code], "{name}");
        let start = json!({"line": 0, "character": 3});
        for what in ["hover", "completion", "definition"] {
            let said = client.ask(&format!("textDocument/{what}"), at(&uri, &start));
            assert!(
                said.is_null() || said["items"] == json!([]),
                "{name} {what}: {said}"
            );
        }
        let asked =
            json!({"textDocument": {"uri": uri}, "options": {"tabSize": 4, "insertSpaces": true}});
        assert_eq!(
            client.ask("textDocument/formatting", asked),
            json!([]),
            "{name}"
        );
        client.tell(
            "textDocument/didClose",
            json!({"textDocument": {"uri": uri}}),
        );
    }
    // Where a folder or a loop of links lies, the text in hand counts.
    for name in ["folder.ctr", "loop.ctr"] {
        let uri = uri(&folder.path().join("skerrow/h07").join(name));
        client.open(&uri, "format: 1\n[ct]\nid: Z\nidd: 1\n");
        let found = client.published(&uri, 1);
        assert!(
            found.iter().any(|one| one["code"] == "key-unknown"),
            "{name}: {found:?}"
        );
        client.tell(
            "textDocument/didClose",
            json!({"textDocument": {"uri": uri}}),
        );
    }
    let own = uri(&folder.path().join(L1));
    client.open(&own, &crate::demo::files()[L1]);
    client.published(&own, 1);
    assert_eq!(client.end().1, Some(0));
}
