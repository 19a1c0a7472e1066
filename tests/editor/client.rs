//! An editor that follows a script.

use serde_json::{Value, json};
use std::collections::VecDeque;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// Longer than any answer takes: a test waits for what comes, not for how long.
const PATIENCE: Duration = Duration::from_secs(120);

pub struct Client {
    child: Child,
    input: Option<ChildStdin>,
    incoming: Receiver<Value>,
    /// What came while something else was awaited.
    kept: VecDeque<Value>,
    next: i32,
}

impl Client {
    /// A server that nobody has spoken to.
    pub fn silent() -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_kneemark"))
            .arg("lsp")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("it runs");
        let mut output = BufReader::new(child.stdout.take().expect("a pipe"));
        let (send, incoming) = channel();
        std::thread::spawn(move || {
            while let Some(message) = read(&mut output) {
                if send.send(message).is_err() {
                    break;
                }
            }
        });
        let input = child.stdin.take();
        Self {
            child,
            input,
            incoming,
            kept: VecDeque::new(),
            next: 0,
        }
    }

    /// A server that was greeted.
    pub fn new() -> Self {
        Self::greeting(&json!({})).0
    }

    /// The same with what the editor can; and what the server said it can.
    pub fn greeting(capabilities: &Value) -> (Self, Value) {
        let mut client = Self::silent();
        let said = client.ask(
            "initialize",
            json!({"processId": null, "rootUri": null, "capabilities": capabilities}),
        );
        client.tell("initialized", json!({}));
        (client, said)
    }

    pub fn put(&mut self, bytes: &[u8]) {
        let input = self.input.as_mut().expect("it is open");
        input.write_all(bytes).expect("it listens");
        input.flush().expect("it listens");
    }

    pub fn send(&mut self, message: &Value) {
        let text = message.to_string();
        self.put(format!("Content-Length: {}\r\n\r\n{text}", text.len()).as_bytes());
    }

    pub fn tell(&mut self, method: &str, params: Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Asks without waiting; the id.
    pub fn begin(&mut self, method: &str, params: Value) -> i32 {
        self.next += 1;
        self.send(&json!({"jsonrpc": "2.0", "id": self.next, "method": method, "params": params}));
        self.next
    }

    /// The first message of some kind.
    pub fn wait(&mut self, is: impl Fn(&Value) -> bool) -> Value {
        if let Some(at) = self.kept.iter().position(&is) {
            return self.kept.remove(at).expect("it was there");
        }
        loop {
            let message = self.incoming.recv_timeout(PATIENCE).expect("it answers");
            if is(&message) {
                return message;
            }
            self.kept.push_back(message);
        }
    }

    /// The whole answer to a question.
    pub fn answer(&mut self, method: &str, params: Value) -> Value {
        let id = self.begin(method, params);
        self.wait(|message| message["id"] == id && message.get("method").is_none())
    }

    /// The result of a question that has one.
    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        let answer = self.answer(method, params);
        assert!(answer.get("error").is_none(), "{method}: {answer}");
        answer["result"].clone()
    }

    pub fn open(&mut self, uri: &str, text: &str) {
        self.tell(
            "textDocument/didOpen",
            json!({"textDocument": {"uri": uri, "languageId": "kneemark", "version": 1, "text": text}}),
        );
    }

    pub fn change(&mut self, uri: &str, version: i32, changes: Value) {
        self.tell(
            "textDocument/didChange",
            json!({"textDocument": {"uri": uri, "version": version}, "contentChanges": changes}),
        );
    }

    /// What is published of a text in a version.
    pub fn published(&mut self, uri: &str, version: impl Into<Option<i32>>) -> Vec<Value> {
        let version = version.into();
        let found = self.wait(|message| {
            message["method"] == "textDocument/publishDiagnostics"
                && message["params"]["uri"] == uri
                && version.is_none_or(|version| message["params"]["version"] == version)
        });
        found["params"]["diagnostics"]
            .as_array()
            .expect("a list")
            .clone()
    }

    /// Everything that comes until a version of a text is published, that as well.
    pub fn until_published(&mut self, uri: &str, version: i32) -> Vec<Value> {
        let found = self.wait(|message| {
            message["params"]["uri"] == uri && message["params"]["version"] == version
        });
        self.kept.drain(..).chain([found]).collect()
    }

    /// Ends the conversation as is right; everything that was still said, and the exit code.
    pub fn end(mut self) -> (Vec<Value>, Option<i32>) {
        assert_eq!(self.ask("shutdown", Value::Null), Value::Null);
        self.tell("exit", Value::Null);
        self.leave()
    }

    /// Hangs up.
    pub fn leave(mut self) -> (Vec<Value>, Option<i32>) {
        self.input = None;
        let code = self.child.wait().expect("it ends").code();
        let mut rest: Vec<Value> = self.kept.drain(..).collect();
        rest.extend(self.incoming.iter());
        (rest, code)
    }
}

fn read(output: &mut impl BufRead) -> Option<Value> {
    let mut length = 0;
    loop {
        let mut line = String::new();
        if output.read_line(&mut line).ok()? == 0 {
            return None;
        }
        match line.trim_end().split_once(": ") {
            Some((_, value)) => length = value.parse().expect("a length"),
            None => break,
        }
    }
    let mut body = vec![0; length];
    output.read_exact(&mut body).ok()?;
    Some(serde_json::from_slice(&body).expect("it is JSON"))
}

/// The address of a file.
pub fn uri(path: &Path) -> String {
    kneemark::ground::address::address(&path.to_string_lossy())
}

/// Where a piece of a text begins, as an editor counts, so many UTF-16 units into it.
pub fn place(text: &str, piece: &str, into: usize) -> Value {
    let at = text
        .find(piece)
        .unwrap_or_else(|| panic!("{piece} is not there"));
    let before = &text[..at];
    let line = before.matches('\n').count();
    let start = before.rfind('\n').map_or(0, |end| end + 1);
    let character = before[start..].encode_utf16().count() + into;
    json!({"line": line, "character": character})
}

pub fn at(uri: &str, position: &Value) -> Value {
    json!({"textDocument": {"uri": uri}, "position": position})
}

/// A folder with files of the demo job in it.
pub fn job(names: &[&str]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = crate::demo::files();
    for name in ["instruments.toml", "criteria.toml", "pack.toml"]
        .iter()
        .chain(names)
    {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        std::fs::write(path, &demo[*name]).expect("a file");
    }
    folder
}

pub const L1: &str = "skerrow/h07/h07-l1.ctr";
