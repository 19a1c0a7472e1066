//! Who may say what when, and what is said to the rest.

use super::client::{Client, at, place, uri};
use serde_json::{Value, json};

fn code(answer: &Value) -> i64 {
    answer["error"]["code"]
        .as_i64()
        .unwrap_or_else(|| panic!("no error: {answer}"))
}

const NAME: &str = "file:///nowhere/a.ctr";

#[test]
fn it_begins_and_ends_in_order() {
    let mut client = Client::silent();
    assert_eq!(
        code(&client.answer("textDocument/hover", json!({}))),
        -32002
    );
    client.open(NAME, "x");
    let said = client.ask("initialize", json!({"capabilities": {}}));
    assert_eq!(said["serverInfo"]["name"], "kneemark");
    assert_eq!(said["capabilities"]["positionEncoding"], "utf-16");
    assert_eq!(said["capabilities"]["textDocumentSync"]["change"], 2);
    assert_eq!(
        code(&client.answer("initialize", json!({"capabilities": {}}))),
        -32600
    );
    assert_eq!(
        code(&client.answer("textDocument/moniker", json!({}))),
        -32601
    );
    assert_eq!(
        code(&client.answer("textDocument/hover", json!({"position": 3}))),
        -32602
    );
    // What was opened before the greeting is not open.
    let outline = json!({"textDocument": {"uri": NAME}});
    assert_eq!(
        client.ask("textDocument/documentSymbol", outline.clone()),
        Value::Null
    );
    assert_eq!(client.ask("shutdown", Value::Null), Value::Null);
    assert_eq!(
        code(&client.answer("textDocument/documentSymbol", outline)),
        -32600
    );
    client.tell("exit", Value::Null);
    assert_eq!(client.leave().1, Some(0));
}

#[test]
fn who_hangs_up_early_is_no_success() {
    assert_eq!(Client::new().leave().1, Some(1));
    let mut client = Client::new();
    client.tell("exit", Value::Null);
    assert_eq!(client.leave().1, Some(1));
    let mut client = Client::silent();
    client.tell("exit", Value::Null);
    assert_eq!(client.leave().1, Some(1));
    assert_eq!(Client::new().end().1, Some(0));
}

#[test]
fn a_broken_message_is_answered_and_the_next_one_read() {
    let mut client = Client::new();
    client.put(b"Content-Length: 3\r\n\r\n{{{");
    assert_eq!(
        code(&client.wait(|one| one["id"].is_null() && one.get("error").is_some())),
        -32700
    );
    client.send(&json!([{"id": 7, "method": "shutdown"}]));
    assert_eq!(
        code(&client.wait(|one| one["id"].is_null() && one.get("error").is_some())),
        -32600
    );
    client.send(&json!({"id": 1.5, "method": "shutdown"}));
    assert_eq!(code(&client.wait(|one| one["id"] == 1.5)), -32600);
    client.put(b"no header at all\r\n\r\nContent-Length: none\r\n\r\n");
    client.send(&json!({"id": "text", "method": "textDocument/moniker"}));
    assert_eq!(code(&client.wait(|one| one["id"] == "text")), -32601);
    client.tell("textDocument/didChange", json!({"what": "this"}));
    client.tell("$/somethingElse", json!({}));
    assert_eq!(client.end().1, Some(0));
}

/// What waits behind other work and is cancelled is answered as cancelled; each question has one answer.
#[test]
fn what_is_cancelled_is_answered_once() {
    let mut client = Client::new();
    let text = crate::demo::files()[super::client::L1].clone();
    client.open(NAME, &text);
    let place = place(&text, "class: 5P20", 1);
    // In one piece, so that all of it has come when the first is answered.
    let mut all = String::new();
    for id in 100..140 {
        let message = json!({"jsonrpc": "2.0", "id": id, "method": "textDocument/hover", "params": at(NAME, &place)});
        let cancel = json!({"jsonrpc": "2.0", "method": "$/cancelRequest", "params": {"id": id}});
        for message in [message, cancel]
            .iter()
            .take(if id % 2 == 0 { 1 } else { 2 })
        {
            let text = message.to_string();
            all += &format!("Content-Length: {}\r\n\r\n{text}", text.len());
        }
    }
    client.put(all.as_bytes());
    let (rest, code) = client.end();
    assert_eq!(code, Some(0));
    let mut cancelled = 0;
    for id in 100..140 {
        let answers: Vec<&Value> = rest.iter().filter(|one| one["id"] == id).collect();
        let [answer] = answers[..] else {
            panic!("{id}: {answers:?}")
        };
        match answer["error"]["code"].as_i64() {
            None => assert!(
                answer["result"]["contents"]["value"].is_string(),
                "{answer}"
            ),
            Some(code) => {
                assert_eq!((code, id % 2), (-32800, 1));
                cancelled += 1;
            }
        }
    }
    assert!(
        cancelled > 0,
        "all were answered before they could be cancelled"
    );
}

/// Nothing is published of a version that the editor has left behind when it is looked at.
#[test]
fn versions_only_go_up_and_the_last_is_published() {
    let mut client = Client::new();
    client.open(NAME, "format: 1\n[ct]\n");
    for version in 2..60 {
        client.change(
            NAME,
            version,
            json!([{"text": format!("format: 1\n[ct]\nid: A{version}\nidd: x\n")}]),
        );
    }
    let found = client.published(NAME, 59);
    assert!(
        found.iter().any(|one| one["code"] == "key-unknown"),
        "{found:?}"
    );
    let (rest, _) = client.end();
    let of = |one: &Value| one["params"]["version"].as_i64();
    let versions: Vec<i64> = rest.iter().filter_map(of).collect();
    assert!(versions.is_sorted(), "{versions:?}");
    assert!(versions.iter().all(|version| *version < 59), "{versions:?}");
}

#[test]
fn utf8_is_counted_where_it_is_offered() {
    let text = "format: 1\n[ct]\nid: A\nnote: 🔌Ω\nfrequenzy: 50 Hz # 🔌\n";
    for (offered, encoding, column) in [
        (json!(["utf-32", "utf-8", "utf-16"]), "utf-8", 12),
        (json!(["utf-32"]), "utf-16", 9),
    ] {
        let (mut client, said) =
            Client::greeting(&json!({"general": {"positionEncodings": offered}}));
        assert_eq!(said["capabilities"]["positionEncoding"], encoding);
        client.open(NAME, text);
        client.published(NAME, 1);
        // Behind the two characters of the note.
        let end = json!({"line": 3, "character": column});
        client.change(
            NAME,
            2,
            json!([{"range": {"start": end, "end": end}, "text": "\nfrequency: 50 kV"}]),
        );
        let found = client.published(NAME, 2);
        let unit = found.iter().find(|one| one["code"] == "unit-dimension");
        let unit = unit.unwrap_or_else(|| panic!("{found:?}"));
        assert_eq!(unit["range"]["start"]["line"], 4);
        client.end();
    }
}

#[test]
fn it_asks_to_be_told_of_files() {
    let watches = json!({"workspace": {"didChangeWatchedFiles": {"dynamicRegistration": true}}});
    let (mut client, _) = Client::greeting(&watches);
    let asked = client.wait(|one| one["method"] == "client/registerCapability");
    let watchers = &asked["params"]["registrations"][0]["registerOptions"]["watchers"];
    assert_eq!(watchers[0]["globPattern"], "**/*.ctr");
    client.send(&json!({"jsonrpc": "2.0", "id": asked["id"], "result": null}));
    // What was missing when it was looked for is found when it comes.
    let folder = tempfile::tempdir().unwrap();
    let demo = crate::demo::files();
    let own = folder.path().join("a.ctr");
    client.open(&uri(&own), &demo[super::client::L1]);
    let has = |found: &[Value], code: &str| found.iter().any(|one| one["code"] == code);
    assert!(has(&client.published(&uri(&own), 1), "instruments-missing"));
    std::fs::write(
        folder.path().join("instruments.toml"),
        &demo["instruments.toml"],
    )
    .unwrap();
    client.tell("workspace/didChangeWatchedFiles", json!({"changes": []}));
    assert!(!has(
        &client.published(&uri(&own), 1),
        "instruments-missing"
    ));
    client.end();
}

/// A change that cannot be read leaves nobody knowing what the text is: that is told, nothing is answered from the
/// text before it, and a whole text mends it.
#[test]
fn a_change_that_cannot_be_read_is_told_until_the_whole_text_comes() {
    let text = "format: 1\n[ct]\nid: A\nfrequency: 50 Hz\n";
    let spot = |line: Value, character: Value| json!({"line": line, "character": character});
    let good = json!({"range": {"start": spot(json!(0), json!(0)), "end": spot(json!(0), json!(0))}, "text": "# x\n"});
    for (index, bad) in [
        json!({"range": {"start": spot(json!(3), json!(1.5)), "end": spot(json!(3), json!(2))}, "text": "r"}),
        json!({"range": {"start": spot(json!(3), json!(1)), "end": spot(json!(4_294_967_296_u64), json!(0))}, "text": "r"}),
        json!({"range": null, "text": 7}),
        json!("r"),
    ]
    .into_iter()
    .enumerate()
    {
        let name = format!("untitled:{index}");
        let outline = json!({"textDocument": {"uri": name}, "options": {"tabSize": 4, "insertSpaces": true}});
        let mut client = Client::new();
        client.open(&name, text);
        client.change(&name, 2, json!([bad]));
        let codes = |found: Vec<Value>| {
            let codes = found.iter().map(|one| one["code"].as_str().unwrap().to_owned());
            codes.collect::<Vec<_>>()
        };
        assert_eq!(codes(client.published(&name, 2)), ["out-of-step"], "{bad}");
        client.change(&name, 3, json!([good]));
        assert_eq!(codes(client.published(&name, 3)), ["out-of-step"], "{bad}");
        for what in ["documentSymbol", "formatting"] {
            let said = client.ask(&format!("textDocument/{what}"), outline.clone());
            assert_eq!(said, Value::Null, "{bad}");
        }
        client.change(&name, 4, json!([bad, {"text": text}, good]));
        assert!(!codes(client.published(&name, 4)).contains(&"out-of-step".to_owned()));
        let said = client.ask("textDocument/documentSymbol", outline);
        assert_eq!(said[0]["range"]["start"]["line"], 2, "{said}");
        client.end();
    }
}

/// What is being typed comes before what else is due.
#[test]
fn the_last_edited_is_looked_at_first() {
    let names = [
        "skerrow/h07/h07-l1.ctr",
        "skerrow/h07/h07-l2.ctr",
        "skerrow/h08/h08-l1.ctr",
    ];
    let folder = super::client::job(&names);
    let demo = crate::demo::files();
    let uris = names.map(|name| uri(&folder.path().join(name)));
    let mut client = Client::new();
    for (uri, name) in uris.iter().zip(names) {
        client.open(uri, &demo[name]);
        client.published(uri, 1);
    }
    client.change(
        &uris[2],
        2,
        json!([{"text": demo[names[2]].clone() + "# x\n"}]),
    );
    client.tell(
        "textDocument/didSave",
        json!({"textDocument": {"uri": uris[2]}}),
    );
    let (rest, _) = client.leave();
    let first = rest.iter().filter(|one| one["params"]["version"].is_i64());
    let order: Vec<&Value> = first.map(|one| &one["params"]["uri"]).collect();
    assert_eq!(order[0], &uris[2], "{order:?}");
    assert!(order.iter().any(|uri| **uri == uris[0]), "{order:?}");
}
