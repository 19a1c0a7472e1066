//! What came and waits. The editor waits in turn while there is much of it: memory is spent on so many messages and so
//! many bytes, and no more.

use super::frame::Incoming;
use lsp_server::{Message, Notification, Request, RequestId};
use serde_json::Value;
use std::collections::VecDeque;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

/// So many messages wait at most.
const MOST: usize = 256;
/// With so many bytes of text; one longer message waits alone.
const MOST_BYTES: usize = 64 << 20;

/// The messages between the one who reads and the one who answers.
#[derive(Default)]
pub(super) struct Queue {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Default)]
struct State {
    waiting: VecDeque<Waiting>,
    bytes: usize,
    /// Nothing more will come.
    over: bool,
}

pub(super) struct Waiting {
    pub incoming: Incoming,
    bytes: usize,
    /// Nobody wants its answer any more.
    pub cancelled: bool,
}

impl Queue {
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes a message of so many bytes, as soon as there is room for it.
    pub(super) fn put(&self, incoming: Incoming, bytes: usize) {
        let state = self.lock();
        let full = self.changed.wait_while(state, |state| !state.has_room());
        let mut state = full.unwrap_or_else(PoisonError::into_inner);
        state.put(incoming, bytes);
        self.changed.notify_all();
    }

    /// Says that nothing more will come.
    pub(super) fn end(&self) {
        self.lock().over = true;
        self.changed.notify_all();
    }

    /// The next message, if one is there.
    pub(super) fn ready(&self) -> Option<Waiting> {
        let next = self.lock().take();
        self.changed.notify_all();
        next
    }

    /// The next message, whenever it comes; `None` when none will.
    pub(super) fn next(&self) -> Option<Waiting> {
        let idle = |state: &mut State| state.waiting.is_empty() && !state.over;
        let state = self.changed.wait_while(self.lock(), idle);
        let next = state.unwrap_or_else(PoisonError::into_inner).take();
        self.changed.notify_all();
        next
    }

    /// Whether a document was opened, changed or closed meanwhile.
    pub(super) fn changes(&self, uri: &str) -> bool {
        let state = self.lock();
        let mut waiting = state.waiting.iter();
        waiting.any(|one| edits(&one.incoming).is_some_and(|(own, _)| own == uri))
    }
}

impl State {
    fn has_room(&self) -> bool {
        self.waiting.len() < MOST && self.bytes < MOST_BYTES
    }

    fn put(&mut self, incoming: Incoming, bytes: usize) {
        if let Some(id) = cancels(&incoming) {
            let id = serde_json::from_value::<RequestId>(id.clone()).ok();
            let is_it = |one: &&mut Waiting| id.as_ref().is_some_and(|id| asks(&one.incoming, id));
            let one = self.waiting.iter_mut().find(is_it);
            one.into_iter().for_each(|one| one.cancelled = true);
            return;
        }
        // A whole text overtakes the change right before it. Behind a question it does not: that is of the text before.
        let last = self.waiting.back().and_then(|one| edits(&one.incoming));
        let overtakes = last.is_some_and(|(uri, last)| {
            let own = edits(&incoming);
            own.is_some_and(|(own, now)| {
                own == uri && now == Edit::Whole && matches!(last, Edit::Part | Edit::Whole)
            })
        });
        if overtakes {
            let last = self.waiting.pop_back();
            self.bytes -= last.map_or(0, |last| last.bytes);
        }
        self.bytes += bytes;
        self.waiting.push_back(Waiting {
            incoming,
            bytes,
            cancelled: false,
        });
    }

    fn take(&mut self) -> Option<Waiting> {
        let next = self.waiting.pop_front()?;
        self.bytes -= next.bytes;
        Some(next)
    }
}

/// Which question is no longer asked.
fn cancels(incoming: &Incoming) -> Option<&Value> {
    match incoming {
        Incoming::Message(Message::Notification(told)) if told.method == "$/cancelRequest" => {
            Some(told.params.get("id").unwrap_or(&Value::Null))
        }
        _ => None,
    }
}

/// Whether it is that question. Beginning and end of the conversation are done all the same.
fn asks(incoming: &Incoming, id: &RequestId) -> bool {
    let Incoming::Message(Message::Request(Request {
        id: own, method, ..
    })) = incoming
    else {
        return false;
    };
    own == id && !matches!(method.as_str(), "initialize" | "shutdown")
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Edit {
    /// Opened or closed.
    Other,
    Part,
    /// The whole text comes first, whatever it was before.
    Whole,
}

/// What is done to which document.
fn edits(incoming: &Incoming) -> Option<(&str, Edit)> {
    let Incoming::Message(Message::Notification(Notification { method, params })) = incoming else {
        return None;
    };
    let edit = match method.as_str() {
        "textDocument/didOpen" | "textDocument/didClose" => Edit::Other,
        "textDocument/didChange" => {
            let first = params.pointer("/contentChanges/0");
            let is_whole = |change: &Value| {
                change.get("range").is_none() && change.get("text").is_some_and(Value::is_string)
            };
            match first.is_some_and(is_whole) {
                true => Edit::Whole,
                false => Edit::Part,
            }
        }
        _ => return None,
    };
    let uri = params.pointer("/textDocument/uri").and_then(Value::as_str);
    Some((uri?, edit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn told(method: &str, params: Value) -> Incoming {
        let method = format!("textDocument/{method}");
        Incoming::Message(Message::Notification(Notification { method, params }))
    }

    fn change(uri: &str, change: Value) -> Incoming {
        let params = json!({"textDocument": {"uri": uri}, "contentChanges": [change]});
        told("didChange", params)
    }

    fn asked(id: i32, method: &str) -> Incoming {
        let (id, method) = (RequestId::from(id), method.to_owned());
        Incoming::Message(Message::Request(Request::new(id, method, ())))
    }

    #[test]
    fn so_many_wait_and_so_many_bytes() {
        let mut state = State::default();
        for id in 0..MOST {
            assert!(state.has_room(), "{id}");
            state.put(asked(id as i32, "a"), 1);
        }
        assert!(!state.has_room());
        assert!(state.take().is_some() && state.has_room());
        state.put(asked(-1, "a"), MOST_BYTES);
        while !state.waiting.is_empty() {
            assert!(!state.has_room());
            state.take();
        }
        assert!(state.has_room());
    }

    #[test]
    fn who_puts_waits_for_who_takes() {
        let queue = Queue::default();
        let ids: Vec<i32> = (0..3 * MOST as i32).collect();
        let mut got = Vec::new();
        std::thread::scope(|scope| {
            scope.spawn(|| {
                ids.iter()
                    .for_each(|id| queue.put(asked(*id, "a"), 1 << 20));
                queue.end();
            });
            while let Some(next) = queue.next() {
                assert!(queue.lock().bytes <= MOST_BYTES);
                if let Incoming::Message(Message::Request(one)) = next.incoming {
                    got.push(one.id);
                }
            }
        });
        let ids: Vec<RequestId> = ids.into_iter().map(RequestId::from).collect();
        assert_eq!(got, ids);
    }

    #[test]
    fn a_whole_text_overtakes_the_change_right_before_it() {
        let (part, whole) = (json!({"range": {}, "text": ""}), json!({"text": ""}));
        let mut state = State::default();
        let mut after = |incoming| {
            state.put(incoming, 1);
            state.waiting.len()
        };
        assert_eq!(
            after(told("didOpen", json!({"textDocument": {"uri": "a"}}))),
            1
        );
        assert_eq!(after(change("a", whole.clone())), 2);
        assert_eq!(after(change("a", whole.clone())), 2);
        assert_eq!(after(change("a", part.clone())), 3);
        assert_eq!(after(change("a", part)), 4);
        assert_eq!(after(change("b", whole.clone())), 5);
        assert_eq!(after(change("a", whole.clone())), 6);
        assert_eq!(after(asked(1, "a")), 7);
        assert_eq!(after(change("a", whole)), 8);
        assert_eq!(state.bytes, 8);
    }

    #[test]
    fn beginning_and_end_are_not_cancelled() {
        let mut state = State::default();
        for (id, method) in [(1, "initialize"), (2, "shutdown"), (3, "a")] {
            state.put(asked(id, method), 1);
            let params = json!({"id": id});
            let method = "$/cancelRequest".to_owned();
            let cancel = Message::Notification(Notification { method, params });
            state.put(Incoming::Message(cancel), 1);
        }
        let cancelled = state.waiting.iter().map(|one| one.cancelled);
        assert_eq!(cancelled.collect::<Vec<_>>(), [false, false, true]);
    }
}
