//! Messages in their frames: `Content-Length: 12`, an empty line, twelve bytes of JSON. What is broken is handed on as
//! such and the next frame is read.

use lsp_server::{ErrorCode, Message, RequestId};
use serde_json::Value;
use std::io::{self, BufRead, Read as _};

/// Longest message that is read: a document of 64 MB in JSON, and then some.
pub const LONGEST_MESSAGE: usize = 160 << 20;
/// Longest line before it.
const LONGEST_LINE: u64 = 4096;

/// What came in.
#[derive(Debug)]
pub(super) enum Incoming {
    Message(Message),
    /// What is no message, with the id it may have.
    Broken {
        id: Value,
        code: ErrorCode,
        text: String,
    },
}

fn broken(id: Value, code: ErrorCode, text: impl Into<String>) -> Incoming {
    let text = text.into();
    Incoming::Broken { id, code, text }
}

/// The next one with the bytes that it took; `None` at the end of the input.
///
/// # Errors
/// When it cannot be read.
pub(super) fn read(input: &mut impl BufRead) -> io::Result<Option<(Incoming, usize)>> {
    let mut length: Option<u64> = None;
    loop {
        let mut line = Vec::new();
        let read = input
            .by_ref()
            .take(LONGEST_LINE)
            .read_until(b'\n', &mut line)?;
        if read == 0 {
            return Ok(None);
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim_end_matches(['\r', '\n']);
        match (line, length) {
            ("", Some(length)) => return body(input, length).map(Some),
            // Blank lines between frames, and what is left of a broken one.
            ("", None) => {}
            (line, _) => {
                let (name, value) = line.split_once(':').unwrap_or((line, ""));
                if name.trim().eq_ignore_ascii_case("content-length") {
                    length = value.trim().parse().ok();
                }
            }
        }
    }
}

fn body(input: &mut impl BufRead, length: u64) -> io::Result<(Incoming, usize)> {
    if length > LONGEST_MESSAGE as u64 {
        io::copy(&mut input.by_ref().take(length), &mut io::sink())?;
        let text = format!("a message of {length} bytes; at most {LONGEST_MESSAGE} are read");
        return Ok((broken(Value::Null, ErrorCode::InvalidRequest, text), 0));
    }
    // Memory is spent on what came, not on what was announced.
    let mut bytes = Vec::new();
    let got = input.by_ref().take(length).read_to_end(&mut bytes)? as u64;
    if got < length {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    Ok((message(&bytes), bytes.len()))
}

fn message(bytes: &[u8]) -> Incoming {
    let value: Value = match serde_json::from_slice(bytes) {
        Ok(value) => value,
        Err(error) => return broken(Value::Null, ErrorCode::ParseError, error.to_string()),
    };
    let id = value.get("id").cloned();
    let asks = value.get("method").is_some() && id.is_some();
    // An id that is none would make a notification of a request, which nobody answers.
    let is_id = id
        .as_ref()
        .is_none_or(|id| serde_json::from_value::<RequestId>(id.clone()).is_ok());
    match serde_json::from_value(value) {
        Ok(message) if is_id || !asks => Incoming::Message(message),
        _ => {
            let id = id.unwrap_or_default();
            broken(
                id,
                ErrorCode::InvalidRequest,
                "this is no message of the protocol",
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(input: &[u8]) -> Vec<String> {
        let mut input = input;
        let mut found = Vec::new();
        while let Ok(Some((incoming, _))) = read(&mut input) {
            found.push(match incoming {
                Incoming::Message(Message::Request(one)) => format!("asks {}", one.method),
                Incoming::Message(Message::Notification(one)) => format!("tells {}", one.method),
                Incoming::Message(Message::Response(one)) => format!("answers {}", one.id),
                Incoming::Broken { id, code, .. } => format!("broken {id} {}", code as i32),
            });
        }
        found
    }

    fn framed(body: &str) -> String {
        format!("Content-Length: {}\r\n\r\n{body}", body.len())
    }

    #[test]
    fn what_is_broken_ends_nothing() {
        let input = [
            "rubbish\r\n\r\n".to_owned(),
            framed("{"),
            framed("[1]"),
            framed(r#"{"id":1.5,"method":"a"}"#),
            framed(r#"{"id":99999999999,"method":"a"}"#),
            "content-length:19\n\n{\"method\":\"bee\"}   ".to_owned(),
            "Content-Length: minus\r\n\r\nContent-Type: x\r\n".to_owned(),
            framed(r#"{"id":"z","method":"c"}"#),
            framed(r#"{"id":3,"result":null}"#),
            framed(&"[".repeat(5000)),
            framed(r#"{"method":"last"}"#),
            "Content-Length: 50\r\n\r\n{".to_owned(),
        ];
        let expected = [
            "broken null -32700",
            "broken null -32600",
            "broken 1.5 -32600",
            "broken 99999999999 -32600",
            "tells bee",
            "asks c",
            "answers 3",
            "broken null -32700",
            "tells last",
        ];
        assert_eq!(all(input.concat().as_bytes()), expected);
    }

    #[test]
    fn a_length_is_not_believed() {
        let input = format!("Content-Length: {}\r\n\r\n{{}}", u64::MAX);
        assert_eq!(all(input.as_bytes()), ["broken null -32600"]);
    }
}
