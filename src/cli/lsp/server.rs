//! The conversation: messages in their order, and between them what is due. What was cancelled is answered so; what was
//! changed again before it was looked at is not looked at; what is no longer so is not published.

use super::answers;
use super::documents::{Document, Role, State, path_of};
use super::frame::Incoming;
use super::position::{Encoding, Lines};
use super::publish;
use super::queue::{Queue, Waiting};
use super::say;
use crate::editor::{Declared, Desk, Looked, Reach, declared};
use crate::ground::address::address;
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::{Compiled, Diagnosed};
use gen_lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionParams, CodeActionProvider, CompletionOptions,
    CompletionParams, DefinitionParams, DefinitionProvider, DidCloseTextDocumentParams,
    DidOpenTextDocumentParams, DocumentFormattingParams, DocumentFormattingProvider,
    DocumentSymbolParams, DocumentSymbolProvider, HoverParams, HoverProvider, InitializeResult,
    InlayHintParams, InlayHintProvider, Location, PositionEncodingKind, PublishDiagnosticsParams,
    ServerCapabilities, ServerInfo, TextDocumentSync, TextDocumentSyncKind,
    TextDocumentSyncOptions, Uri,
};
use lsp_server::{ErrorCode, Message, Notification, Request, RequestId, Response};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    /// Nobody has said who they are.
    New,
    Ready,
    /// Nothing but the end is awaited.
    Closing,
}

/// What the editor can, as far as it matters.
#[derive(Clone, Copy, Debug, Default)]
struct Client {
    encoding: Encoding,
    markdown: bool,
    /// It tells of files that change beside it, where it is asked to.
    watches: bool,
}

pub(super) struct Server<'a, W> {
    desk: Desk<'a>,
    out: W,
    /// The editor has gone.
    gone: bool,
    phase: Phase,
    client: Client,
    /// By their addresses.
    documents: BTreeMap<String, Document>,
    /// Files that are not open, with what is shown of them.
    beside: BTreeMap<PathBuf, Vec<gen_lsp_types::Diagnostic>>,
    /// So many texts were opened or changed so far.
    edits: u64,
}

/// What an answer is made of.
type Answer = Result<Value, (ErrorCode, String)>;

impl<'a, W: Write> Server<'a, W> {
    pub(super) fn new(files: &'a dyn Files, out: W) -> Self {
        Self {
            desk: Desk::new(files),
            out,
            gone: false,
            phase: Phase::New,
            client: Client::default(),
            documents: BTreeMap::new(),
            beside: BTreeMap::new(),
            edits: 0,
        }
    }

    /// Answers until the editor says that it is over, or goes; whether it said so in order.
    pub(super) fn serve(&mut self, queue: &Queue) -> bool {
        while !self.gone {
            let next = match (queue.ready(), self.due()) {
                (Some(next), _) => next,
                (None, Some(uri)) => {
                    self.look_and_tell(&uri, queue);
                    continue;
                }
                (None, None) => match queue.next() {
                    Some(next) => next,
                    None => return false,
                },
            };
            let Waiting {
                incoming,
                cancelled,
                ..
            } = next;
            match incoming {
                Incoming::Message(Message::Notification(told)) if told.method == "exit" => {
                    return self.phase == Phase::Closing;
                }
                Incoming::Message(Message::Notification(told)) => self.told(told),
                Incoming::Message(Message::Request(asked)) => self.asked(asked, cancelled),
                // Of what we ask, nothing hangs on the answer.
                Incoming::Message(Message::Response(_)) => {}
                Incoming::Broken { id, code, text } => {
                    let error = json!({"code": code as i32, "message": say::calm_lines(&text)});
                    self.put(&json!({"jsonrpc": "2.0", "id": id, "error": error}));
                }
            }
        }
        false
    }

    /// Writes a message of our own making.
    fn put(&mut self, message: &impl Serialize) {
        // Plain types in memory: serialising them cannot fail.
        let text = serde_json::to_string(message).unwrap_or_default();
        let framed = format!("Content-Length: {}\r\n\r\n{text}", text.len());
        self.written(|out| out.write_all(framed.as_bytes()));
    }

    fn send(&mut self, message: Message) {
        self.written(|out| message.write(out));
    }

    fn written(&mut self, write: impl FnOnce(&mut W) -> io::Result<()>) {
        let done = write(&mut self.out).and_then(|()| self.out.flush());
        self.gone |= done.is_err();
    }

    fn notify(&mut self, method: &str, params: impl Serialize) {
        let params = serde_json::to_value(params).unwrap_or_default();
        let method = method.to_owned();
        self.send(Message::Notification(Notification { method, params }));
    }

    fn asked(&mut self, request: Request, cancelled: bool) {
        let Request { id, method, params } = request;
        let answer = match (cancelled, self.phase) {
            (true, _) => Err((ErrorCode::RequestCanceled, "cancelled".to_owned())),
            (_, Phase::New) if method == "initialize" => Ok(self.initialize(&params)),
            (_, Phase::New) => Err((
                ErrorCode::ServerNotInitialized,
                "`initialize` comes first".to_owned(),
            )),
            (_, Phase::Closing) => Err((
                ErrorCode::InvalidRequest,
                "after `shutdown` only `exit` is left".to_owned(),
            )),
            (_, Phase::Ready) => self.answer(&method, params),
        };
        let response = match answer {
            Ok(result) => Response {
                id,
                response_result: Ok(result),
            },
            Err((code, text)) => Response::new_err(id, code as i32, say::calm_lines(&text)),
        };
        self.send(Message::Response(response));
    }

    fn initialize(&mut self, params: &Value) -> Value {
        // Read one by one: an editor that says more than we know, or says it otherwise, is none the worse.
        let says = |path: &str, word: &str| {
            let list = params.pointer(path).and_then(Value::as_array);
            list.is_some_and(|list| list.iter().any(|one| one == word))
        };
        let utf8 = says("/capabilities/general/positionEncodings", "utf-8");
        self.client = Client {
            encoding: if utf8 {
                Encoding::Utf8
            } else {
                Encoding::Utf16
            },
            markdown: says("/capabilities/textDocument/hover/contentFormat", "markdown"),
            watches: params
                .pointer("/capabilities/workspace/didChangeWatchedFiles/dynamicRegistration")
                .is_some_and(|one| one == true),
        };
        self.phase = Phase::Ready;
        serde_json::to_value(InitializeResult {
            capabilities: capabilities(self.client.encoding),
            server_info: Some(ServerInfo {
                name: env!("CARGO_PKG_NAME").to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        })
        .unwrap_or_default()
    }

    fn answer(&mut self, method: &str, params: Value) -> Answer {
        match method {
            "shutdown" => {
                self.phase = Phase::Closing;
                Ok(Value::Null)
            }
            "initialize" => Err((ErrorCode::InvalidRequest, "this was said before".to_owned())),
            "textDocument/hover" => with(params, |asked: HoverParams| {
                let asked = asked.text_document_position_params;
                let markdown = self.client.markdown;
                let found = self.of_record(&asked.text_document.uri, |ct, lines, _| {
                    answers::hovered(ct, lines, asked.position, markdown)
                });
                found.flatten()
            }),
            "textDocument/completion" => with(params, |asked: CompletionParams| {
                let asked = asked.text_document_position_params;
                self.of_record(&asked.text_document.uri, |ct, lines, _| {
                    answers::completed(ct, lines, asked.position)
                })
            }),
            "textDocument/documentSymbol" => with(params, |asked: DocumentSymbolParams| {
                self.of_record(&asked.text_document.uri, |ct, lines, _| {
                    answers::outlined(ct, lines)
                })
            }),
            "textDocument/inlayHint" => with(params, |asked: InlayHintParams| {
                self.of_record(&asked.text_document.uri, |ct, lines, _| {
                    answers::hinted(ct, lines, asked.range)
                })
            }),
            "textDocument/codeAction" => with(params, |asked: CodeActionParams| {
                let only = asked.context.only.unwrap_or_default();
                let wanted = |kind: &CodeActionKind| {
                    matches!(kind, CodeActionKind::QuickFix | CodeActionKind::Empty)
                };
                if !only.is_empty() && !only.iter().any(wanted) {
                    return Some(Vec::new());
                }
                let uri = &asked.text_document.uri;
                self.of_record(uri, |ct, lines, _| {
                    answers::mended(ct, uri, lines, asked.range)
                })
            }),
            "textDocument/formatting" => with(params, |asked: DocumentFormattingParams| {
                let document = self.documents.get(&asked.text_document.uri.0)?;
                let lines = Lines::of(&document.text, self.client.encoding);
                let is_record = document.role == Role::Record && document.in_step;
                is_record.then(|| answers::laid_out(document, &lines))
            }),
            "textDocument/definition" => with(params, |asked: DefinitionParams| {
                let asked = asked.text_document_position_params;
                let uri = &asked.text_document.uri;
                let found = self.of_record(uri, |ct, lines, looked| {
                    let (_, found) = declared(ct, lines.at(asked.position))?;
                    let at = ct.setting.instruments_at.clone();
                    Some(match found {
                        Declared::Here(span) => Ok(Location::new(uri.clone(), lines.range(span))),
                        Declared::Instrument(span) => Err((at?, Some(span))),
                        Declared::Record { id } => Err((looked.lenders.get(&id)?.clone(), None)),
                    })
                });
                match found.flatten()? {
                    Ok(here) => Some(here),
                    Err((path, span)) => self.elsewhere(&path, span),
                }
            }),
            other => Err((
                ErrorCode::MethodNotFound,
                format!("`{other}` is not known here"),
            )),
        }
    }

    /// A place of another file; without a span the line of its id.
    fn elsewhere(&self, path: &Path, span: Option<Span>) -> Option<Location> {
        let bytes = self.desk.read(path).ok()?;
        let (source, _) = Source::new("", &bytes);
        let own = || {
            let is_id = |line: &&str| line.trim_start().starts_with("id:");
            let at = source.text.split('\n').position(|line| is_id(&line));
            source.line_span(at.unwrap_or_default() + 1)
        };
        let range = Lines::of(&source.text, self.client.encoding).range(span.unwrap_or_else(own));
        Some(Location::new(self.address_of(path), range))
    }

    /// The address of a file, as the editor gave it where it is open.
    fn address_of(&self, path: &Path) -> Uri {
        let mut open = self.documents.iter();
        let known = open.find(|(_, document)| document.path.as_deref() == Some(path));
        Uri(known.map_or_else(|| address(&path.to_string_lossy()), |(uri, _)| uri.clone()))
    }

    /// Something of an open record as it stands now.
    fn of_record<T>(
        &mut self,
        uri: &Uri,
        make: impl FnOnce(&Compiled, &Lines<'_>, &Looked) -> T,
    ) -> Option<T> {
        self.look(&uri.0);
        let document = self.documents.get(&uri.0).filter(|one| one.in_step)?;
        let looked = document.looked.as_ref()?;
        let lines = Lines::of(&document.text, self.client.encoding);
        Some(make(looked.ct.as_ref()?, &lines, looked))
    }

    /// Compiles an open record, unless that is done.
    fn look(&mut self, uri: &str) {
        let Some(document) = self.documents.get_mut(uri) else {
            return;
        };
        if document.state != State::Due {
            return;
        }
        document.state = State::Looked;
        if document.role != Role::Record {
            return;
        }
        let looked = match &document.path {
            Some(path) => self.desk.look(path),
            None => Looked::alone("unsaved.ctr", &document.text),
        };
        let moved = looked.reach == Reach::Moved;
        document.looked = Some(looked);
        let others = self.documents.iter_mut();
        for (_, other) in others.filter(|(other, _)| moved && other.as_str() != uri) {
            other.state = State::Due;
        }
    }

    fn told(&mut self, told: Notification) {
        let Notification { method, params } = told;
        if self.phase != Phase::Ready {
            return;
        }
        match method.as_str() {
            "initialized" if self.client.watches => self.watch(),
            "textDocument/didOpen" => self.told_of(params, Self::opened),
            "textDocument/didChange" => self.changed(&params),
            "textDocument/didClose" => self.told_of(params, Self::closed),
            "textDocument/didSave" | "workspace/didChangeWatchedFiles" => self.begin_afresh(),
            // What else is told, we need not know.
            _ => {}
        }
    }

    fn told_of<P: DeserializeOwned>(&mut self, params: Value, take: fn(&mut Self, P)) {
        // A notification has no answer; what cannot be read is no news.
        if let Ok(params) = serde_json::from_value(params) {
            take(self, params);
        }
    }

    /// Asks to be told of records and settings that change beside the editor.
    fn watch(&mut self) {
        let globs = ["**/*.ctr", "**/{instruments,criteria,pack}.toml"];
        let watchers: Vec<Value> = globs.map(|glob| json!({"globPattern": glob})).into();
        let watch = json!({
            "id": "files",
            "method": "workspace/didChangeWatchedFiles",
            "registerOptions": {"watchers": watchers},
        });
        let params = json!({"registrations": [watch]});
        let id = RequestId::from("watch".to_owned());
        let request = Request::new(id, "client/registerCapability".to_owned(), params);
        self.send(Message::Request(request));
    }

    fn opened(&mut self, params: DidOpenTextDocumentParams) {
        let opened = params.text_document;
        let path = path_of(&opened.uri.0);
        let role = Role::of(path.as_deref(), &String::from(opened.language_id));
        let mut is_news = false;
        if let Some(path) = path.as_deref().filter(|_| role != Role::Other) {
            is_news = self.differs(path, &opened.text);
            self.desk.put(path, &opened.text);
        }
        let document = Document {
            path,
            role,
            version: Some(opened.version),
            text: opened.text,
            in_step: true,
            looked: None,
            state: State::Due,
            edited: self.next_edit(),
        };
        self.documents.insert(opened.uri.0, document);
        if is_news {
            self.begin_afresh();
        }
    }

    /// Read piece by piece: whatever of it cannot be read, the text of the document is another one from now on.
    fn changed(&mut self, params: &Value) {
        let uri = params.pointer("/textDocument/uri").and_then(Value::as_str);
        let edited = self.next_edit();
        let encoding = self.client.encoding;
        let Some(document) = uri.and_then(|uri| self.documents.get_mut(uri)) else {
            return;
        };
        let changes = params.get("contentChanges").and_then(Value::as_array);
        // What is no list is no change that could be read.
        let changes = changes.map_or_else(|| vec![Value::Null], Clone::clone);
        document.change(changes, encoding);
        let version = params.pointer("/textDocument/version");
        let version = version.and_then(Value::as_i64);
        document.version = version.and_then(|version| i32::try_from(version).ok());
        (document.state, document.edited) = (State::Due, edited);
        let (role, path) = (document.role, document.path.clone());
        let Some(path) = path.filter(|_| role != Role::Other) else {
            return;
        };
        self.desk.put(&path, &document.text);
        for other in self.documents.values_mut() {
            let own = other.path.as_deref().filter(|_| other.role == Role::Record);
            let is_kin = |own: &Path| role.is_configuration() || self.desk.is_company(own, &path);
            if own.is_some_and(is_kin) {
                other.state = State::Due;
            }
        }
    }

    fn closed(&mut self, params: DidCloseTextDocumentParams) {
        let uri = params.text_document.uri;
        let Some(document) = self.documents.remove(&uri.0) else {
            return;
        };
        self.publish(uri, None, Vec::new());
        if let Some(path) = document
            .path
            .as_deref()
            .filter(|_| document.role != Role::Other)
        {
            self.desk.let_go(path);
            if self.differs(path, &document.text) {
                self.begin_afresh();
            }
        }
        self.publish_beside();
    }

    /// Whether a text is another one than is held of its file so far.
    fn differs(&self, path: &Path, text: &str) -> bool {
        let held = self.desk.read(path);
        held.map_or(true, |held| held != text.as_bytes())
    }

    /// Files may have come and gone: everything is looked at again.
    fn begin_afresh(&mut self) {
        self.desk.forget();
        for document in self.documents.values_mut() {
            document.state = State::Due;
        }
    }

    fn next_edit(&mut self) -> u64 {
        self.edits += 1;
        self.edits
    }

    /// The text that is due; of several the one that was edited last: that is where somebody waits.
    fn due(&self) -> Option<String> {
        let due = self.documents.iter();
        let due = due.filter(|(_, document)| document.state != State::Told);
        let last = due.max_by_key(|(_, document)| document.edited);
        last.map(|(uri, _)| uri.clone())
    }

    /// Looks at a text and publishes what is found, unless it has changed meanwhile.
    fn look_and_tell(&mut self, uri: &str, queue: &Queue) {
        self.look(uri);
        if queue.changes(uri) {
            return;
        }
        let encoding = self.client.encoding;
        let Some(document) = self.documents.get_mut(uri) else {
            return;
        };
        document.state = State::Told;
        let own = Uri(uri.to_owned());
        let found = publish::of_document(&own, document, encoding);
        if document.role != Role::Other {
            let version = document.version;
            self.publish(own, version, found);
        }
        self.publish_beside();
    }

    /// What is told of configuration files that are not open, where that is another thing than is shown.
    fn publish_beside(&mut self) {
        let looked = self
            .documents
            .values()
            .filter_map(|document| document.looked.as_ref());
        let others = looked.flat_map(|looked| &looked.others);
        let mut by_path: BTreeMap<&Path, &Diagnosed> = BTreeMap::new();
        for other in others {
            by_path.extend(other.path.as_deref().map(|path| (path, other)));
        }
        let now: BTreeMap<PathBuf, Vec<gen_lsp_types::Diagnostic>> = by_path
            .into_iter()
            .filter(|(path, _)| !self.is_open(path))
            .map(|(path, other)| {
                let uri = self.address_of(path);
                let found = publish::of_file(&uri, other, self.client.encoding);
                (path.to_owned(), found)
            })
            .collect();
        let before = std::mem::replace(&mut self.beside, now.clone());
        let over = before.keys().filter(|path| !now.contains_key(*path));
        let over: Vec<&PathBuf> = over.filter(|path| !self.is_open(path)).collect();
        for path in over {
            self.publish(self.address_of(path), None, Vec::new());
        }
        for (path, found) in now {
            if before.get(&path) != Some(&found) {
                self.publish(self.address_of(&path), None, found);
            }
        }
    }

    fn is_open(&self, path: &Path) -> bool {
        let mut open = self.documents.values();
        open.any(|document| document.path.as_deref() == Some(path))
    }

    fn publish(
        &mut self,
        uri: Uri,
        version: Option<i32>,
        diagnostics: Vec<gen_lsp_types::Diagnostic>,
    ) {
        let params = PublishDiagnosticsParams::new(uri, version, diagnostics);
        self.notify("textDocument/publishDiagnostics", params);
    }
}

/// Reads what is asked and makes the answer; nothing to say is `null`.
fn with<P: DeserializeOwned, R: Serialize>(
    params: Value,
    make: impl FnOnce(P) -> Option<R>,
) -> Answer {
    let params = serde_json::from_value(params);
    let params = params.map_err(|error| (ErrorCode::InvalidParams, error.to_string()))?;
    let made = serde_json::to_value(make(params));
    made.map_err(|error| (ErrorCode::InternalError, error.to_string()))
}

fn capabilities(encoding: Encoding) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: Some(match encoding {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
        }),
        text_document_sync: Some(TextDocumentSync::Options(TextDocumentSyncOptions {
            open_close: Some(true),
            change: Some(TextDocumentSyncKind::Incremental),
            save: Some(true.into()),
            ..TextDocumentSyncOptions::default()
        })),
        hover_provider: Some(HoverProvider::Bool(true)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some(["[", ":", " ", "/"].map(str::to_owned).into()),
            ..CompletionOptions::default()
        }),
        definition_provider: Some(DefinitionProvider::Bool(true)),
        document_symbol_provider: Some(DocumentSymbolProvider::Bool(true)),
        document_formatting_provider: Some(DocumentFormattingProvider::Bool(true)),
        inlay_hint_provider: Some(InlayHintProvider::Bool(true)),
        code_action_provider: Some(CodeActionProvider::CodeActionOptions(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QuickFix]),
            ..CodeActionOptions::default()
        })),
        ..ServerCapabilities::default()
    }
}
